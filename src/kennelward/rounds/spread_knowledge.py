"""What is known of an infection's spread: the handbook's numbers and this kennel's own."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kennelward.evidence import BetaChance, Circumstances, choose_performance
from kennelward.handbook import DogFacts, Handbook
from kennelward.kennel import Book
from kennelward.kennel import facts as f
from kennelward.rounds.seen import GROWN_DAYS
from kennelward.rounds.suspects import suspects
from kennelward.rounds.worth import results_of
from kennelward.spread.knowledge import Grade, Knowledge, Known
from kennelward.spread.learning import (
    Learnt,
    learn_delay,
    learn_prevalence,
    learn_share,
)
from kennelward.spread.scenario_of import ARRIVAL, VISIT, TestSetting
from kennelward.terms import BadInput, Call, Provenance, Sourced

PREFIX = "spread_"
YOUNG_ARRIVAL_DAYS = 63  # a puppy bought at nine weeks
ARRIVAL_TEST_DAYS = 30  # a test so soon after coming speaks of what came in
LABORATORY_DAYS = 4.0  # until a result is back; common practice, no source
PAIR_DAYS = 60  # a pen-mate tested within so many days of a case counts as exposed


@dataclass(frozen=True, slots=True, kw_only=True)
class TestChoice:
    """The test that a plan uses: a kit or a method of the handbook, and its delay."""

    __test__ = False  # not a test case of pytest

    test: str
    name: str
    setting: TestSetting
    is_kit: bool


def knowledge_of(*, handbook: Handbook, infection: str, test: str = "") -> Knowledge:
    """The handbook's numbers on one infection's spread, with the figures of a test.

    Raises BadInput where the handbook has no spread numbers or no such test.
    """
    check_infection(handbook, infection)
    held = handbook.infections[infection]
    numbers = {
        name.removeprefix(PREFIX): known_of(name.removeprefix(PREFIX), value.latest)
        for name, value in held.values.items()
        if name.startswith(PREFIX)
    }
    numbers.update(_test_numbers(handbook, infection, test))
    for name, facts, says in (
        (
            ARRIVAL,
            DogFacts(age_days=YOUNG_ARRIVAL_DAYS, is_vaccinated=True),
            "Chance that a new dog brings it in",
        ),
        (
            VISIT,
            DogFacts(age_days=GROWN_DAYS),
            "Chance that a visiting dog brings it in",
        ),
    ):
        base = handbook.priors[infection].base_for(facts).chance
        numbers[name] = known_chance(name, base, says)
    return Knowledge(
        infection=infection,
        name=held.name,
        is_zoonotic=held.is_zoonotic,
        numbers=numbers,
    )


def check_infection(handbook: Handbook, infection: str) -> None:
    """Raise BadInput unless the handbook says how this infection spreads."""
    spreads = [
        name
        for name, one in sorted(handbook.infections.items())
        if any(key.startswith(PREFIX) for key in one.values)
    ]
    if infection not in spreads:
        raise BadInput(
            f"infection must be one of {', '.join(spreads)}; got {infection!r}"
        )


def known_of(name: str, value: Sourced) -> Known:
    """A number of the handbook with its range and grade."""
    return Known(
        name=name,
        value=value.value,
        low=value.value if value.low is None else value.low,
        high=value.value if value.high is None else value.high,
        says=value.says,
        source=value.source,
        grade=grade_of(value.provenance),
        is_chance=value.unit == "chance",
        unit=value.unit,
    )


def grade_of(provenance: Provenance) -> Grade:
    """How the pages grade it: what is remembered or common practice is our guess."""
    if provenance is Provenance.PUBLISHED:
        return Grade.PUBLISHED
    return Grade.RECORDS if provenance is Provenance.USER else Grade.GUESS


def known_chance(name: str, chance: BetaChance, says: str) -> Known:
    """A Beta chance as a known number."""
    spread = chance.interval()
    return Known(
        name=name,
        value=spread.median,
        low=spread.low,
        high=spread.high,
        says=says,
        source=chance.source,
        grade=grade_of(chance.provenance),
        is_chance=True,
        unit="chance",
    )


def offered_tests(handbook: Handbook, infection: str) -> tuple[TestChoice, ...]:
    """Kits first, then other methods that have figures for the infection."""
    found = [
        TestChoice(
            test=kit.kit,
            name=kit.name,
            setting=TestSetting(window=_window(handbook, infection, kit.sees)),
            is_kit=True,
        )
        for kit in handbook.kits_for(infection)
    ]
    for method in sorted(handbook.methods.values(), key=lambda m: m.method):
        sees = [
            p.performance.sees for p in method.performances if p.infection == infection
        ]
        if sees:
            window = _window(handbook, infection, sees[0])
            setting = TestSetting(delay_days=LABORATORY_DAYS, window=window)
            found.append(
                TestChoice(
                    test=method.method, name=method.name, setting=setting, is_kit=False
                )
            )
    return tuple(found)


def chosen_test(handbook: Handbook, infection: str, test: str) -> TestChoice:
    """The named test, or the first there is. Raises BadInput for an unknown one."""
    known = offered_tests(handbook, infection)
    for choice in known:
        if test in ("", choice.test):
            return choice
    names = ", ".join(choice.test for choice in known)
    raise BadInput(f"test for {infection} must be one of {names}; got {test!r}")


def _window(
    handbook: Handbook, infection: str, sees: str
) -> tuple[float, float] | None:
    """Of a test that looks for antibody: nothing before the first day, all from the last."""
    values = handbook.infections[infection].values
    if "antibody" not in sees or "antibody_from_days" not in values:
        return None
    return values["antibody_from_days"].value, values["clearing_days"].value


def _test_numbers(handbook: Handbook, infection: str, test: str) -> dict[str, Known]:
    choice = chosen_test(handbook, infection, test)
    if choice.is_kit:
        cards = handbook.kits[choice.test].performances
        silent, sick = (
            choose_performance(cards, case=Circumstances(is_sick=is_sick))
            for is_sick in (False, True)
        )
    else:
        method = handbook.methods[choice.test]
        silent = sick = method.performance_for(infection)
    says = f"Chance that {choice.name} finds"
    return {
        known.name: known
        for known in (
            known_chance(
                "test_finds_silent", silent.sensitivity, f"{says} it without signs"
            ),
            known_chance("test_finds_sick", sick.sensitivity, f"{says} it with signs"),
            known_chance(
                "test_clears",
                silent.specificity,
                f"Chance that {choice.name} is negative in a dog without it",
            ),
        )
    }


def learnt_from_book(
    *, book: Book, handbook: Handbook, knowledge: Knowledge, on: date
) -> tuple[Learnt, ...]:
    """What the kennel's records say of what can be learnt from them, and nothing else.

    Arrivals: strips read within 30 days of coming. Signs: suspects that did or did not
    show any. Pen-mates: dogs that shared a pen with a suspect and were tested within 60
    days. Never a rate of spread.
    """
    infection = knowledge.infection
    found = [_arrivals(book, handbook, knowledge, on=on)]
    held = suspects(book=book, handbook=handbook, infection=infection, on=on)
    tested = [s for s in held if s.because in ("test", "laboratory")]
    ill = sum(bool(_signs_near(book, s.dog, s.since)) for s in tested)
    found.append(
        learn_share(
            knowledge.numbers["signs"],
            found=ill,
            of=len(tested),
            says="suspects that had signs",
        )
    )
    if "attack" in knowledge.numbers:
        hit, exposed = _pen_mates(book, handbook, infection, on=on)
        found.append(
            learn_share(
                knowledge.numbers["attack"],
                found=hit,
                of=exposed,
                says="pen-mates of a suspect that were tested and were suspects too",
            )
        )
    return tuple(found)


def with_learnt(knowledge: Knowledge, learnt: tuple[Learnt, ...]) -> Knowledge:
    """The knowledge with what the records say in place of what was thought."""
    numbers: Mapping[str, Known] = {
        **knowledge.numbers,
        **{one.name: one.after for one in learnt if one.moved},
    }
    return replace(knowledge, numbers=dict(numbers))


def delay_from_book(
    *, book: Book, handbook: Handbook, infection: str, on: date
) -> Learnt:
    """Days from first signs to a result, before and after the kennel's records."""
    from kennelward.rounds.case import signs_on

    days = []
    for card in book.tests.values():
        kit = handbook.kits.get(card.kit)
        if kit is None or kit.infection != infection or card.read_at is None:
            continue
        day = book.day_of(card.started.happened_at)
        if day > on or not signs_on(book=book, dog=card.dog, on=day):
            continue
        since = _signs_near(book, card.dog, day)
        if since is not None:
            days.append(float((book.day_of(card.read_at) - since).days))
    known = Known(
        name="result_delay_days",
        value=2.0,
        low=0.5,
        high=7.0,
        says="Days from first signs to a result",
        source=Provenance.COMMON_PRACTICE.value,
        grade=Grade.GUESS,
        unit="day",
    )
    return learn_delay(known, days=days, says="results of dogs that were ill")


def _arrivals(
    book: Book, handbook: Handbook, knowledge: Knowledge, *, on: date
) -> Learnt:
    tested = positive = 0
    for card in book.dogs.values():
        if card.arrived is None or card.is_visiting:
            continue
        came = book.happened_on(card.arrived)
        until = min(on, came + timedelta(days=ARRIVAL_TEST_DAYS))
        results = [
            result
            for result in results_of(
                book=book,
                handbook=handbook,
                dog=card.dog,
                infection=knowledge.infection,
                on=until,
            )
            if result.on is not None
            and result.on >= came
            and not result.void_reasons
            and result.call in (Call.POSITIVE, Call.TRACE, Call.NEGATIVE)
        ]
        if results:
            tested += 1
            positive += any(result.call is not Call.NEGATIVE for result in results)
    return learn_prevalence(
        knowledge.numbers[ARRIVAL],
        positive=positive,
        tested=tested,
        sensitivity=knowledge.value("test_finds_silent"),
        specificity=knowledge.value("test_clears"),
        says="new dogs tested within 30 days of coming, and positive",
    )


def _signs_near(book: Book, dog: str, day: date) -> date | None:
    """First day of signs within two weeks before or after a day, or None."""
    near = timedelta(days=14)
    days = [
        book.happened_on(entry)
        for entry in book.about(dog)
        if isinstance(entry.fact, f.Observed) and entry.fact.signs
    ]
    inside = [one for one in days if day - near <= one <= day + near]
    return min(inside, default=None)


def _pen_mates(
    book: Book, handbook: Handbook, infection: str, *, on: date
) -> tuple[int, int]:
    """(suspects among them, tested pen-mates of the first suspect of each pen)."""
    from kennelward.kennel import ContactHow, contacts
    from kennelward.terms import DateWindow

    held = suspects(book=book, handbook=handbook, infection=infection, on=on)
    names = {s.dog for s in held}
    counted: dict[str, bool] = {}
    for suspect in held:
        window = DateWindow(suspect.since - timedelta(days=PAIR_DAYS), suspect.since)
        for met in contacts(book, suspect.dog, window=window):
            if met.how is not ContactHow.SAME_PEN or met.dog in counted:
                continue
            later = suspect.since + timedelta(days=PAIR_DAYS)
            results = results_of(
                book=book,
                handbook=handbook,
                dog=met.dog,
                infection=infection,
                on=min(on, later),
            )
            if results:
                counted[met.dog] = met.dog in names
    return sum(counted.values()), len(counted)
