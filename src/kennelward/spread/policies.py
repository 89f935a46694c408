"""Policies as data: what is done, to whom, when, for how long, and at which price.

A plan is a few policies, one of each kind (arrivals, visits, sick dogs, outbreak).
`spread.compiled` makes of it what the simulator takes.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from kennelward.spread.policy_rules import (
    ALLOWED,
    PRICE_NAMES,
    PRODUCTS,
    PolicyRule,
    fields_of,
)
from kennelward.terms import BadInput, check_range, check_text

__all__ = (
    "ALLOWED",
    "KINDS",
    "PRICE_NAMES",
    "PRODUCTS",
    "Plan",
    "PolicyRule",
    "PolicyText",
    "Prices",
    "combined",
    "fields_of",
    "one_change",
    "plan_id",
)

KINDS = ("arrivals", "visits", "sick", "outbreak")  # one policy of each makes a plan


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What things cost, in hundredths of the kennel's currency. 0: not said."""

    test: float = 0.0  # each
    lab_test: float = 0.0
    apart_day: float = 0.0  # a dog, a day
    sick_day: float = 0.0  # a dog, a day: the vet, medicine, work
    litter: float = 0.0  # a litter that is hit
    closed_day: float = 0.0
    refused: float = 0.0  # a new or visiting dog that could not come
    vaccination: float = 0.0
    treatment: float = 0.0
    cleaning: float = 0.0  # an extra one

    def __post_init__(self) -> None:
        for name, says in PRICE_NAMES.items():
            check_range(f"price of {says}", getattr(self, name), low=0)

    @property
    def is_said(self) -> bool:
        """True where any price was given."""
        return any(getattr(self, name) for name in PRICE_NAMES)
