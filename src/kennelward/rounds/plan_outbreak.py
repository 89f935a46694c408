"""What may happen: the kennel's book carried on many times, and what a policy changes.

The whole job: from the book a kennel, from the handbook and the records what is known,
from the policies plans; then runs, figures and words. Never: a promise, a single number
without a range, a carrier kept without the warning to people first.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from types import MappingProxyType

from kennelward.handbook import Caution, Handbook
from kennelward.kennel import Book
from kennelward.rounds.ahead_view import AheadSettings
from kennelward.rounds.figures import with_own_figures
from kennelward.rounds.kennel_ahead import KennelAhead, kennel_ahead
from kennelward.rounds.outbreak_words import said_of
from kennelward.rounds.policy_changes import Change, with_changes
from kennelward.rounds.spread_knowledge import (
    TestChoice,
    check_infection,
    chosen_test,
    delay_from_book,
    knowledge_of,
    learnt_from_book,
    with_learnt,
)
from kennelward.spread.compare import (
    Amount,
    Comparison,
    compare,
    rounds_of_halving,
    search,
)
from kennelward.spread.compiled import compiled
from kennelward.spread.knowledge import Knowledge, Known
from kennelward.spread.learning import Learnt
from kennelward.spread.many_runs import ManyRuns, Question, Workers
from kennelward.spread.matters import matters_most
from kennelward.spread.measures import fan
from kennelward.spread.policies import (
    KINDS,
    PRODUCTS,
    Plan,
    PolicyText,
    Prices,
    combined,
    one_change,
    plan_id,
)
from kennelward.terms import BadInput, Phrase

MOST_PLANS = 150
FAN_RUNS = 25  # a world
USUAL_NOW = {  # what is taken as present practice where the user says nothing
    "arrivals": ("quarantine-14", "quarantine-56-test-0-56"),
    "visits": ("visits-as-they-come",),
    "sick": ("sick-apart", "sick-test-until-the-vet"),
    "outbreak": ("as-before",),
}
PEOPLE_FIRST = {  # cautions shown before any figure, by infection
    "brucella": ("brucella-people", "reporting-local", "no-rehoming-on-a-strip"),
    "giardia": ("giardia-people", "soap-not-gel"),
    "parvovirus": ("danger-first", "soap-not-gel"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the user asks; everything not said is as the book and the handbook have it."""

    infection: str
    test: str = ""
    settings: AheadSettings = field(default_factory=AheadSettings)
    prices: Prices | None = None
    now: tuple[str, ...] = ()  # ids of the policies in use, one a kind at most
    own: tuple[PolicyText, ...] = ()  # policies that the user made
    changes: tuple[Change, ...] = ()  # the user's numbers in ready policies
    by: str = "sick_days"
    is_search: bool = False  # all combinations, not one change at a time
    seed: int = 1
    amount: Amount = field(default_factory=Amount)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """Everything worked out before the first run."""

    asked: Asked
    question: Question
    knowledge: Knowledge
    learnt: tuple[Learnt, ...]
    ahead: KennelAhead
    test: TestChoice
    now: Plan
    plans: tuple[Plan, ...]
    prices: Prices
    people_first: tuple[Caution, ...]

    @property
    def runs(self) -> int:
        """Runs that will be done, for a progress bar."""
        amount, plans = self.asked.amount, len(self.plans)
        fans = 2 * amount.worlds * FAN_RUNS
        if not self.asked.is_search:
            return (plans + 1) * amount.worlds * amount.runs + fans
        left, per_world, done = plans, 0, 0
        runs = amount.first_runs
        for _ in range(rounds_of_halving(plans)):
            per_world += left * (runs - done)
            left = max(3, -(-left // 2))
            done, runs = runs, 2 * runs
        return amount.worlds * (per_world + (left + 1) * amount.runs) + fans


@dataclass(frozen=True, slots=True, kw_only=True)
class OutbreakAnswer:
    """What may happen, in figures and in words."""

    infection: str
    name: str
    days: int
    dogs: int
    test: str
    people_first: tuple[Caution, ...]
    says: tuple[Phrase, ...]
    comparison: Comparison
    fans: Mapping[str, tuple[tuple[float, float, float], ...]]  # plan id -> weeks
    learnt: tuple[Learnt, ...]
    matters: tuple[Known, ...]  # the guesses that matter most
    numbers: tuple[Known, ...]  # every input with its grade
    assumed: tuple[Phrase, ...]
    suspects: tuple[str, ...]
    prices: Prices
    seed: int
    runs: int
    is_fast: bool


def prepare_outbreak(
    *, book: Book, handbook: Handbook, on: date, asked: Asked
) -> Prepared:
    """Everything but the runs. Raises BadInput for what cannot be."""
    if not book.dogs_here:
        raise BadInput("no dog is in the book; enter the dogs that are here first")
    check_infection(handbook, asked.infection)
    handbook = with_own_figures(book=book, handbook=handbook)
    test = chosen_test(handbook, asked.infection, asked.test)
    knowledge = knowledge_of(
        handbook=handbook, infection=asked.infection, test=test.test
    )
    learnt = learnt_from_book(book=book, handbook=handbook, knowledge=knowledge, on=on)
    delay = delay_from_book(
        book=book, handbook=handbook, infection=asked.infection, on=on
    )
    ahead = kennel_ahead(
        book=book,
        handbook=handbook,
        infection=asked.infection,
        on=on,
        settings=asked.settings,
    )
    knowledge = with_learnt(knowledge, learnt)
    knowledge = replace(
        knowledge,
        numbers={
            **knowledge.numbers,
            **{known.name: known for known in ahead.infected},
        },
    )
    ready = ready_policies(handbook, asked.infection)
    ready = with_changes(ready, asked.changes) + asked.own
    now = plan_of(ready, asked.now, infection=asked.infection)
    plans = _plans(now, ready, ahead, asked)
    for plan in (now, *plans):
        compiled(plan, isolation_room=ahead.kennel.isolation_room)
    return Prepared(
        asked=asked,
        question=Question(
            kennel=ahead.kennel,
            knowledge=knowledge,
            test=test.setting,
            worlds_seed=asked.seed,
        ),
        knowledge=knowledge,
        learnt=(*learnt, delay),
        ahead=ahead,
        test=test,
        now=now,
        plans=plans,
        prices=asked.prices
        or usual_prices(book, handbook, test=test, infection=asked.infection),
        people_first=tuple(
            handbook.cautions[name]
            for name in PEOPLE_FIRST.get(asked.infection, ())
            if name in handbook.cautions
        ),
    )


def plan_outbreak(
    prepared: Prepared,
    *,
    workers: Workers | None = None,
    said: Callable[[int, int], None] | None = None,
) -> OutbreakAnswer:
    """The runs, and what they say. `said` gets (runs done, runs in all) now and then.

    Whatever `said` raises ends the work: so a page can stop it. The same numbers come
    out for any number of workers.
    """
    asked, total = prepared.asked, prepared.runs
    many = ManyRuns(
        prepared.question,
        workers=workers,
        said=None if said is None else lambda done: said(min(done, total), total),
    )
    how = search if asked.is_search else compare
    comparison = how(
        many,
        now=prepared.now,
        plans=prepared.plans,
        prices=prepared.prices,
        seed=asked.seed,
        amount=asked.amount,
        by=asked.by,
    )
    best = comparison.others[0] if comparison.others else comparison.now
    shown = [prepared.now]
    if best.plan.id != prepared.now.id:
        shown.append(best.plan)
    worlds = (comparison.first_world, asked.amount.worlds)
    weekly = many.weekly(shown, worlds, FAN_RUNS, comparison.seed)
    fans = {name: tuple(fan(found)) for name, found in weekly.items()}
    return _answer(prepared, comparison, fans=fans, runs=many.done)


def _answer(
    prepared: Prepared,
    comparison: Comparison,
    *,
    fans: Mapping[str, tuple[tuple[float, float, float], ...]],
    runs: int,
) -> OutbreakAnswer:
    from kennelward.spread.fast_state import IS_FAST

    asked, knowledge, ahead = prepared.asked, prepared.knowledge, prepared.ahead
    return OutbreakAnswer(
        infection=asked.infection,
        name=knowledge.name,
        days=asked.settings.days,
        dogs=ahead.kennel.dogs,
        test=prepared.test.name,
        people_first=prepared.people_first,
        says=said_of(
            comparison,
            days=asked.settings.days,
            kills=knowledge.kills,
            is_chronic=knowledge.is_chronic,
            prices=prepared.prices,
        ),
        comparison=comparison,
        fans=MappingProxyType(dict(fans)),
        learnt=prepared.learnt,
        matters=matters_most(
            knowledge,
            seed=prepared.question.worlds_seed,
            first_world=comparison.first_world,
            by_world=comparison.now.by_world,
            idle=_idle_numbers(prepared),
        ),
        numbers=tuple(knowledge.numbers.values()),
        assumed=ahead.assumed,
        suspects=ahead.suspects,
        prices=prepared.prices,
        seed=asked.seed,
        runs=runs,
        is_fast=IS_FAST,
    )


def _idle_numbers(prepared: Prepared) -> set[str]:
    """Numbers that have no part in what is done now."""
    made = compiled(prepared.now, isolation_room=prepared.ahead.kennel.isolation_room)
    product = made.habits.product or prepared.ahead.kennel.product
    found = {f"logs_{name}" for name in PRODUCTS if name != product}
    if made.habits.washes:
        found.add("works_unwashed")
    found.add("wash_keeps" if made.habits.changes_shoes else "change_keeps")
    if not any(rule.action == "test" for rule in prepared.now.rules):
        found |= {"test_finds_silent", "test_finds_sick", "test_clears"}
        found.add("test_correlation")
    return found


def ready_policies(handbook: Handbook, infection: str) -> tuple[PolicyText, ...]:
    """The handbook's policies for an infection, by kind."""
    return tuple(
        policy
        for kind in KINDS
        for policy in handbook.policies[kind].policies
        if policy.fits(infection)
    )


def plan_of(ready: Sequence[PolicyText], ids: Sequence[str], *, infection: str) -> Plan:
    """The plan of these policies; kinds not named as is usual. BadInput for unknown ids."""
    by_id = {policy.id: policy for policy in ready}
    unknown = [name for name in ids if name not in by_id]
    if unknown:
        raise BadInput(
            f"no policy {unknown[0]!r} for {infection}; there are: {', '.join(by_id)}"
        )
    chosen = {by_id[name].kind: by_id[name] for name in ids}
    if len(chosen) != len(ids):
        raise BadInput("name one policy of each kind at most")
    for kind in KINDS:
        usual = [by_id[name] for name in USUAL_NOW[kind] if name in by_id]
        if kind not in chosen and usual:
            chosen[kind] = usual[0]
    policies = tuple(chosen[kind] for kind in KINDS if kind in chosen)
    return Plan(id=plan_id(policies), policies=policies)


def _plans(
    now: Plan, ready: Sequence[PolicyText], ahead: KennelAhead, asked: Asked
) -> tuple[Plan, ...]:
    """What `now` is compared with: one change at a time, or all combinations.

    A kind that cannot matter here (visits, where nobody visits) stays as it is.
    """
    comes = {dog.is_visitor for dog in ahead.kennel.coming}
    idle = {"visits"} - ({"visits"} if True in comes else set())
    idle |= {"arrivals"} if False not in comes else set()
    tried = [p for p in ready if p.kind not in idle or p.is_own]
    if asked.is_search:
        fixed = [policy for policy in now.policies if policy.kind in idle]
        plans = combined(tried, fixed=fixed, most=MOST_PLANS)
    else:
        plans = one_change(now, tried, infection=asked.infection)
    return tuple(plan for plan in plans if plan.id != now.id)


def usual_prices(
    book: Book, handbook: Handbook, *, test: TestChoice, infection: str
) -> Prices:
    """Prices as far as the book says them: the newest lot, the laboratory, the visit."""
    if test.is_kit:
        lots = [card for card in book.lots.values() if card.kit == test.test]
        newest = max(lots, key=lambda lot: lot.received.happened_at, default=None)
        each = float(newest.cents_each) if newest is not None else 0.0
    else:
        each = float(book.kennel.laboratory_test_cents) if book.kennel else 0.0
    return Prices(test=each)
