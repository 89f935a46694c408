"""A ready policy with the user's own numbers: other days, other test days, other room."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kennelward.spread.policies import ALLOWED, PolicyRule, PolicyText
from kennelward.terms import BadInput

WORDS = {  # number of a rule -> what it is called where a policy is read
    "days": "days",
    "after_days": "days later",
    "every_days": "days between rounds",
    "clear_rounds": "clear rounds",
    "cases": "known cases",
    "within_days": "days that a case counts",
    "top": "likeliest contacts",
    "capacity": "dogs at once",
    "extend_days": "days longer after a case",
    "clears_after": "days until it clears",
}
ALWAYS = ("days", "after_days")  # open to change even where a policy leaves them at 0
FOR_GOOD = 3650.0  # days that mean "as long as it lives": no number to change
LONGEST_SAYS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One number of one rule of a ready policy."""

    policy: str  # id
    rule: int  # which of its rules, from 0
    field: str
    value: float


def open_numbers(policy: PolicyText) -> tuple[Change, ...]:
    """The numbers of a policy that may be changed, as they are."""
    return tuple(
        Change(
            policy=policy.id, rule=number, field=name, value=float(getattr(rule, name))
        )
        for number, rule in enumerate(policy.rules)
        for name in WORDS
        if name in ALLOWED[rule.trigger, rule.scope, rule.action]
        and (name in ALWAYS or getattr(rule, name))
        and getattr(rule, name) != FOR_GOOD
    )


def with_changes(
    ready: Sequence[PolicyText], changes: Iterable[Change]
) -> tuple[PolicyText, ...]:
    """The policies with the user's numbers; a changed one says so.

    Raises BadInput for a policy, a rule or a number that is not there, or out of range.
    """
    held = {policy.id: policy for policy in ready}
    for change in changes:
        policy = held.get(change.policy)
        if policy is None:
            raise BadInput(f"no policy {change.policy!r}; there are: {', '.join(held)}")
        known = {(one.rule, one.field) for one in open_numbers(policy)}
        if (change.rule, change.field) not in known:
            raise BadInput(
                f"policy {change.policy!r} has no number {change.field!r} in its rule "
                f"{change.rule + 1}"
            )
        held[policy.id] = _changed(policy, change)
    return tuple(held[policy.id] for policy in ready)


def _changed(policy: PolicyText, change: Change) -> PolicyText:
    rule = policy.rules[change.rule]
    before = getattr(rule, change.field)
    if before == change.value:
        return policy
    value = type(before)(change.value)
    made = _rule_with(rule, change.field, value)
    rules = list(policy.rules)
    rules[change.rule] = made
    return replace(
        policy,
        rules=tuple(rules),
        says=_says(policy, change.field, before, value),
        is_own=True,
    )


def _rule_with(rule: PolicyRule, field: str, value: float) -> PolicyRule:
    numbers: dict[str, float] = {field: value}
    return replace(rule, **numbers)  # type: ignore[arg-type]


def _says(policy: PolicyText, field: str, before: float, value: float) -> str:
    """The policy's words with the new number in place of the old one, or after them."""
    mark = " (your numbers)"
    says = policy.says.removesuffix(mark)
    patterns = {
        "days": (rf"\b{before:g}(?= days\b)",),
        "after_days": (rf"(?<=\bday ){before:g}\b", rf"(?<=\band ){before:g}\b"),
    }
    for pattern in patterns.get(field, ()):
        if len(re.findall(pattern, says)) == 1:
            return re.sub(pattern, f"{value:g}", says) + mark
    more = f"{says}; {WORDS[field]}: {value:g}{mark}"
    return (
        more if len(more) <= LONGEST_SAYS else says[: LONGEST_SAYS - len(mark)] + mark
    )
