"""A plan as the simulator takes it: its rules as numbers, and what it changes always."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from kennelward.spread.kennel_now import Habits
from kennelward.spread.model import NEVER, Action, Closes, Policy, Rule, Scope, Trigger
from kennelward.spread.policies import Plan
from kennelward.spread.policy_rules import PolicyRule

USUAL_APART = 14.0  # days, where a rule says none; common practice, no source
SCOPES = {
    "dog": Scope.DOG, "pen": Scope.PEN, "yard-group": Scope.YARD,
    "litter": Scope.LITTER, "all": Scope.ALL, "traced": Scope.TRACED,
    "staff": Scope.ALL,
}  # fmt: skip
HABITS = ("clean", "change-shoes", "order-round")  # done always, they are no rules


@dataclass(frozen=True, slots=True, kw_only=True)
class Compiled:
    """A plan as the simulator takes it."""

    policy: Policy
    habits: Habits
    prices: tuple[str, ...]  # of each rule of the policy, the price's key
    products: tuple[str, ...] = ()  # of each rule, its cleaning product


@lru_cache(maxsize=1024)
def compiled(plan: Plan, *, isolation_room: int) -> Compiled:
    """The plan for the simulator. Raises BadInput for what it cannot do."""
    rules = [rule for rule in plan.rules if not _is_habit(rule)]
    rounds = any(rule.action == "test" and rule.clear_rounds for rule in rules)
    apart = [rule.capacity for rule in rules if rule.action == "isolate"]
    tests = [r.capacity for r in rules if r.action == "test" and r.capacity]
    return Compiled(
        policy=Policy(
            name=plan.id[:60],
            rules=tuple(_rule(rule, rounds=rounds) for rule in rules),
            isolation_room=max(apart, default=0) or isolation_room,
            tests_a_day=min(tests, default=0),
        ),
        habits=_habits(plan.rules),
        prices=tuple(rule.price_key for rule in rules),
        products=tuple(
            rule.product if rule.action == "clean" else "" for rule in rules
        ),
    )


def _is_habit(rule: PolicyRule) -> bool:
    return rule.trigger == "always" and rule.action in HABITS


def _habits(rules: Sequence[PolicyRule]) -> Habits:
    always = [rule for rule in rules if _is_habit(rule)]
    products = [rule for rule in always if rule.action == "clean"]
    orders = [rule.order for rule in always if rule.action == "order-round"]
    return Habits(
        product=products[-1].product if products else "",
        washes=products[-1].washed if products else True,
        changes_shoes=any(rule.action == "change-shoes" for rule in always),
        order=orders[-1] if orders else "",
    )


def _rule(rule: PolicyRule, *, rounds: bool) -> Rule:
    days = rule.days or NEVER
    if rule.action == "isolate":
        days = rule.days or USUAL_APART
    calendar = rule.trigger == "calendar"
    return Rule(
        trigger=_trigger(rule),
        action=_action(rule),
        scope=SCOPES[rule.scope],
        after=0.0 if calendar else rule.after_days,
        days=days,
        first=rule.after_days if calendar else 0.0,
        every=rule.every_days,
        clear_rounds=rule.clear_rounds or 1,
        cases=rule.cases or 1,
        within=rule.within_days or NEVER,
        top=rule.top,
        at_least=rule.at_least or 1.0,
        extend=rule.extend_days,
        clears=rule.clears,
        clears_after=rule.clears_after,
        closes=_closes(rule),
        before=rule.before,
        until_clear=rounds and rule.action in ("close", "hold") and not rule.days,
    )


def _trigger(rule: PolicyRule) -> Trigger:
    if rule.action == "refuse":
        return Trigger.ALWAYS
    return Trigger[rule.trigger.upper()]


def _action(rule: PolicyRule) -> Action:
    if rule.action == "clean":
        return Action.CLEAN if rule.scope == "pen" else Action.PRODUCT
    if rule.action == "change-shoes":
        return Action.HYGIENE
    if rule.action == "refuse":
        return Action.CLOSE
    return Action[rule.action.upper()]


def _closes(rule: PolicyRule) -> int:
    if rule.action == "refuse":
        return int(Closes.VISITS if rule.trigger == "visit" else Closes.ARRIVALS)
    if rule.action != "close":
        return 0
    words = rule.what or ("arrivals", "visits")
    return sum(int(Closes[word.upper()]) for word in words)
