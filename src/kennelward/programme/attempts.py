"""A bitch's attempts to have a litter: matings of one season, their days, their end."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.kennel import Entry
from kennelward.kennel.facts import (
    CycleNoted,
    Mated,
    OtherResult,
    PregnancyLost,
    Whelped,
)
from kennelward.programme.view import View
from kennelward.terms import Call

ONE_SEASON_DAYS = 30  # matings closer together than this belong to one season
CYCLE_NEAR_DAYS = 20  # a day of the cycle so near to a mating belongs to it
ENDS_FROM_DAYS = 15  # a whelping sooner after the mating belongs to an earlier one
SEASON_DAYS = 200  # a season longer ago does not matter any more
PAST_DAYS = 100  # after this many days without a word an attempt came to nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """Matings of one bitch in one season."""

    dam: str
    matings: tuple[Entry, ...]
    first_mating: date
    last_mating: date
    lh: date | None  # surge; from ovulation where only that is known
    ended: Entry | None  # whelping, or the loss of it
    is_lost: bool

    @property
    def entry(self) -> str:
        """The last mating's entry."""
        return self.matings[-1].entry


def attempts(view: View) -> dict[str, list[Attempt]]:
    """Attempts by dam, oldest first, of the last four years or so."""
    return view.keep("attempts", lambda: _attempts(view))


def open_attempt(view: View, dam: str) -> Attempt | None:
    """The attempt a bitch may be carrying now."""
    found = attempts(view).get(dam, [])
    if not found or found[-1].ended is not None:
        return None
    is_past = view.days_ago(found[-1].last_mating) > PAST_DAYS
    return None if is_past else found[-1]


def counts_from(view: View, attempt: Attempt) -> date:
    """First day on which a negative relaxin strip counts."""
    if attempt.lh is not None:
        days = view.number("pregnancy.negative_counts_lh_days")
        return attempt.lh + timedelta(days=days)
    days = view.number("pregnancy.negative_counts_mating_days")
    return attempt.last_mating + timedelta(days=days)


def due_day(view: View, attempt: Attempt) -> date:
    """The day the litter is expected, for planning only."""
    if attempt.lh is not None:
        return attempt.lh + timedelta(days=view.number("pregnancy.due_lh_days"))
    return attempt.first_mating + timedelta(
        days=view.number("pregnancy.due_mating_days")
    )


def overdue_day(view: View, attempt: Attempt) -> date:
    """From this day on a bitch that has not whelped is the vet's."""
    if attempt.lh is not None:
        return attempt.lh + timedelta(days=view.number("pregnancy.overdue_lh_days"))
    return attempt.last_mating + timedelta(
        days=view.number("pregnancy.overdue_mating_days")
    )


def is_carrying(view: View, dam: str) -> bool:
    """True where a bitch may be pregnant: mated, not ended, not ruled out."""
    attempt = open_attempt(view, dam)
    return attempt is not None and not is_ruled_out(view, attempt)


def is_ruled_out(view: View, attempt: Attempt) -> bool:
    """Two late negatives as far apart as the repeat rule asks, or a scan, said no.

    A scan counts from the day on which one can tell.
    """
    start = counts_from(view, attempt)
    again = timedelta(days=view.number("pregnancy.repeat_days"))
    tells = timedelta(days=view.number("pregnancy.scan_from_mating_days"))
    late = [
        card
        for card in view.tests.get(attempt.dam, ())
        if view.rules.kits.get(card.kit) == "pregnancy"
        and card.counts
        and view.sampled(card) >= start
    ]
    scans = [
        result.call
        for day, _, result in view.results(attempt.dam, "pregnancy")
        if day >= attempt.first_mating + tells
    ]
    if scans:
        return scans[-1] == "negative"
    no = []
    for card in reversed(late):
        if card.call is not Call.NEGATIVE:
            break
        no.append(view.sampled(card))
    return len(no) > 1 and no[0] - no[-1] >= again


def is_confirmed(view: View, attempt: Attempt, *, before: date | None = None) -> bool:
    """A strip that counts or a scan said pregnant in this attempt, up to `before`."""
    end = before or view.on + timedelta(days=1)
    strips = any(
        view.rules.kits.get(card.kit) == "pregnancy"
        and card.counts
        and card.call is Call.POSITIVE
        and attempt.first_mating < view.sampled(card) < end
        for card in view.tests.get(attempt.dam, ())
    )
    return strips or any(
        result.call == "positive" and attempt.first_mating < day < end
        for day, _, result in view.results(attempt.dam, "pregnancy")
        if isinstance(result, OtherResult)
    )


def failed_in_a_row(view: View, dam: str) -> tuple[Attempt, ...]:
    """The latest attempts without a litter, newest last; an open one does not count."""
    failed: list[Attempt] = []
    for attempt in reversed(attempts(view).get(dam, [])):
        if attempt is open_attempt(view, dam) and not is_ruled_out(view, attempt):
            continue
        if attempt.ended is not None:
            break
        failed.append(attempt)
    return tuple(reversed(failed))


def season_starts(view: View) -> dict[str, tuple[date, str]]:
    """The latest season of each bitch, day and entry, noted or shown by a mating."""
    return view.keep("season-starts", lambda: _season_starts(view))


def _season_starts(view: View) -> dict[str, tuple[date, str]]:
    latest: dict[str, tuple[date, str]] = {}
    for entry in view.recent(CycleNoted, days=SEASON_DAYS):
        fact = entry.fact
        if isinstance(fact, CycleNoted) and fact.what == "season-start":
            latest[fact.dam] = (view.day(entry), entry.entry)
    for dam, found in attempts(view).items():
        day = found[-1].first_mating
        is_new = dam not in latest or (day - latest[dam][0]).days > 2 * ONE_SEASON_DAYS
        if view.days_ago(day) <= SEASON_DAYS and is_new:
            latest[dam] = (day, found[-1].matings[0].entry)
    return latest


def _attempts(view: View) -> dict[str, list[Attempt]]:
    found: dict[str, list[Attempt]] = defaultdict(list)
    ends = _ends(view)
    cycle = view.by_dog(CycleNoted, name="dam")
    for dam, entries in sorted(view.by_dog(Mated, name="dam").items()):
        groups: list[list[Entry]] = []
        for entry in entries:
            if groups and _same_season(view, groups[-1][-1], entry):
                groups[-1].append(entry)
            else:
                groups.append([entry])
        for number, group in enumerate(groups):
            later = groups[number + 1] if number + 1 < len(groups) else None
            found[dam].append(
                _attempt(
                    view,
                    dam,
                    group,
                    until=view.day(later[0]) if later else None,
                    ends=ends.get(dam, []),
                    cycle=cycle.get(dam, []),
                )
            )
    return found


def _same_season(view: View, one: Entry, later: Entry) -> bool:
    return (view.day(later) - view.day(one)).days <= ONE_SEASON_DAYS


def _ends(view: View) -> dict[str, list[Entry]]:
    found: dict[str, list[Entry]] = defaultdict(list)
    for kind in (Whelped, PregnancyLost):
        for dam, entries in view.by_dog(kind, name="dam").items():
            found[dam].extend(entries)
    return found


def _attempt(
    view: View,
    dam: str,
    group: list[Entry],
    *,
    until: date | None,
    ends: list[Entry],
    cycle: list[Entry],
) -> Attempt:
    first, last = _first_day(view, group[0]), view.day(group[-1])
    from_day = first + timedelta(days=ENDS_FROM_DAYS)
    ended = next(
        (
            entry
            for entry in sorted(ends, key=lambda entry: entry.happened_at)
            if from_day <= view.day(entry)
            and (until is None or view.day(entry) < until)
            and (view.day(entry) - last).days <= PAST_DAYS
        ),
        None,
    )
    return Attempt(
        dam=dam,
        matings=tuple(group),
        first_mating=first,
        last_mating=last,
        lh=_lh(view, cycle, first, last),
        ended=ended,
        is_lost=ended is not None and isinstance(ended.fact, PregnancyLost),
    )


def _first_day(view: View, mating: Entry) -> date:
    """The day of a mating, or the first possible one where nobody saw it."""
    fact = mating.fact
    first = fact.first_possible_on if isinstance(fact, Mated) else None
    return first or view.day(mating)


def _lh(view: View, cycle: list[Entry], first: date, last: date) -> date | None:
    """The surge noted near the matings, or worked back from a noted ovulation."""
    back = view.number("gestation.surge_to_ovulation_days")
    for what, before in (("lh-surge", 0), ("ovulation", back)):
        for entry in reversed(cycle):
            fact = entry.fact
            if isinstance(fact, CycleNoted) and fact.what == what:
                day = view.day(entry)
                near = timedelta(days=CYCLE_NEAR_DAYS)
                if first - near <= day <= last + near:
                    return day - timedelta(days=before)
    return None
