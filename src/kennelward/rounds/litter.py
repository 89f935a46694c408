"""One pregnancy or litter: what the book knows of it, when it is due, how it goes."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f
from kennelward.litters import (
    BreedingFacts,
    DatedLitter,
    DueDate,
    GrowthFlag,
    GrowthWarning,
    LitterLoss,
    LossModel,
    LossReview,
    Mating,
    MatingMethod,
    Night,
    ParentLoss,
    PregnancyWindows,
    Progesterone,
    Seen,
    Sign,
    TemperatureDrop,
    Trend,
    Weight,
    compare_parents,
    due_date,
    flag,
    is_overdue,
    night,
    pregnancy_windows,
    progesterone_ng_per_ml,
    review,
    trend,
    warnings,
)
from kennelward.terms import BadInput

PREGNANCY_REACH_DAYS = 80  # a mating older than this is another pregnancy
DROP_TO_C = 37.5  # 45 bitches: birth 13-33 h after falling to 37.5 degC or less
DROP_BY_C = 1.0  # below the own three-day mean; proposal
MOST_NG_PER_ML = 100.0  # beyond what assays report; higher says nothing more
LOST_BY_DAY = 7  # Tonnessen 2012 counts stillborn and dead by day 7


@dataclass(frozen=True, slots=True, kw_only=True)
class PregnancyPlan:
    """A bitch's present pregnancy as the book has it."""

    dam: str
    facts: BreedingFacts
    due: DueDate
    windows: PregnancyWindows
    is_overdue: bool
    last_mating_on: date | None
    do_dates_fit: bool = True  # False: some were left out, they contradict the others


def pregnancy_plan(*, book: Book, dam: str, on: date) -> PregnancyPlan | None:
    """The pregnancy that may be under way on `on`, or None.

    None where no mating, LH or ovulation day lies within the last 80 days, or a birth
    or a loss has followed it.
    """
    known = _known(book, dam, on=on)
    if known is None:
        return None
    last = max((mating.on for mating in known.matings), default=None)
    dated = _dated(known)
    if dated is None:
        return None
    used, due = dated
    return PregnancyPlan(
        dam=dam,
        facts=used,
        due=due,
        windows=pregnancy_windows(used),
        is_overdue=is_overdue(due=due, on=on, lh_on=known.lh_on, last_mating_on=last),
        last_mating_on=last,
        do_dates_fit=(used.lh_on, used.ovulation_on, used.matings, used.progesterone)
        == (known.lh_on, known.ovulation_on, known.matings, known.progesterone),
    )


def _dated(known: BreedingFacts) -> tuple[BreedingFacts, DueDate] | None:
    """The due date from all facts, or, where these contradict, from the strongest.

    Facts are left out in this order: what near term says, progesterone, then all but
    the ovulation day, the LH day, the last mating.
    """
    plain = replace(known, temperature_drop=None, not_born_by=None)
    tries = [known, plain, replace(plain, progesterone=())]
    if known.ovulation_on:
        tries.append(BreedingFacts(ovulation_on=known.ovulation_on))
    if known.lh_on:
        tries.append(BreedingFacts(lh_on=known.lh_on))
    if known.matings:
        last = max(known.matings, key=lambda mating: mating.on)
        tries.append(BreedingFacts(matings=(last,)))
    for facts in tries:
        try:
            return facts, due_date(facts)
        except BadInput:
            continue
    return None


def _known(book: Book, dam: str, *, on: date) -> BreedingFacts | None:
    since = on - timedelta(days=PREGNANCY_REACH_DAYS)
    entries = [e for e in book.about(dam) if since <= book.happened_on(e) <= on]
    for number, entry in reversed(list(enumerate(entries))):
        ended = isinstance(entry.fact, f.Whelped) and entry.fact.dam == dam
        if ended or isinstance(entry.fact, f.PregnancyLost):
            return _known_from(book, dam, entries[number + 1 :], on=on)
    return _known_from(book, dam, entries, on=on)


def _known_from(
    book: Book, dam: str, entries: list[Entry], *, on: date
) -> BreedingFacts | None:
    lh_on = ovulation_on = None
    matings: list[Mating] = []
    values: list[Progesterone] = []
    size = None
    for entry in entries:
        day = book.happened_on(entry)
        match entry.fact:
            case f.CycleNoted(what="lh-surge"):
                lh_on = day
            case f.CycleNoted(what="ovulation"):
                ovulation_on = day
            case f.Mated(dam=who, method=method) if who == dam:
                matings.append(Mating(on=day, method=MatingMethod(method)))
            case f.ProgesteroneMeasured(value=value, unit=unit):
                ng_per_ml = progesterone_ng_per_ml(value=value, unit=unit)
                values.append(
                    Progesterone(on=day, ng_per_ml=min(ng_per_ml, MOST_NG_PER_ML))
                )
            case f.PuppiesCounted(method="x-ray", count=count) if count > 0:
                size = count
    if not (lh_on or ovulation_on or matings):
        return None
    return BreedingFacts(
        lh_on=lh_on,
        ovulation_on=ovulation_on,
        matings=tuple(matings),
        progesterone=tuple(values),
        litter_size=size,
        temperature_drop=temperature_drop(book=book, dam=dam, on=on),
        not_born_by=on - timedelta(days=1),
    )


def temperature_drop(*, book: Book, dam: str, on: date) -> TemperatureDrop | None:
    """The latest drop within two days: to 37.5 degC, or 1.0 below the three-day mean."""
    taken = [
        (entry.happened_at, entry.fact.celsius)
        for entry in book.about(dam)
        if isinstance(entry.fact, f.TemperatureTaken) and book.happened_on(entry) <= on
    ]
    found = None
    for at, celsius in taken:
        before = [c for t, c in taken if timedelta(0) < at - t <= timedelta(days=3)]
        mean = sum(before) / len(before) if before else None
        fell = mean is not None and celsius <= mean - DROP_BY_C
        if celsius <= DROP_TO_C or fell:
            found = found or at
        elif found is not None:
            found = None
    if found is None or (on - book.day_of(found)).days > 2:
        return None
    return TemperatureDrop(at=found)


def whelping_night(*, book: Book, dam: str, now: datetime) -> Night | None:
    """The night under way: from its first entry until it was ended. None: no night."""
    seen: list[Seen] = []
    for entry in book.about(dam):
        if entry.happened_at > now:
            continue
        match entry.fact:
            case f.WhelpingEnded():
                seen = []
            case f.WhelpingNoted(sign=sign):
                seen.append(Seen(at=entry.happened_at, sign=Sign(sign)))
            case f.PuppyBorn():
                seen.append(Seen(at=entry.happened_at, sign=Sign.PUPPY))
    if not seen or now - seen[-1].at > timedelta(days=2):
        return None
    return night(seen, now=now)


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppyGrowth:
    """One puppy's weights and what they say."""

    dog: str
    weights: tuple[Weight, ...]
    trend: Trend | None  # None without a weight
    flag: GrowthFlag
    warnings: tuple[GrowthWarning, ...]


def litter_growth(*, book: Book, litter: str) -> tuple[PuppyGrowth, ...]:
    """Growth of every named puppy of a litter, in the litter's order."""
    card = book.litters[litter]
    return tuple(
        puppy_growth(book=book, dog=dog, born_at=card.whelped.happened_at)
        for dog in card.dogs
    )


def puppy_growth(*, book: Book, dog: str, born_at: datetime) -> PuppyGrowth:
    """One dog's weights, trend and warnings."""
    weights = tuple(
        Weight(at=entry.happened_at, weight_g=entry.fact.weight_g)
        for entry in book.about(dog)
        if isinstance(entry.fact, f.Weighed) and entry.fact.dog == dog
    )
    return PuppyGrowth(
        dog=dog,
        weights=weights,
        trend=trend(weights) if weights else None,
        flag=flag(weights, born_at=born_at),
        warnings=warnings(weights, born_at=born_at),
    )


def kennel_losses(
    *, book: Book, on: date, model: LossModel | None = None
) -> LossReview:
    """The kennel's litters judged as a run: stillborn, and dead by day 7."""
    return review(dated_litters(book=book, on=on), on=on, model=model)


def dated_litters(*, book: Book, on: date) -> tuple[DatedLitter, ...]:
    """Every litter with puppies: born, and lost by day 7."""
    found = []
    for card in book.litters.values():
        born_on = book.happened_on(card.whelped)
        born = card.born_alive + card.stillborn
        if born_on > on or born == 0:
            continue
        early = [
            death
            for death in card.deaths
            if (book.happened_on(death) - born_on).days <= LOST_BY_DAY
            and book.happened_on(death) <= on
        ]
        lost = min(born, card.stillborn + len(early))
        found.append(
            DatedLitter(
                litter=card.litter,
                born_on=born_on,
                loss=LitterLoss(born=born, lost=lost),
            )
        )
    return tuple(found)


def parents_compared(
    *, book: Book, on: date, role: str, model: LossModel | None = None
) -> tuple[ParentLoss, ...]:
    """Each dam's or sire's losses beside the kennel's; worst first.

    `role` is "dam" or "sire". Litters whose parent is not in the book are left out.
    """
    held = model or LossModel()
    kennel = kennel_losses(book=book, on=on, model=held).baseline
    pairs = []
    for one in dated_litters(book=book, on=on):
        card = book.litters[one.litter]
        parent = card.dam if role == "dam" else card.sire
        if parent:
            pairs.append((parent, one.loss))
    return compare_parents(pairs, kennel=kennel, model=held)
