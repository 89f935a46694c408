"""Policies as data: what is done, to whom, when, for how long, and at which price.

A plan is a few policies, one of each kind (arrivals, visits, sick dogs, outbreak). It
compiles to what the simulator knows; anything else is refused with what is allowed.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from kennelward.spread.kennel_now import Habits
from kennelward.spread.model import Policy
from kennelward.terms import BadInput, check_range, check_text

KINDS = ("arrivals", "visits", "sick", "outbreak")  # one policy of each makes a plan
# trigger, scope, action; and the fields it takes beside these
ALLOWED: Mapping[tuple[str, str, str], tuple[str, ...]] = {
    ("arrival", "dog", "quarantine"): ("days",),
    ("arrival", "dog", "test"): ("after_days",),
    ("arrival", "all", "refuse"): (),
    ("visit", "dog", "test"): (),
    ("visit", "all", "refuse"): (),
    ("signs", "dog", "isolate"): ("days", "after_days", "capacity"),
    ("signs", "dog", "test"): (),
    ("positive", "dog", "isolate"): ("days", "after_days", "capacity"),
    ("case", "all", "test"): ("after_days",),
    ("case", "all", "close"): (),
    ("always", "all", "clean"): ("product",),
    ("always", "staff", "change-shoes"): (),
}
PRODUCTS = ("soap", "bleach", "peroxide", "quat", "steam")
MOST_TESTS = 2  # of one arrival
USUAL_APART = 14.0  # days, where a rule says none; common practice, no source
SWITCHES = (  # trigger, action, and what it turns on in the simulator
    ("signs", "test", "test_noticed"),
    ("case", "test", "test_all_after_case"),
    ("case", "close", "close_after_case"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicyRule:
    """When something happens, do something to someone."""

    trigger: str
    scope: str
    action: str
    days: float = 0.0  # how long
    after_days: float = 0.0  # how much later
    capacity: int = 0  # dogs at once; 0: the kennel's own room
    product: str = ""
    price: str = ""  # name of the user's price that each one costs

    def __post_init__(self) -> None:
        what = (self.trigger, self.scope, self.action)
        if what not in ALLOWED:
            known = "; ".join(" ".join(parts) for parts in ALLOWED)
            raise BadInput(
                f"no policy can say {' '.join(what)!r}. Trigger, scope and action may "
                f"be: {known}"
            )
        longest = 365 if self.action == "quarantine" else 3650
        check_range("days", self.days, low=0, high=longest, unit="days")
        check_range("after days", self.after_days, low=0, high=365, unit="days")
        check_range("capacity", self.capacity, low=0, high=1000, unit="dogs")
        for name, empty in (("days", 0.0), ("after_days", 0.0), ("capacity", 0)):
            if getattr(self, name) != empty and name not in ALLOWED[what]:
                raise BadInput(f"{' '.join(what)!r} takes no {name}")
        if "product" in ALLOWED[what] and self.product not in PRODUCTS:
            raise BadInput(
                f"product must be one of {', '.join(PRODUCTS)}; got {self.product!r}"
            )
        if self.action in ("quarantine",) and self.days < 1:
            raise BadInput("a quarantine lasts 1 day or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicyText:
    """One policy, as a person reads it and as the simulator does it."""

    id: str
    kind: str
    says: str
    rules: tuple[PolicyRule, ...] = ()
    infections: tuple[str, ...] = ()  # empty: any
    source: str = ""
    is_own: bool = False  # made by the user

    def __post_init__(self) -> None:
        check_text("policy id", self.id, longest=60)
        check_text("what the policy says", self.says, longest=200)
        if self.kind not in KINDS:
            raise BadInput(f"kind must be one of {', '.join(KINDS)}; got {self.kind!r}")

    def fits(self, infection: str) -> bool:
        """True where it is meant for this infection."""
        return not self.infections or infection in self.infections


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """One policy of each kind, or none of a kind, with a name."""

    id: str
    policies: tuple[PolicyText, ...] = ()

    def __post_init__(self) -> None:
        kinds = [policy.kind for policy in self.policies]
        if len(set(kinds)) != len(kinds):
            raise BadInput(f"plan {self.id!r} holds two policies of one kind")

    @property
    def says(self) -> tuple[str, ...]:
        """What is done, one line a policy; nothing where nothing is done."""
        return tuple(p.says for p in self.policies if p.rules)

    @property
    def rules(self) -> tuple[PolicyRule, ...]:
        """Every rule of it."""
        return tuple(rule for policy in self.policies for rule in policy.rules)


@dataclass(frozen=True, slots=True, kw_only=True)
class Compiled:
    """A plan as the simulator takes it."""

    policy: Policy
    habits: Habits


@lru_cache(maxsize=1024)
def compiled(plan: Plan, *, isolation_room: int) -> Compiled:
    """The plan for the simulator. Raises BadInput for what it cannot do."""
    rules = plan.rules
    tests = sorted(r.after_days for r in rules if _is(r, "arrival", "test"))
    if len(tests) > MOST_TESTS:
        raise BadInput(f"an arrival is tested on {MOST_TESTS} days at most")
    apart = [r for r in rules if r.action == "isolate"]
    given: dict[str, Any] = {
        "quarantine_days": max(
            (r.days for r in rules if r.action == "quarantine"), default=0.0
        ),
        "arrival_tests": tuple(tests),
        "isolate_noticed": any(r.trigger == "signs" for r in apart),
        "isolate_positive": any(r.trigger == "positive" for r in apart),
        "isolation_days": max((r.days or USUAL_APART for r in apart), default=0.0),
        "act_after_days": max((r.after_days for r in apart), default=0.0),
        "isolation_room": max((r.capacity for r in apart), default=0) or isolation_room,
    }
    for trigger, action, name in SWITCHES:
        given[name] = any(_is(r, trigger, action) for r in rules)
    products = [r.product for r in rules if _is(r, "always", "clean")]
    return Compiled(
        policy=Policy(name=plan.id[:60], **given),
        habits=Habits(
            product=products[-1] if products else "",
            changes_shoes=any(_is(r, "always", "change-shoes") for r in rules),
            refuse_arrivals=any(_is(r, "arrival", "refuse") for r in rules),
            refuse_visits=any(_is(r, "visit", "refuse") for r in rules),
            test_visitors=any(_is(r, "visit", "test") for r in rules),
        ),
    )


def _is(rule: PolicyRule, trigger: str, action: str) -> bool:
    return (rule.trigger, rule.action) == (trigger, action)


def combined(
    ready: Sequence[PolicyText], *, fixed: Iterable[PolicyText] = (), most: int = 50
) -> tuple[Plan, ...]:
    """Every choice of one policy of each kind; `fixed` kinds stay as they are.

    At most `most`: where there are more, the later policies of each kind are left out,
    the longest kind first.
    """
    held = {policy.kind: [policy] for policy in fixed}
    by_kind = {
        kind: held.get(kind) or [p for p in ready if p.kind == kind] for kind in KINDS
    }
    by_kind = {kind: list(found) for kind, found in by_kind.items() if found}
    while _count(by_kind) > most:
        longest = max(by_kind, key=lambda kind: len(by_kind[kind]))
        by_kind[longest].pop()
    plans: list[tuple[PolicyText, ...]] = [()]
    for kind in by_kind:
        plans = [(*plan, policy) for plan in plans for policy in by_kind[kind]]
    return tuple(Plan(id=plan_id(policies), policies=policies) for policies in plans)


def plan_id(policies: Iterable[PolicyText]) -> str:
    """A plan's id: its policies' ids in order of kind."""
    ordered = sorted(policies, key=lambda p: KINDS.index(p.kind))
    return " + ".join(p.id for p in ordered if p.rules) or "nothing"


def one_change(
    now: Plan, ready: Sequence[PolicyText], *, infection: str
) -> tuple[Plan, ...]:
    """The present plan, and it with one policy exchanged for each other ready one."""
    found = [now]
    for policy in ready:
        if not policy.fits(infection) or policy in now.policies:
            continue
        kept = tuple(p for p in now.policies if p.kind != policy.kind)
        policies = tuple(sorted((*kept, policy), key=lambda p: KINDS.index(p.kind)))
        found.append(Plan(id=plan_id(policies), policies=policies))
    unique: dict[str, Plan] = {}
    for plan in found:
        unique.setdefault(plan.id, plan)
    return tuple(unique.values())


def _count(by_kind: Mapping[str, Sequence[PolicyText]]) -> int:
    count = 1
    for found in by_kind.values():
        count *= len(found)
    return count


PRICE_NAMES = {
    "test": "each test",
    "apart_day": "a day apart, each dog",
    "sick_day": "a day ill, each dog",
    "litter": "a litter hit",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What things cost, in hundredths of the kennel's currency. 0: not said."""

    test: float = 0.0  # each
    apart_day: float = 0.0  # a dog, a day
    sick_day: float = 0.0  # a dog, a day: the vet, medicine, work
    litter: float = 0.0  # a litter that is hit

    def __post_init__(self) -> None:
        for name, says in PRICE_NAMES.items():
            check_range(f"price of {says}", getattr(self, name), low=0)

    @property
    def is_said(self) -> bool:
        """True where any price was given."""
        return any((self.test, self.apart_day, self.sick_day, self.litter))
