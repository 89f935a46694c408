"""Policies for what may happen, read from TOML."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from kennelward.handbook.check import Table
from kennelward.handbook.files import Text
from kennelward.handbook.programmes import Known
from kennelward.handbook.values import Origin
from kennelward.spread.policies import KINDS, PolicyRule, PolicyText
from kennelward.spread.policy_rules import CLOSES, FIELD_RANGES
from kennelward.terms import Provenance

RULE_TEXTS = ("trigger", "scope", "action")
WHOLE = ("clear_rounds", "cases", "top", "capacity")


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicySet:
    """The policies of one kind, with a title."""

    kind: str
    title: str
    says: str
    policies: tuple[PolicyText, ...]


def read_policies(table: Table, *, origin: Origin, known: Known) -> PolicySet:
    """One file of `policies/`: every `[[policies]]` in it."""
    kind = table.choice("id", KINDS)
    made = PolicySet(
        kind=kind,
        title=table.text("title"),
        says=table.text("says"),
        policies=tuple(
            _policy(inner, kind=kind, origin=origin, known=known)
            for inner in table.tables("policies", may_lack=False)
        ),
    )
    table.done()
    ids = [policy.id for policy in made.policies]
    twice = sorted({name for name in ids if ids.count(name) > 1})
    if twice:
        raise table.fail("policies", f"{twice[0]!r} stands twice", "Rename one.")
    return made


def _policy(table: Table, *, kind: str, origin: Origin, known: Known) -> PolicyText:
    source, provenance = origin.read(table)
    if provenance is Provenance.FROM_MEMORY:
        source = f"{source} (from memory)"
    made = table.making(
        lambda: PolicyText(
            id=table.text("id"),
            kind=kind,
            says=table.text("says"),
            rules=tuple(read_policy_rule(inner) for inner in table.tables("rules")),
            infections=table.texts(
                "infections", allowed=tuple(known.infections), default=()
            ),
            source=source,
        )
    )
    table.done()
    return made


def read_policy_rule(table: Table) -> PolicyRule:
    """One rule of a policy; what it may say is in `spread.policy_rules.ALLOWED`."""
    given: dict[str, Any] = {name: table.text(name) for name in RULE_TEXTS}
    for name in ("product", "order", "price"):
        given[name] = table.text(name, default="")
    for name, (low, high, _, _) in FIELD_RANGES.items():
        if name in WHOLE:
            given[name] = table.whole(name, low=int(low), high=int(high), default=0)
        else:
            given[name] = table.number(name, low=low, high=high, default=0.0)
    given["what"] = table.texts("what", allowed=CLOSES, default=())
    given["washed"] = table.yes("washed", default=True)
    given["before"] = table.yes("before", default=False)
    made = table.making(lambda: PolicyRule(**given))
    table.done()
    return made


def policies_from_text(
    content: str, *, file: str, infections: Sequence[str]
) -> tuple[PolicyText, ...]:
    """A user's own policies file: `[[policies]]`, each with its `kind`.

    Raises HandbookError naming file, key, what is allowed and the fix.
    """
    table = Table(Text(file, content).parsed(), file=file)
    found = []
    for inner in table.tables("policies", may_lack=False):
        kind = inner.choice("kind", KINDS)
        own = Origin(sources={}, overlaid_by="the user")
        inner.values.setdefault("source", "the user")
        known = Known(
            values={}, kits=(), infections=infections, methods=(), cautions=()
        )
        found.append(
            replace(_policy(inner, kind=kind, origin=own, known=known), is_own=True)
        )
    table.done()
    return tuple(found)
