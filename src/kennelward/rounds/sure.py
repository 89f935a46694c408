"""How sure the kennel can be that an infection is absent, from its own book.

Never "free": a chance, what it rests on, and what is taken for granted, all of which
can be changed. While a suspect is open the answer is refused, with the dogs' names.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from kennelward.evidence import (
    BetaChance,
    DogAtRisk,
    FreedomCurve,
    FreedomPoint,
    FreedomQuestion,
    Introduction,
    freedom_curve,
    infected_at,
)
from kennelward.handbook import Handbook
from kennelward.kennel import Book, DogCard
from kennelward.rounds.after_exposure import BRUCELLA, open_losses
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.sure_arrivals import introductions, joined_days
from kennelward.rounds.sure_book import (
    JoinedOn,
    Negative,
    NegativesOf,
    NotCounted,
    last_case_day,
    negative_rounds,
    sorted_out,
)
from kennelward.rounds.suspects import suspects
from kennelward.terms import BadInput, OutOfRange, Phrase, check_range

LONGEST_DAYS = 730  # looked back; what is older says little of today
DAYS_A_YEAR = 365
MOST_INFECTED = 50  # dogs; a lower number is the stricter meaning of "absent"
PREGNANCY = "pregnancy"
START_STRENGTH = 20  # our choice: a start is a judgement, not a count

SUSPECT_OPEN = Phrase(
    "A suspect is open ({dogs}): nothing can be said until the vet has settled it."
)
LOSSES_OPEN = Phrase(
    "Losses that may be Brucella are open ({dogs}): nothing can be said until a "
    "laboratory and the vet have answered."
)
NOT_COUNTED_IN = Phrase(
    "Puppies were lost ({dogs}), and no laboratory has answered whether it was Brucella: "
    "this number does not count them in. Ask the vet."
)
CASE_OPEN = Phrase(
    "A positive is in the book whose days are not over: nothing can be said before."
)
NO_DOG = Phrase("No dog is here to speak of.")
NO_TEST = Phrase(
    "No negative that counts is in the book since {since}: this is where you started, "
    "lowered by what came in."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumptions:
    """What is taken for granted; chances 0 to 1."""

    starts_on: date
    infected_share: float  # of the dogs, were it here
    absent_at_start: float
    unwritten_a_year: float  # comes in by a way that is not in the book
    brought_home: float  # by one mating outside
    young_risk: float  # beside grown dogs
    young_days: int

    def __post_init__(self) -> None:
        check_range(
            "share infected, were it here", self.infected_share, low=0.001, high=0.5
        )
        check_range(
            "chance absent at the start", self.absent_at_start, low=0.01, high=0.99
        )
        check_range("chance a year unwritten", self.unwritten_a_year, low=0, high=0.9)
        check_range("chance brought home", self.brought_home, low=0, high=0.9)
        check_range("risk of young dogs", self.young_risk, low=0.05, high=20)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sureness:
    """How sure, by day, and everything it rests on."""

    infection: str
    on: date
    assumptions: Assumptions
    dogs: tuple[str, ...]  # those that are counted
    set_aside: tuple[str, ...]  # in quarantine since they came: not counted yet
    infected: int  # dogs that would be infected, were it here; "absent" is fewer
    question: FreedomQuestion | None  # None where there is no dog
    curve: FreedomCurve | None  # None where refused
    refused: Phrase | None
    suspects: tuple[str, ...]
    says: tuple[Phrase, ...]
    tests: int  # negatives that count
    not_counted: tuple[NotCounted, ...]
    introductions: tuple[Introduction, ...]

    @property
    def today(self) -> FreedomPoint | None:
        """The last point of the curve."""
        return self.curve.points[-1] if self.curve is not None else None


def infections_of(handbook: Handbook) -> tuple[str, ...]:
    """Infections that the question can be asked about, by id."""
    return tuple(name for name in sorted(handbook.infections) if name != PREGNANCY)


def usual_assumptions(
    *, book: Book, handbook: Handbook, infection: str, on: date
) -> Assumptions:
    """What the handbook takes for granted, and the first day that can be counted.

    That is two years back, the book's first day, or the day after the last case.
    """
    values = _values(handbook, infection)
    first = min((book.happened_on(entry) for entry in book.live), default=on)
    case = last_case_day(book=book, handbook=handbook, infection=infection, on=on)
    starts = max(first, on - timedelta(days=LONGEST_DAYS))
    if case is not None:
        starts = max(starts, min(case + timedelta(days=1), on))
    return Assumptions(
        starts_on=min(starts, on),
        infected_share=values["sure_infected_share"],
        absent_at_start=values["sure_absent_at_start"],
        unwritten_a_year=values["sure_unwritten_a_year"],
        brought_home=values["sure_brought_home"],
        young_risk=values["sure_young_risk"],
        young_days=round(values["sure_young_days"]),
    )


def _values(handbook: Handbook, infection: str) -> Mapping[str, float]:
    if infection not in handbook.infections or infection == PREGNANCY:
        known = ", ".join(infections_of(handbook))
        raise BadInput(f"infection must be one of {known}; got {infection!r}")
    held = handbook.infections[infection].values
    return {name: value.value for name, value in held.items()}


def how_sure(
    *,
    book: Book,
    handbook: Handbook,
    infection: str,
    on: date,
    assumptions: Assumptions | None = None,
) -> Sureness:
    """How sure the kennel can be on each day to `on`, from negatives that count.

    `book` holds what happened up to `on`. `assumptions`: changed ones; the handbook's
    without. Raises BadInput for an unknown infection, OutOfRange where counting would
    begin after `on` or before the last case was over.
    """
    own = with_own_figures(book=book, handbook=handbook)
    usual = usual_assumptions(book=book, handbook=own, infection=infection, on=on)
    taken = assumptions or usual
    if not usual.starts_on <= taken.starts_on <= on:
        raise OutOfRange(
            f"the first day that is counted must be from {usual.starts_on} to {on}, "
            f"got {taken.starts_on}"
        )
    joined = joined_days(book=book, on=on)
    here = [card for card in book.dogs_here if not _is_aside(card, joined)]
    aside = tuple(card.dog for card in book.dogs_here if _is_aside(card, joined))
    evidence = _evidence(
        book, own, infection, on=on, taken=taken, joined=joined, here=here
    )
    question = None
    if here:
        question = _question(own, infection, on=on, taken=taken, here=here, of=evidence)
    asked = _asked(book, own, infection, on=on)
    refused = asked.refused or (NO_DOG if question is None else None)
    curve = None
    if question is not None and refused is None:
        curve = freedom_curve(question, until=on)
    tests = len(evidence.kept)
    return Sureness(
        infection=infection,
        on=on,
        assumptions=taken,
        dogs=tuple(card.dog for card in here),
        set_aside=aside,
        infected=question.design_infected if question is not None else 0,
        question=question,
        curve=curve,
        refused=refused,
        suspects=asked.suspects,
        says=_says(
            curve,
            refused=refused,
            since=taken.starts_on,
            tests=tests,
            beside=asked.beside,
        ),
        tests=tests,
        not_counted=evidence.not_counted,
        introductions=evidence.came,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Evidence:
    """What the book holds for and against."""

    kept: tuple[Negative, ...]
    not_counted: tuple[NotCounted, ...]
    came: tuple[Introduction, ...]


def _evidence(
    book: Book,
    handbook: Handbook,
    infection: str,
    *,
    on: date,
    taken: Assumptions,
    joined: Mapping[str, JoinedOn],
    here: Sequence[DogCard],
) -> _Evidence:
    negatives = NegativesOf(
        book=book, handbook=handbook, infection=infection, on=on
    ).all()
    kept, not_counted = sorted_out(
        negatives,
        population=frozenset(card.dog for card in here),
        joined=joined,
        since=taken.starts_on,
    )
    came = introductions(
        book=book,
        handbook=handbook,
        infection=infection,
        since=taken.starts_on,
        on=on,
        joined=joined,
        negatives=negatives,
        brought_home=taken.brought_home,
    )
    return _Evidence(kept=tuple(kept), not_counted=not_counted, came=came)


def _question(
    handbook: Handbook,
    infection: str,
    *,
    on: date,
    taken: Assumptions,
    here: Sequence[DogCard],
    of: _Evidence,
) -> FreedomQuestion:
    return FreedomQuestion(
        infection=infection,
        dogs=_at_risk(here, taken=taken, on=on),
        design_infected=_infected(len(here), taken.infected_share),
        starts_on=taken.starts_on,
        prior=BetaChance(mean=taken.absent_at_start, strength=START_STRENGTH),
        rounds=negative_rounds(of.kept, handbook=handbook, infection=infection),
        introductions=of.came,
        daily_introduction=1 - (1 - taken.unwritten_a_year) ** (1 / DAYS_A_YEAR),
    )


def _case_is_open(book: Book, handbook: Handbook, infection: str, *, on: date) -> bool:
    case = last_case_day(book=book, handbook=handbook, infection=infection, on=on)
    return case is not None and case >= on


def _infected(dogs: int, share: float) -> int:
    return min(MOST_INFECTED, infected_at(group_size=dogs, prevalence=share))


def _is_aside(card: DogCard, joined: Mapping[str, JoinedOn]) -> bool:
    return card.dog in joined and joined[card.dog].joined is None


def _at_risk(
    cards: Sequence[DogCard], *, taken: Assumptions, on: date
) -> tuple[DogAtRisk, ...]:
    return tuple(
        DogAtRisk(
            dog=card.dog,
            relative_risk=taken.young_risk
            if card.age_days(on) < taken.young_days
            else 1.0,
        )
        for card in cards
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """Why nothing can be said, with the dogs; and what is said beside the number."""

    refused: Phrase | None = None
    suspects: tuple[str, ...] = ()
    beside: tuple[Phrase, ...] = ()


def _asked(book: Book, handbook: Handbook, infection: str, *, on: date) -> _Asked:
    found = suspects(book=book, handbook=handbook, infection=infection, on=on)
    if found:
        dogs = tuple(one.dog for one in found)
        return _Asked(refused=_open(book, SUSPECT_OPEN, dogs), suspects=dogs)
    beside: tuple[Phrase, ...] = ()
    if infection == BRUCELLA:
        losses = open_losses(book=book, handbook=handbook, on=on)
        dogs = tuple(sorted(losses.dogs))
        if losses.is_raised:
            return _Asked(refused=_open(book, LOSSES_OPEN, dogs), suspects=dogs)
        beside = (_open(book, NOT_COUNTED_IN, dogs),) if dogs else ()
    is_case = _case_is_open(book, handbook, infection, on=on)
    return _Asked(refused=CASE_OPEN if is_case else None, beside=beside)


def _open(book: Book, says: Phrase, dogs: Sequence[str]) -> Phrase:
    return Phrase(says.template, {"dogs": ", ".join(map(book.name_of, dogs))})


def _says(
    curve: FreedomCurve | None,
    *,
    refused: Phrase | None,
    since: date,
    tests: int,
    beside: tuple[Phrase, ...],
) -> tuple[Phrase, ...]:
    if refused is not None or curve is None:
        return (refused,) if refused is not None else ()
    if not tests:
        none = Phrase(NO_TEST.template, {"since": since.isoformat()})
        return (curve.rests_on[0], *beside, none)
    return (curve.rests_on[0], *beside, *curve.rests_on[1:])
