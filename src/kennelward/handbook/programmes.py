"""Programmes of rules, read from TOML and checked against the engine's vocabulary."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from kennelward.handbook.check import Table
from kennelward.handbook.values import Origin
from kennelward.programme import DatedValue, Rule, ValueName, Word
from kennelward.programme.rules import SUBJECTS, URGENCIES, Amount, Parameter
from kennelward.programme.vocabulary import (
    ALWAYS_SHOWN,
    CHOICES,
    CONDITIONS,
    ENDS,
    FIGURES_SHOWN,
    LISTS,
    TRIGGERS,
    Spec,
)
from kennelward.terms import Provenance, RuleRef

MOST_DAYS = 3700
UNTIL = "until"  # last day is set by the occasion, such as a quarantine's end


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What a rule may name."""

    values: Mapping[str, DatedValue]
    kits: Collection[str]
    infections: Collection[str]
    methods: Collection[str]
    cautions: Collection[str]

    def choices(self, kind: str) -> tuple[str, ...] | None:
        """What a kind of word may be; None where anything goes."""
        ours = {
            "kit": self.kits,
            "infection": self.infections,
            "methods": self.methods,
        }
        if kind in ours:
            return tuple(ours[kind])
        return CHOICES.get(kind)


def read_amount(
    table: Table, key: str, *, owner: str, known: Known, default: int | None = None
) -> Amount:
    """A number of days, or the name of a handbook value with days on top.

    "clearing_days", "brucella.clearing_days", "clearing_days + 7" and
    "before ready_days" are names; "before" counts back.
    """
    given = table.values.get(key)
    if not isinstance(given, str):
        return table.whole(key, low=-MOST_DAYS, high=MOST_DAYS, default=default)
    text = table.text(key)
    return value_name(table, key, text, owner=owner, known=known)


def value_name(
    table: Table, key: str, text: str, *, owner: str, known: Known
) -> ValueName:
    """The handbook value that a text names."""
    is_before = text.startswith("before ")
    text = text.removeprefix("before ")
    name, sign, more = text, "", "0"
    for mark in (" + ", " - "):
        if mark in text:
            name, sign, more = text.partition(mark)
    if not more.strip().isdigit():
        raise table.fail(key, f"got {text!r}", 'Write a name, or "name + 7".')
    plus = int(more) * (-1 if sign == " - " else 1)
    for path in (f"{owner}.{name}", name):
        if path in known.values:
            return ValueName(path=path, plus=plus, is_before=is_before)
    raise table.fail(
        key,
        f"there is no value {name!r}",
        f"Name one of this file's values or another's, such as {owner}.some_days.",
    )


def read_rules(
    table: Table, *, programme: str, title: str, origin: Origin, known: Known
) -> tuple[Rule, ...]:
    """Every `[[rules]]` of a programme."""
    rules = []
    seen: set[tuple[str, date]] = set()
    for inner in table.tables("rules", may_lack=False):
        rule = _rule(
            inner, programme=programme, title=title, origin=origin, known=known
        )
        if (rule.id, rule.ref.since) in seen:
            raise inner.fail("id", f"{rule.id!r} stands twice", "Give it another id.")
        seen.add((rule.id, rule.ref.since))
        rules.append(rule)
    return _retired(rules)


def _retired(rules: list[Rule]) -> tuple[Rule, ...]:
    """A later rule with the same id takes over from the earlier one."""
    from dataclasses import replace

    by_id: dict[str, list[Rule]] = {}
    for rule in rules:
        by_id.setdefault(rule.id, []).append(rule)
    made = []
    for same in by_id.values():
        same.sort(key=lambda rule: rule.ref.since)
        for rule, later in zip(same, [*same[1:], None], strict=True):
            stop = later.ref.since if later is not None else None
            made.append(replace(rule, retired_on=rule.retired_on or stop))
    return tuple(made)


def _rule(
    table: Table, *, programme: str, title: str, origin: Origin, known: Known
) -> Rule:
    name = table.text("id")
    source, provenance = origin.read(table)
    every = read_amount(table, "every_days", owner=programme, known=known, default=0)
    until_anchor = table.values.get("last_day") == UNTIL
    first = read_amount(table, "first_day", owner=programme, known=known, default=0)
    if until_anchor:
        table.text("last_day")
        last: Amount = first
    else:
        last = read_amount(table, "last_day", owner=programme, known=known, default=0)
    used = [first, last, every]
    rule = Rule(
        ref=RuleRef(
            rule=f"{programme}.{name}",
            programme=title,
            source=source,
            provenance=provenance,
            since=table.day("since"),
        ),
        trigger=_word(table.table("when"), "fact", TRIGGERS, programme, known),
        conditions=tuple(
            _word(t, "that", CONDITIONS, programme, known) for t in table.tables("if")
        ),
        ends=tuple(
            _word(t, "done", ENDS, programme, known) for t in table.tables("until")
        ),
        about=table.choice("about", SUBJECTS, default="dog"),
        do=table.text("do"),
        says=table.text("says"),
        because=table.text("because"),
        first_day=first,
        last_day=last,
        every_days=every,
        times=read_amount(
            table,
            "times",
            owner=programme,
            known=known,
            default=MOST_DAYS if every != 0 else 1,
        ),
        lapses_days=table.whole("lapses_days", low=0, high=MOST_DAYS, default=60),
        urgency=table.choice("urgency", URGENCIES, default="planned"),
        cautions=table.texts("cautions", allowed=tuple(known.cautions), default=()),
        kit=table.choice("kit", ["", *known.kits], default=""),
        shows=_shows(table, programme, known),
        until_anchor=until_anchor,
        stands=table.yes("stands", default=False),
        figures=table.choice("figures", ["", *known.infections], default=""),
        retired_on=table.day("retired_on") if "retired_on" in table else None,
    )
    _check_days(table, rule, known)
    _check_places(table, rule)
    table.done()
    return _with_overlay(rule, used, known)


def _check_days(table: Table, rule: Rule, known: Known) -> None:
    """A window must not end before it starts, with the numbers in force at first."""

    def number(amount: Amount) -> float:
        if isinstance(amount, ValueName):
            sign = -1 if amount.is_before else 1
            return sign * known.values[amount.path].value + amount.plus
        return amount

    if number(rule.last_day) < number(rule.first_day):
        raise table.fail(
            "last_day",
            f"got {number(rule.last_day):g}",
            f"It must be {number(rule.first_day):g} or more, the first day.",
        )
    if number(rule.every_days) < 0:
        raise table.fail("every_days", "is below 0", "Write 0 for once, or 1 or more.")


def _check_places(table: Table, rule: Rule) -> None:
    """Every {place} in the words is filled by the rule or by what sets it going."""
    filled = {*ALWAYS_SHOWN, *TRIGGERS[rule.trigger.name].shows, *rule.shows}
    if rule.figures:
        filled |= set(FIGURES_SHOWN)
    for key, text in (("says", rule.says), ("because", rule.because)):
        for place in re.findall(r"\{([^}]*)\}", text):
            if place not in filled:
                raise table.fail(
                    key,
                    f"nothing fills {{{place}}}",
                    f"Places here: {', '.join(sorted(filled))}.",
                )


def _with_overlay(rule: Rule, used: list[Amount], known: Known) -> Rule:
    """A rule that uses an overlaid number is shown as whose number that is."""
    from dataclasses import replace

    words = (rule.trigger, *rule.conditions, *rule.ends)
    named = [*used, *rule.shows.values(), *(t for w in words for t in w.tells.values())]
    owners = {
        known.values[amount.path].latest.overlaid_by
        for amount in named
        if isinstance(amount, ValueName)
    } - {""}
    if not owners:
        return rule
    ref = replace(
        rule.ref,
        overlaid_by=", ".join(sorted(owners)),
        provenance=Provenance.USER,
    )
    return replace(rule, ref=ref)


def _shows(table: Table, programme: str, known: Known) -> dict[str, Amount]:
    shown = table.table("shows", may_lack=True)
    found = {
        name: read_amount(shown, name, owner=programme, known=known)
        for name in shown.values
    }
    shown.done()
    return found


def _word(
    table: Table, key: str, specs: Mapping[str, Spec], programme: str, known: Known
) -> Word:
    name = table.choice(key, sorted(specs))
    spec = specs[name]
    tells: dict[str, Parameter] = {}
    for told in table.values:
        if told == key:
            continue
        if told not in spec.kinds:
            allowed = ", ".join(sorted(spec.kinds)) or "nothing"
            raise table.fail(
                told, f"{name!r} is not told this", f"It may be told: {allowed}."
            )
        tells[told] = _told(table, told, spec.kinds[told], programme, known)
    for need in spec.needs:
        if need not in tells:
            raise table.fail(need, "the key is missing", f"{name!r} needs it; add it.")
    table.done()
    return Word(name=name, tells=tells)


def _told(table: Table, key: str, kind: str, programme: str, known: Known) -> Any:
    if kind == "number":
        return read_amount(table, key, owner=programme, known=known)
    if kind == "yes":
        return table.yes(key)
    allowed = known.choices(kind)
    if kind in LISTS:
        return table.texts(key, allowed=allowed)
    if allowed is None:
        return table.text(key)
    return table.choice(key, allowed)
