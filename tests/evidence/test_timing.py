"""When a test can answer: curves by day, first days, repeats, and what never gets there."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    INDEPENDENT,
    AnchorSpread,
    Condition,
    DayPoint,
    Dependence,
    SensitivityByDay,
    TestPerformance,
    TestTiming,
    UninformativeWindow,
    beta_chance,
    chance_from_range,
    known_chance,
    performance_on,
    post_test,
    prior,
    sensitivity_after_onset,
    spread_of_days,
    timing,
)
from kennelward.terms import BadInput, Call, OutOfRange

MATED = date(2026, 2, 1)
MATING = AnchorSpread(event="mating", shares=((-2, 0.2), (2, 0.5), (6, 0.3)))
SURGE = SensitivityByDay(
    event="lh",
    points=(
        DayPoint(day=20, sensitivity=known_chance(0.80)),
        DayPoint(day=29, sensitivity=known_chance(0.90)),
        DayPoint(day=31, sensitivity=known_chance(0.98)),
    ),
    spreads={
        "mating": MATING,
        "ovulation": AnchorSpread(event="ovulation", shares=((2, 1),)),
    },
)


def figures(se=0.98, sp=0.98, test="relaxin", sees="relaxin") -> TestPerformance:
    """Exact figures."""
    return TestPerformance(
        test=test, sees=sees, sensitivity=known_chance(se), specificity=known_chance(sp)
    )


RELAXIN = TestTiming(
    performance=figures(),
    by_day=SURGE,
    negative_counts_from={"lh": 31, "mating": 33},
    repeat_after=7,
)


def ask(test=RELAXIN, **kwargs):
    """The timing of one bitch, mated on 1 February."""
    asked = {
        "prior": prior(known_chance(0.878)),
        "event": "mating",
        "anchor": MATED,
        "on": MATED + timedelta(days=24),
        "days": range(10, 60),
        "dependence": {"relaxin": INDEPENDENT},
        "condition": Condition.PREGNANT,
    }
    return timing(test=test, **{**asked, **kwargs})


def test_a_mating_date_spreads_the_days_from_the_surge() -> None:
    """Day 24 after mating is LH+22, +26 or +30: .2 * .8 + .5 * .8 + .3 * .9."""
    told = ask()
    assert told.on(MATED + timedelta(days=24)).sensitivity == pytest.approx(0.83)
    assert told.on(MATED + timedelta(days=16)).sensitivity == pytest.approx(0.3 * 0.8)
    assert told.on(MATED + timedelta(days=33)).sensitivity == pytest.approx(0.98)


def test_the_worth_of_each_day_is_bayes() -> None:
    """Against the closed form, day by day."""
    told = ask(event="lh", days=range(20, 40))
    for worth in told.curve:
        se = 0.80 if worth.day < 29 else 0.90 if worth.day < 31 else 0.98
        want = post_test(0.878, sensitivity=se, specificity=0.98, result=Call.NEGATIVE)
        assert worth.if_negative.median == pytest.approx(want, abs=1e-12)


def test_ovulation_is_two_days_after_the_surge() -> None:
    """LH+31 is ovulation+29."""
    told = ask(event="ovulation", days=range(20, 40))
    by_day = {worth.day: worth.sensitivity for worth in told.curve}
    assert by_day[28] == pytest.approx(0.90)
    assert by_day[29] == pytest.approx(0.98)


def test_one_strip_may_never_get_there() -> None:
    """An answer, with the best day and what a repeat would leave."""
    told = ask(worth=0.05)
    assert told.reaches is None
    assert told.best.on == MATED + timedelta(days=33)
    assert told.repeat_on == MATED + timedelta(days=40)
    one = post_test(0.878, sensitivity=0.98, specificity=0.98, result=Call.NEGATIVE)
    two = post_test(one, sensitivity=0.98, specificity=0.98, result=Call.NEGATIVE)
    assert told.best.if_negative.median == pytest.approx(one, abs=1e-12)
    assert told.after_repeat.median == pytest.approx(two, abs=1e-12)
    words = " ".join(map(str, told.in_words))
    assert "One strip never gets there" in words
    assert "2026-03-06" in words
    assert "too early to say" in words


def test_the_first_day_that_reaches_the_chosen_worth() -> None:
    """And that day is said."""
    told = ask(worth=0.15)
    assert told.reaches is not None
    assert told.reaches.on == date(2026, 3, 6)
    assert "From 2026-03-06" in " ".join(map(str, told.in_words))
    assert told.retest_on(MATED + timedelta(days=20)) == date(2026, 3, 6)
    # Tested on the first good day: the repeat is a week later, never sooner.
    assert told.retest_on(date(2026, 3, 6)) == date(2026, 3, 13)


def test_a_day_before_the_test_can_see_anything_says_nothing() -> None:
    """Neither answer moves the chance."""
    told = ask(event="lh", days=range(20))
    for worth in told.curve:
        if worth.day < 20:
            assert worth.if_negative.median == pytest.approx(0.878, abs=1e-12)
            assert worth.if_positive.median == pytest.approx(0.878, abs=1e-12)


def test_windows_stop_a_result_from_counting() -> None:
    """A relaxin positive soon after whelping says nothing."""
    test = TestTiming(
        performance=figures(),
        by_day=SensitivityByDay(
            event="whelping", points=(DayPoint(day=0, sensitivity=known_chance(0.98)),)
        ),
        negative_counts_from={},
        repeat_after=7,
        windows=(
            UninformativeWindow(
                test="relaxin",
                call=Call.POSITIVE,
                event="whelping",
                first=0,
                last=63,
                effect="no-information",
                says="Relaxin stays in the blood of a nursing bitch.",
            ),
        ),
    )
    told = ask(test, event="whelping", days=range(80))
    by_day = {worth.day: worth for worth in told.curve}
    assert not by_day[63].positive_counts
    assert by_day[64].positive_counts
    assert by_day[0].negative_counts


def test_days_on_which_nothing_counts_move_nothing() -> None:
    """After a course neither answer of the strip says anything."""
    both = UninformativeWindow(
        test="relaxin",
        call=None,
        event="course-end",
        first=0,
        last=30,
        effect="no-information",
        says="This soon after a course the strip says nothing either way.",
    )
    test = TestTiming(
        performance=figures(),
        by_day=SensitivityByDay(
            event="course-end",
            points=(DayPoint(day=0, sensitivity=known_chance(0.98)),),
        ),
        negative_counts_from={"course-end": 31},
        repeat_after=7,
        windows=(both,),
    )
    by_day = {w.day: w for w in ask(test, event="course-end", days=range(40)).curve}
    for worth in (by_day[0], by_day[30]):
        assert worth.if_negative.median == pytest.approx(0.878, abs=1e-12)
        assert worth.if_positive.median == pytest.approx(0.878, abs=1e-12)
        assert not worth.negative_counts
        assert not worth.positive_counts
    assert by_day[31].if_negative.median < 0.2


def test_onset_follows_the_pert_distribution() -> None:
    """Against the share of a million simulated first detectable days."""
    import numpy as np

    by_day = sensitivity_after_onset(
        known_chance(0.9), event="exposure", first=21, typical=35, last=84
    )
    rng = np.random.default_rng(3)
    a, b = 1 + 4 * 14 / 63, 1 + 4 * 49 / 63
    onset = 21 + 63 * rng.beta(a, b, 1_000_000)
    for day in (20, 21, 30, 35, 42, 56, 84, 120):
        want = 0.9 * float((onset <= day).mean())
        found = float(by_day.draw(event="exposure", day=day).mean())
        assert found == pytest.approx(want, abs=0.002)


@settings(max_examples=25, deadline=None)
@given(
    first=st.integers(0, 20),
    rise=st.integers(1, 30),
    tail=st.integers(1, 30),
    base=st.floats(0.01, 0.9),
)
def test_later_negatives_are_never_worth_less(first, rise, tail, base) -> None:
    """With a sensitivity that only rises, what a negative leaves only falls."""
    test = TestTiming(
        performance=figures(0.9, 0.96, "brucella-antibody", "brucella antibody"),
        by_day=sensitivity_after_onset(
            known_chance(0.9),
            event="exposure",
            first=first,
            typical=first + rise,
            last=first + rise + tail,
        ),
        negative_counts_from={"exposure": 84},
        repeat_after=30,
    )
    told = ask(
        test,
        prior=prior(known_chance(base)),
        event="exposure",
        days=range(0, 100, 9),
        dependence={"brucella antibody": INDEPENDENT},
        condition=Condition.BRUCELLA,
    )
    left = [worth.if_negative.median for worth in told.curve]
    assert all(x >= y - 1e-12 for x, y in pairwise(left))
    found = [worth.if_positive.median for worth in told.curve]
    assert all(x <= y + 1e-12 for x, y in pairwise(found))
    assert all(w.negative_counts == (w.day >= 84) for w in told.curve)


def test_figures_of_a_day_keep_mean_and_spread() -> None:
    """The Beta of the day has the moments of the mixture it stands for."""
    plateau = chance_from_range(0.9, 0.75, 0.95)
    performance = TestPerformance(
        test="t", sees="x", sensitivity=plateau, specificity=beta_chance(96, 4)
    )
    by_day = sensitivity_after_onset(
        plateau, event="exposure", first=21, typical=35, last=84
    )
    drawn = by_day.draw(event="exposure", day=49)
    found = performance_on(performance, by_day=by_day, event="exposure", day=49)
    assert found.sensitivity.mean == pytest.approx(float(drawn.mean()))
    variance = found.sensitivity.mean * (1 - found.sensitivity.mean)
    variance /= found.sensitivity.strength + 1
    assert variance == pytest.approx(float(drawn.var()))
    early = performance_on(performance, by_day=by_day, event="exposure", day=5)
    assert early.sensitivity.mean == pytest.approx(1 - early.specificity.mean)
    assert early.sensitivity.is_exact


def test_a_spread_gives_each_whole_day_what_lies_nearest() -> None:
    """Against a million draws of the PERT, rounded; no spread where days are fixed."""
    import numpy as np

    found = spread_of_days("mating", first=-2, typical=3, last=6)
    rng = np.random.default_rng(5)
    a, b = 1 + 4 * 5.5 / 9, 1 + 4 * 3.5 / 9
    drawn = np.rint(-2.5 + 9 * rng.beta(a, b, 1_000_000))
    for offset, share in found.shares:
        assert share == pytest.approx(float((drawn == offset).mean()), abs=0.002)
    fixed = spread_of_days("ovulation", first=2, typical=2, last=2)
    assert fixed.shares == ((2, 1.0),)
    with pytest.raises(OutOfRange, match="typical must be"):
        spread_of_days("mating", first=-2, typical=9, last=6)


def test_bad_questions() -> None:
    """Each says what is allowed."""
    with pytest.raises(OutOfRange, match="must be 2026-02-01 or later"):
        ask(on=date(2026, 1, 1))
    with pytest.raises(BadInput, match="counted from one of lh"):
        ask(event="arrival")
    with pytest.raises(BadInput, match="add up to 1"):
        AnchorSpread(event="mating", shares=((0, 0.5),))
    with pytest.raises(BadInput, match="in order of day"):
        SensitivityByDay(
            event="lh",
            points=(
                DayPoint(day=5, sensitivity=known_chance(0.5)),
                DayPoint(day=5, sensitivity=known_chance(0.6)),
            ),
        )
    with pytest.raises(OutOfRange, match=r"from 0 to 1, got 1\.5"):
        ask(worth=1.5)


def test_repeats_may_be_dependent() -> None:
    """Then the second negative is worth less."""
    apart = ask(worth=0.01)
    tied = ask(
        worth=0.01,
        dependence={
            "relaxin": Dependence(repeats=known_chance(0.6), kinds=known_chance(0))
        },
    )
    assert tied.after_repeat.median > apart.after_repeat.median
    assert tied.best.if_negative == apart.best.if_negative
