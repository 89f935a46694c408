"""One pregnancy: what the book knows of it, when it is due, how sure it is."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from kennelward.handbook import Handbook
from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f
from kennelward.litters import (
    AgedByScan,
    BreedingFacts,
    DueDate,
    DueDateModel,
    FactSays,
    LitterNumbers,
    LitterSize,
    Mating,
    MatingMethod,
    NearTerm,
    PregnancyWindows,
    Progesterone,
    PuppyCount,
    TemperatureDrop,
    due_date,
    each_fact_says,
    expected_litter,
    is_overdue,
    pregnancy_windows,
    progesterone_ng_per_ml,
)
from kennelward.rounds.grown import size_of
from kennelward.rounds.standing import PregnancyStanding, pregnancy_standing
from kennelward.terms import BadInput

MOST_NG_PER_ML = 100.0  # beyond what assays report; higher says nothing more


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyPlan:
    """A bitch's present pregnancy as the book has it."""

    dam: str
    facts: BreedingFacts
    due: DueDate
    says: tuple[FactSays, ...]  # the due date from each fact alone
    windows: PregnancyWindows
    standing: PregnancyStanding
    size: LitterSize
    is_overdue: bool
    last_mating_on: date | None
    temperature_from: date  # twice a day from here on
    do_dates_fit: bool = True  # False: some were left out, they contradict the others


def pregnancy_plan(
    *, book: Book, handbook: Handbook, dam: str, on: date
) -> PregnancyPlan | None:
    """The pregnancy that may be under way on `on`, or None.

    None where no mating, LH or ovulation day, risen progesterone or age on a scan lies
    within the handbook's reach, or a birth or a loss has followed it. A negative test
    does not make it None: `standing` says what the tests say.
    """
    numbers = handbook.litters(on)
    known = known_facts(book=book, handbook=handbook, dam=dam, on=on)
    if known is None:
        return None
    dated = _dated(known, model=numbers.due_date)
    if dated is None:
        return None
    used, due = dated
    windows = pregnancy_windows(used, days=numbers.test_days, model=numbers.due_date)
    last = max((mating.on for mating in known.matings), default=None)
    early = numbers.due_date.near_term.temperature_from_days
    return PregnancyPlan(
        dam=dam,
        facts=used,
        due=due,
        says=each_fact_says(known, model=numbers.due_date),
        windows=windows,
        standing=pregnancy_standing(
            book=book,
            handbook=handbook,
            dam=dam,
            on=on,
            windows=windows,
            is_mated=bool(known.matings or known.aged),
        ),
        size=expected_litter(known, model=numbers.due_date.litter_size),
        is_overdue=is_overdue(
            due=due,
            on=on,
            lh_on=known.lh_on,
            last_mating_on=last,
            days=numbers.test_days,
        ),
        last_mating_on=last,
        temperature_from=due.low - timedelta(days=early),
        do_dates_fit=_of_season(used) == _of_season(known),
    )


def _of_season(facts: BreedingFacts) -> tuple[object, ...]:
    return (
        facts.lh_on,
        facts.ovulation_on,
        facts.matings,
        facts.progesterone,
        facts.aged,
    )


def _dated(
    known: BreedingFacts, *, model: DueDateModel
) -> tuple[BreedingFacts, DueDate] | None:
    """The due date from all facts, or, where these contradict, from the strongest.

    Facts are left out in this order: what near term says, the start of the season,
    progesterone, then all but the age on a scan, the ovulation day, the LH day, the
    last mating.
    """
    plain = replace(known, temperature_drop=None, not_born_by=None)
    tries = [known, plain]
    if _is_anchored(known):
        tries.append(replace(plain, season_on=None))
    if known.lh_on or known.ovulation_on or known.matings or known.aged:
        tries.append(replace(plain, season_on=None, progesterone=()))
    if known.aged:
        tries.append(BreedingFacts(aged=known.aged))
    if known.ovulation_on:
        tries.append(BreedingFacts(ovulation_on=known.ovulation_on))
    if known.lh_on:
        tries.append(BreedingFacts(lh_on=known.lh_on))
    if known.matings:
        last = max(known.matings, key=lambda mating: mating.on)
        tries.append(BreedingFacts(matings=(last,)))
    for facts in tries:
        try:
            return facts, due_date(facts, model=model)
        except BadInput:
            continue
    return None


def _is_anchored(facts: BreedingFacts) -> bool:
    """True where more than the start of a season is known."""
    return any(_of_season(facts))


def known_facts(
    *, book: Book, handbook: Handbook, dam: str, on: date
) -> BreedingFacts | None:
    """What the book knows of a pregnancy that may be under way, or None."""
    numbers = handbook.litters(on)
    since = on - timedelta(days=numbers.reach_days)
    entries = [e for e in book.about(dam) if since <= book.happened_on(e) <= on]
    for number, entry in reversed(list(enumerate(entries))):
        ended = isinstance(entry.fact, f.Whelped) and entry.fact.dam == dam
        if ended or isinstance(entry.fact, f.PregnancyLost):
            entries = entries[number + 1 :]
            break
    found = _Known(book, dam, numbers)
    for entry in entries:
        found.take(entry)
    return found.facts(on=on, bitch_size=size_of(book=book, dog=dam, numbers=numbers))


class _Known:
    """Facts about one cycle, gathered from its entries."""

    def __init__(self, book: Book, dam: str, numbers: LitterNumbers) -> None:
        self.book, self.dam, self.numbers = book, dam, numbers
        self.days: dict[str, date] = {}
        self.matings: list[Mating] = []
        self.progesterone: list[Progesterone] = []
        self.aged: list[AgedByScan] = []
        self.counts: list[PuppyCount] = []

    def take(self, entry: Entry) -> None:
        """Add what one entry says."""
        day = self.book.happened_on(entry)
        match entry.fact:
            case f.CycleNoted(what=what):
                self.days[what] = day
            case f.Mated(dam=who, method=method, first_possible_on=first) if (
                who == self.dam
            ):
                self.matings.append(
                    Mating(on=day, method=MatingMethod(method), since=first)
                )
            case f.ProgesteroneMeasured(value=value, unit=unit, assay=assay):
                ng = progesterone_ng_per_ml(value=value, unit=unit)
                self.progesterone.append(
                    Progesterone(on=day, ng_per_ml=min(ng, MOST_NG_PER_ML), assay=assay)
                )
            case f.PregnancyAged(days_from_ovulation=days):
                self.aged.append(AgedByScan(on=day, days_from_ovulation=days))
            case f.PuppiesCounted(method=method, count=count) if count > 0:
                self.counts.append(PuppyCount(method=method, count=count))

    def facts(self, *, on: date, bitch_size: str) -> BreedingFacts | None:
        """All of it, or None where nothing says that she may be pregnant."""
        risen = self.numbers.due_date.season.risen_ng
        has_risen = any(value.ng_per_ml >= risen for value in self.progesterone)
        lh_on, ovulation_on = self.days.get("lh-surge"), self.days.get("ovulation")
        if not (lh_on or ovulation_on or self.matings or self.aged or has_risen):
            return None
        return BreedingFacts(
            lh_on=lh_on,
            ovulation_on=ovulation_on,
            season_on=self.days.get("season-start"),
            matings=tuple(self.matings),
            progesterone=tuple(self.progesterone),
            aged=tuple(self.aged),
            counts=tuple(self.counts),
            bitch_size=bitch_size,
            temperature_drop=temperature_drop(
                book=self.book,
                dam=self.dam,
                on=on,
                model=self.numbers.due_date.near_term,
            ),
            not_born_by=on - timedelta(days=1),
        )


def temperature_drop(
    *, book: Book, dam: str, on: date, model: NearTerm
) -> TemperatureDrop | None:
    """The latest fall of temperature that still speaks, in the kennel's own zone."""
    taken = [
        (entry.happened_at, entry.fact.celsius)
        for entry in book.about(dam)
        if isinstance(entry.fact, f.TemperatureTaken) and book.happened_on(entry) <= on
    ]
    own = timedelta(days=model.drop_mean_days)
    found = None
    for at, celsius in taken:
        before = [c for t, c in taken if timedelta(0) < at - t <= own]
        mean = sum(before) / len(before) if before else None
        fell = mean is not None and celsius <= mean - model.drop_by_celsius
        if celsius <= model.drop_to_celsius or fell:
            found = found or at
        else:
            found = None
    if found is None or (on - book.day_of(found)).days > model.drop_speaks_days:
        return None
    return TemperatureDrop(at=found.astimezone(book.zone))
