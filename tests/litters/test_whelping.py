"""The clocks of a whelping night: each rule fires at its minute and not before."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kennelward.litters.whelping import Seen, Sign, Urgency
from kennelward.litters.whelping import night as night_of
from tests.litters.numbers import NUMBERS

START = datetime(2026, 3, 2, 22, 0, tzinfo=UTC)


def night(events, *, now, more_expected=True):
    """The night by the handbook's own minutes."""
    return night_of(
        events, now=now, more_expected=more_expected, rules=NUMBERS.whelping
    )


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def seen(*pairs: tuple[float, Sign]) -> list[Seen]:
    return [Seen(at=at(minutes), sign=sign) for minutes, sign in pairs]


@pytest.mark.parametrize(
    ("events", "minute", "rule", "urgency", "source"),
    [
        (
            [(0, Sign.HARD_STRAINING)],
            20,
            "hard-straining",
            Urgency.RED,
            "20 min protocol",
        ),
        ([(0, Sign.PUPPY)], 120, "gap", Urgency.AMBER, "many ask after 2 h"),
        ([(0, Sign.PUPPY)], 240, "gap", Urgency.RED, "Jutkowitz 2005: 4 h"),
        (
            [(0, Sign.WEAK_STRAINING)],
            240,
            "weak-straining",
            Urgency.RED,
            "Jutkowitz 2005",
        ),
        ([(0, Sign.STAGE_ONE)], 720, "stage-one", Urgency.AMBER, "6-12 h usual"),
        ([(0, Sign.STAGE_ONE)], 1440, "stage-one", Urgency.RED, "up to 24 h"),
        (
            [(0, Sign.TEMPERATURE_DROP)],
            1440,
            "after-drop",
            Urgency.RED,
            "24 h in two lists",
        ),
    ],
)
def test_each_clock_fires_at_its_minute(events, minute, rule, urgency, source):
    before = night(seen(*events), now=at(minute - 1))
    assert (rule, urgency) not in [(a.rule, a.urgency) for a in before.alerts], source
    assert (rule, urgency) in [(a.rule, a.urgency) for a in before.coming]
    there = night(seen(*events), now=at(minute))
    assert (rule, urgency) in [(a.rule, a.urgency) for a in there.alerts], source


@pytest.mark.parametrize(
    ("sign", "rule"),
    [
        (Sign.HEAVY_BLEEDING, "heavy-bleeding"),
        (Sign.PUPPY_STUCK, "puppy-stuck"),
        (Sign.COLLAPSE, "collapse"),
        (Sign.GREEN_DISCHARGE, "green-before-puppy"),
    ],
)
def test_emergencies_are_red_at_once(sign, rule):
    (alert,) = night(seen((0, sign)), now=at(0)).alerts
    assert (alert.rule, alert.urgency) == (rule, Urgency.RED)


def test_green_discharge_after_the_first_puppy_is_normal():
    found = night(seen((0, Sign.PUPPY), (10, Sign.GREEN_DISCHARGE)), now=at(15))
    assert found.alerts == ()
    first = night(seen((0, Sign.GREEN_DISCHARGE), (10, Sign.PUPPY)), now=at(15))
    assert [a.rule for a in first.alerts] == ["green-before-puppy"]


def test_a_puppy_stops_the_straining_clock_and_restarts_the_gap():
    events = seen((0, Sign.HARD_STRAINING), (15, Sign.PUPPY), (16, Sign.PLACENTA))
    found = night(events, now=at(30))
    assert found.alerts == ()
    assert (found.puppies, found.placentas, found.last_puppy_at) == (1, 1, at(15))
    assert [a.at for a in found.coming] == [at(135), at(255), at(660)]


def test_no_gap_clock_once_no_more_are_expected():
    assert night(seen((0, Sign.PUPPY)), now=at(500), more_expected=False).alerts == ()


def test_a_clock_change_at_night_does_not_change_the_gap():
    """25 October 2026, Berlin: 02:30 happens twice, the clocks must not."""
    zone = ZoneInfo("Europe/Berlin")
    first = datetime(2026, 10, 25, 1, 30, tzinfo=zone).astimezone(UTC)
    now = datetime(2026, 10, 25, 3, 29, tzinfo=zone).astimezone(UTC)
    assert (now - first) == timedelta(hours=2, minutes=59)
    (alert,) = night([Seen(at=first, sign=Sign.PUPPY)], now=now).alerts
    assert alert.urgency is Urgency.AMBER


@given(
    st.lists(st.tuples(st.integers(0, 600), st.sampled_from(list(Sign))), max_size=25),
    st.integers(0, 900),
)
def test_alerts_hold_now_and_the_order_of_entry_does_not_matter(events, minute):
    found = night(seen(*events), now=at(minute))
    assert all(a.at <= at(minute) for a in found.alerts)
    assert all(a.at > at(minute) for a in found.coming)
    one_a_rule = [a.rule for a in found.alerts]
    assert len(one_a_rule) == len(set(one_a_rule))
    assert night(seen(*reversed(events)), now=at(minute)).puppies == found.puppies
