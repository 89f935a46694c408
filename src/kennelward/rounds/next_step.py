"""Which step comes next for one dog: the kennel's own prices, thresholds, tests ranked.

Never a drug: the strongest step is to keep the dog apart and ask the vet about it. No
result lowers what signs, rules or an earlier line ask for.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from kennelward.evidence import (
    ACT,
    CARRY_ON,
    KEEP_APART,
    NO_TEST,
    STEPS,
    Harms,
    NextStep,
    StepThresholds,
    TestOffered,
    UninformativeWindow,
    best_step,
    choose_performance,
    next_steps,
    step_thresholds,
)
from kennelward.handbook import Handbook, Infection
from kennelward.kennel import Book
from kennelward.programme import Action
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.prices import (
    Prices,
    assumed_harms,
    assumed_strip,
    harms_of,
    method_price,
    prices_of,
    prices_said,
    strip_prices_of,
)
from kennelward.rounds.readiness import danger_stands
from kennelward.rounds.seen import circumstances, dependences
from kennelward.rounds.worth import DogInterpretation
from kennelward.terms import Call, Phrase

AT_LEAST_BY_ACTION = {  # what a rule in force asks for -> the least cautious step left
    "call-vet": ACT,
    "keep-apart": KEEP_APART,
    "hold": KEEP_APART,
}
CLEARS = ("vet-sample", "no-mating")
SEEN_SAYS = (
    "A line was seen: apart until a repeat and the vet say otherwise, whatever the "
    "chance."
)
DANGER_SAYS = (
    "The danger check found something: the vet comes first, whatever a test says."
)
PROVISIONAL_SAYS = (
    "The last possible contact is too recent for any negative to clear it: apart from "
    "the others, no mating and no semen until the vet's sample on its day."
)
APART_SAYS = "It is kept apart already, and no strip result ends that."
SIGNS_SAYS = (
    "It has signs: apart and watched, and ask the vet as the due list says. No negative "
    "ends that."
)
PEN_SAYS = {
    "quarantine": "It is in quarantine, and no strip result ends that.",
    "isolation": "It is in isolation, and no strip result ends that.",
}
HEALTHY_SAYS = (
    "It has no signs. A strip finds hardly any healthy dog that carries this, so a "
    "negative would clear nobody: signs, vaccination, quarantine and the vet decide."
)
BRUCELLA_SAYS = (
    "It is apart on account of Brucella: no mating and no semen until its clearing "
    "sample is in."
)
PROVISIONAL_RULES = "brucella-suspect."  # their no-mating holds a dog apart


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """The least cautious step that is left, and why."""

    step: str = CARRY_ON  # evidence.STEPS
    because: Phrase | None = None
    is_of_another: bool = False  # it is about an infection that is not this one


@dataclass(frozen=True, slots=True, kw_only=True)
class NotNow:
    """A test that would not count for this dog today."""

    test: str
    because: Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class NextStepAdvice:
    """The panel of a dog: thresholds, where its chance lies, tests by their worth."""

    chance: float  # 0 to 1; the mean, which is what prices are weighed by
    thresholds: StepThresholds
    floor: Floor
    step: str  # today, without another test
    ranked: tuple[NextStep, ...]  # the most worthwhile first; holds "no-test"
    not_now: tuple[NotNow, ...]
    harms: Harms
    harms_are_assumed: bool
    prices: Prices
    assumed_prices: tuple[str, ...]  # tests whose price nobody said


def next_step(
    *,
    book: Book,
    handbook: Handbook,
    found: DogInterpretation,
    on: date,
    actions: Sequence[Action] = (),
) -> NextStepAdvice | None:
    """What to do about one dog and one infection, with this kennel's prices and harms.

    `actions`: what the rules ask for today (`kennel_plan`); they are a floor. None for
    pregnancy, which has its own dates, and for a dog too young to be assessed.
    """
    card = handbook.infections[found.infection]
    if "harm_missed" not in card.values or _is_too_young(card, found):
        return None
    prices = prices_of(book, card)
    harms, are_assumed = harms_of(book, card, prices=prices)
    return advise(
        handbook=with_own_figures(book=book, handbook=handbook),
        found=found,
        harms=harms,
        harms_are_assumed=are_assumed,
        prices=prices,
        strip_prices=strip_prices_of(book, handbook),
        floor=floor_of(
            book=book, handbook=handbook, found=found, on=on, actions=actions
        ),
    )


def advise(
    *,
    handbook: Handbook,
    found: DogInterpretation,
    harms: Harms,
    prices: Prices,
    harms_are_assumed: bool = True,
    strip_prices: dict[str, int] | None = None,
    floor: Floor | None = None,
) -> NextStepAdvice:
    """The same from values alone, for a dog that is in no book."""
    floor = floor or Floor()
    card = handbook.infections[found.infection]
    offered, not_now, assumed = _offers(
        handbook, found, prices=prices, strip_prices=strip_prices or {}
    )
    ranked = next_steps(
        prior=found.prior,
        results=found.seen,
        dependence=dependences(handbook, card.infection),
        offered=offered,
        harms=harms,
        at_least=floor.step,
        if_positive=ACT,  # a line that is seen is a suspect, whatever the chance
    )
    chance = next(s.chance_if_positive for s in ranked if s.test == NO_TEST)
    return NextStepAdvice(
        chance=chance,
        thresholds=step_thresholds(harms),
        floor=floor,
        step=best_step(harms, chance, at_least=floor.step),
        ranked=ranked,
        not_now=not_now,
        harms=harms,
        harms_are_assumed=harms_are_assumed,
        prices=prices,
        assumed_prices=assumed,
    )


def advise_by_prices(
    *,
    handbook: Handbook,
    found: DogInterpretation,
    visit_cents: int = 0,
    laboratory_cents: int = 0,
    strip_cents: int = 0,
) -> NextStepAdvice | None:
    """`advise` with the handbook's harms and prices as given; 0 means not said.

    None where `next_step` gives none. A seen line is a floor, and so is a negative that
    would be provisional; what rules ask for needs a book.
    """
    card = handbook.infections[found.infection]
    if "harm_missed" not in card.values or _is_too_young(card, found):
        return None
    prices = prices_said(
        card, visit_cents=visit_cents, laboratory_cents=laboratory_cents
    )
    strips = {kit.kit: strip_cents for kit in handbook.kits_for(found.infection)}
    return advise(
        handbook=handbook,
        found=found,
        harms=assumed_harms(card, prices=prices),
        prices=prices,
        strip_prices=strips,
        floor=_strictest(
            [
                _provisional(handbook, found),
                *_seen_floor(found),
                *_signs_floor(found.case.signs),
            ]
        ),
    )


def _is_too_young(card: Infection, found: DogInterpretation) -> bool:
    youngest = card.values.get("from_age_days")
    age = found.case.age_days
    return youngest is not None and age is not None and age < youngest.value


def floor_of(
    *,
    book: Book,
    handbook: Handbook,
    found: DogInterpretation,
    on: date,
    actions: Iterable[Action],
) -> Floor:
    """The least cautious step that signs, rules and earlier lines leave."""
    card = book.dogs[found.dog]
    floors = [_provisional(handbook, found), *_seen_floor(found)]
    if card.apart is not None:
        floors.append(Floor(step=KEEP_APART, because=Phrase(APART_SAYS)))
    if danger_stands(book, found.dog, on=on):
        floors.append(Floor(step=ACT, because=Phrase(DANGER_SAYS)))
    about = {found.dog, card.pen, card.described.litter} - {""}
    for action in actions:
        if action.subject in about and action.window.first <= on:
            floors.extend(_floor_by_rule(action, handbook, found.infection))
    pen = book.pens[card.pen].described.pen_kind if card.pen in book.pens else ""
    if pen in PEN_SAYS:
        floors.append(Floor(step=KEEP_APART, because=Phrase(PEN_SAYS[pen])))
    floors.extend(_signs_floor(card.signs))
    return _strictest(floors)


def _strictest(floors: Sequence[Floor]) -> Floor:
    """The most cautious; the first of equals."""
    return max(floors, key=lambda floor: STEPS.index(floor.step), default=Floor())


def _seen_floor(found: DogInterpretation) -> list[Floor]:
    if not found.worth.act_as_suspect:
        return []
    return [Floor(step=KEEP_APART, because=Phrase(SEEN_SAYS))]


def _signs_floor(signs: Sequence[str]) -> list[Floor]:
    return [Floor(step=KEEP_APART, because=Phrase(SIGNS_SAYS))] if signs else []


def _floor_by_rule(action: Action, handbook: Handbook, infection: str) -> list[Floor]:
    """What one open action leaves, for whichever infection it is asked."""
    rule = action.rule.rule
    step, because = AT_LEAST_BY_ACTION.get(action.what), action.says
    if action.what in CLEARS and infection in rule:
        step = KEEP_APART  # the sample that may clear it has not been taken
    if action.what == "no-mating" and rule.startswith(PROVISIONAL_RULES):
        step, because = KEEP_APART, Phrase(BRUCELLA_SAYS)
    if step is None:
        return []
    of_another = infection not in rule and any(
        name in rule for name in handbook.infections
    )
    return [Floor(step=step, because=because, is_of_another=of_another)]


def _provisional(handbook: Handbook, found: DogInterpretation) -> Floor:
    """Apart while any negative would be provisional, since the last possible contact."""
    around = circumstances(found.case)
    for kit in handbook.kits_for(found.infection):
        for window in kit.windows:
            if (
                window.event == "exposure"
                and window.effect == "no-information"
                and window.holds(test=kit.kit, call=Call.NEGATIVE, case=around)
            ):
                return Floor(step=KEEP_APART, because=Phrase(PROVISIONAL_SAYS))
    return Floor()


def _offers(
    handbook: Handbook,
    found: DogInterpretation,
    *,
    prices: Prices,
    strip_prices: dict[str, int],
) -> tuple[list[TestOffered], tuple[NotNow, ...], tuple[str, ...]]:
    """Tests that could be done today, those that would not count, and unsaid prices."""
    around = circumstances(found.case)
    offered: list[TestOffered] = []
    not_now: list[NotNow] = []
    assumed: list[str] = []
    for kit in handbook.kits_for(found.infection):
        why = _void_today(kit.windows, kit.kit, found)
        if handbook.infections[found.infection].no_plan and not found.case.signs:
            why = Phrase(HEALTHY_SAYS)
        if why is not None:
            not_now.append(NotNow(test=kit.kit, because=why))
            continue
        price = strip_prices.get(kit.kit, 0) if prices.is_money else 0
        if not price:
            assumed.append(kit.kit)
            price = assumed_strip(handbook, kit, prices)
        if kit.is_for_vet_or_trained:
            price += prices.visit_cents
        offered.append(
            TestOffered(
                performance=choose_performance(kit.performances, case=around),
                name=kit.kit,
                price_cents=price,
            )
        )
    for method in handbook.methods.values():
        why = _void_today(method.windows_for(found.infection), method.method, found)
        for each in method.performances:
            if each.infection != found.infection:
                continue
            if why is not None:
                not_now.append(NotNow(test=method.method, because=why))
                break
            if "laboratory" in each.needs and not prices.is_laboratory_said:
                assumed.append(method.method)
            offered.append(
                TestOffered(
                    performance=each.performance,
                    name=method.method,
                    price_cents=method_price(each.needs, each.days_sampled, prices),
                    days_sampled=each.days_sampled,
                )
            )
    return offered, tuple(not_now), tuple(dict.fromkeys(assumed))


def _void_today(
    windows: Sequence[UninformativeWindow], test: str, found: DogInterpretation
) -> Phrase | None:
    """Why one answer of this test, sampled today, would say nothing; None where both do."""
    around = circumstances(found.case)
    for window in windows:
        if window.effect != "no-information":
            continue
        for call in (Call.NEGATIVE, Call.POSITIVE):
            if window.holds(test=test, call=call, case=around):
                return Phrase(window.says)
    return None
