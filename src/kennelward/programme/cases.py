"""Who is a suspect of what, since when, and whom that exposed.

A case opens on signs, a line on a strip, a result from elsewhere, or the word of a
person. No strip closes one that signs or a counted positive opened.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from kennelward.kennel import Entry, TestCard
from kennelward.kennel.facts import ApartEnded, DangerChecked, KeptApart
from kennelward.programme.outside import last_exposed_outside
from kennelward.programme.rules import CaseSigns
from kennelward.programme.signs import sign_runs
from kennelward.programme.view import View
from kennelward.terms import Call

CASE_DAYS = 300  # evidence older than this opens no case, but for brucella


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One dog suspected of one infection."""

    dog: str
    infection: str
    entry: str  # what opened it
    opened_at: datetime
    first_day: date  # first sign, or the sample, or the word
    signs_end: date | None  # first day without signs; None: signs go on, or never were
    has_signs: bool  # opened or joined by signs
    is_doubt: bool  # nothing but a trace or a line that does not count
    ends_on: date | None  # last day of keeping apart, where days alone end it
    is_open: bool


@dataclass(frozen=True, slots=True)
class _Evidence:
    day: date
    entry: Entry
    is_sign: bool
    is_doubt: bool


def cases(view: View, infection: str) -> dict[str, Case]:
    """Cases of an infection by dog, with those that are over."""
    return view.keep(("cases", infection), lambda: dict(_cases(view, infection)))


def open_cases(view: View, infection: str) -> dict[str, Case]:
    """Cases that are not over, of dogs that are here."""
    return {
        dog: case
        for dog, case in cases(view, infection).items()
        if case.is_open and dog in view.here
    }


def _cases(view: View, infection: str) -> Iterable[tuple[str, Case]]:
    looks = [s for s in view.rules.signs_of_cases(view.on) if s.infection == infection]
    for dog in sorted(view.book.dogs):
        evidence = sorted(
            _evidence(view, dog, infection, looks), key=lambda e: e.entry.happened_at
        )
        if evidence:
            yield dog, _case(view, dog, infection, evidence)


def _evidence(
    view: View, dog: str, infection: str, looks: list[CaseSigns]
) -> Iterator[_Evidence]:
    longest = timedelta(days=CASE_DAYS if infection != "brucella" else 4 * CASE_DAYS)
    since = view.on - longest
    if looks and (view.observations(dog) or view.of_dog(DangerChecked, dog)):
        yield from _by_signs(view, dog, looks)
    for card in view.tests.get(dog, ()):
        if not is_kit_of(view, card.kit, infection) or not _is_line(card):
            continue
        day = view.sampled(card)
        if day >= since:
            doubt = card.call is Call.TRACE or not card.counts
            yield _Evidence(day, card.started, is_sign=False, is_doubt=doubt)
    for day, entry, result in view.results(dog, infection):
        if result.call == "positive" and day >= since:
            yield _Evidence(day, entry, is_sign=False, is_doubt=False)
    for entry in view.of_dog(KeptApart, dog):
        fact = entry.fact
        named = isinstance(fact, KeptApart) and fact.infection == infection
        if named and view.day(entry) >= since:
            yield _Evidence(view.day(entry), entry, is_sign=False, is_doubt=False)


def is_kit_of(view: View, kit: str, infection: str) -> bool:
    """True where this kit looks for this infection."""
    return view.rules.kits.get(kit) == infection


def _is_line(card: TestCard) -> bool:
    return card.call in (Call.POSITIVE, Call.TRACE)


def _by_signs(view: View, dog: str, looks: list[CaseSigns]) -> Iterator[_Evidence]:
    born = view.book.dogs[dog].described.born_on
    for run in sign_runs(view, dog):
        together: set[str] = set()
        for day, entry, signs in run:
            together |= signs
            if any(_looks_like(look, together, (day - born).days) for look in looks):
                yield _Evidence(run[0][0], entry, is_sign=True, is_doubt=False)
                break


def _looks_like(look: CaseSigns, signs: set[str], age_days: int) -> bool:
    below = look.age_days_below
    return (
        isinstance(below, int)
        and age_days < below
        and len(signs & set(look.any_sign)) >= look.at_least
    )


def _case(view: View, dog: str, infection: str, evidence: list[_Evidence]) -> Case:
    """The present case: evidence after an earlier one was over opens a new one."""
    opened = evidence[0]
    group = [opened]
    case = _made(view, dog, infection, group)
    for later in evidence[1:]:
        if not case.is_open and case.ends_on is not None and later.day > case.ends_on:
            group = []
        group.append(later)
        case = _made(view, dog, infection, group)
    return case


def _made(view: View, dog: str, infection: str, group: list[_Evidence]) -> Case:
    opened = next((e for e in group if not e.is_doubt), group[0])
    first_day = min(evidence.day for evidence in group)
    has_signs = any(evidence.is_sign for evidence in group)
    last_day = max(evidence.day for evidence in group)
    signs_end = _signs_end(view, dog) if has_signs else None
    is_doubt = all(evidence.is_doubt for evidence in group)
    ends_on = _ends_on(view, dog, infection, last_day, has_signs, signs_end)
    is_open = ends_on is None or view.on <= ends_on
    if is_doubt and _repeated_negative(view, dog, infection, after=group[-1].entry):
        is_open, ends_on = False, view.on - timedelta(days=1)
    if is_open and _cleared(view, dog, infection, first_day):
        is_open, ends_on = False, view.on - timedelta(days=1)
    return Case(
        dog=dog,
        infection=infection,
        entry=opened.entry.entry,
        opened_at=opened.entry.happened_at,
        first_day=first_day,
        signs_end=signs_end,
        has_signs=has_signs,
        is_doubt=is_doubt,
        ends_on=ends_on,
        is_open=is_open,
    )


def _signs_end(view: View, dog: str) -> date | None:
    """First day noted as without signs after the last run; None while signs go on."""
    runs = sign_runs(view, dog)
    if not runs or runs[-1][-1][2]:
        return None
    return runs[-1][-1][0]


def _ends_on(
    view: View,
    dog: str,
    infection: str,
    last_day: date,
    has_signs: bool,
    signs_end: date | None,
) -> date | None:
    """Last day of keeping apart where days alone end it; None where they do not."""
    if infection != "parvovirus":
        return None
    days = timedelta(days=view.number("parvovirus.apart_after_signs_days"))
    if has_signs:
        return signs_end + days if signs_end is not None else None
    return last_day + days


def _repeated_negative(view: View, dog: str, infection: str, *, after: Entry) -> bool:
    """A fresh strip that counts came out negative after a doubtful one."""
    return any(
        is_kit_of(view, card.kit, infection)
        and card.counts
        and card.call is Call.NEGATIVE
        and card.started.happened_at > after.happened_at
        for card in view.tests.get(dog, ())
    )


def _cleared(view: View, dog: str, infection: str, first_day: date) -> bool:
    """A negative by a method that clears, late enough, and for two of them a word.

    Source of the days: the handbook; a strip is never among the methods.
    """
    methods = view.rules.clearing_methods.get(infection, ())
    from_day = clears_from(view, dog, infection, first_day)
    if not any(
        result.call == "negative" and result.method in methods and day >= from_day
        for day, _, result in view.results(dog, infection)
    ):
        return False
    if infection == "giardia":
        return True
    return any(view.day(entry) >= from_day for entry in view.of_dog(ApartEnded, dog))


def clears_from(view: View, dog: str, infection: str, first_day: date) -> date:
    """First day on which a sample may clear this dog."""
    if infection == "giardia":
        ends = [
            course.facts.ends_on
            for course in view.courses.get(dog, ())
            if course.facts.ends_on >= first_day
        ]
        wait = timedelta(days=view.number("giardia.second_cyst_test_from_days"))
        return max([*ends, first_day]) + wait
    if infection == "brucella":
        exposed = last_exposed_outside(view, dog)
        if exposed is None:
            return first_day
        wait = timedelta(days=view.number("brucella.clearing_days"))
        return max(first_day, exposed[0] + wait)
    return first_day
