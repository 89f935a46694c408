"""Chances with their uncertainty, test figures and priors, read from TOML."""

import math
from collections.abc import Sequence

from kennelward.evidence import (
    EVENTS,
    BetaChance,
    Contribution,
    DaysSince,
    Dependence,
    Situation,
    TestPerformance,
    UninformativeWindow,
    beta_chance,
    chance_from_counts,
    chance_from_range,
    contribution_from_odds_ratio,
    known_chance,
)
from kennelward.handbook.check import Table
from kennelward.handbook.infection import PriorBase, Priors, PriorStep, PriorWhen
from kennelward.handbook.programmes import Known, value_name
from kennelward.handbook.values import Origin
from kennelward.kennel.facts import MATING_METHODS, SIGNS
from kennelward.terms import Call

ARRIVAL_SOURCES = ("home", "breeder", "commercial", "shelter", "imported", "unknown")
EFFECTS = ("no-information", "flag")
LONGEST_AGO = 20_000  # days


def read_chance(table: Table, *, origin: Origin) -> BetaChance:
    """A chance given as counts, as a range, as two Beta shapes, or as known exactly."""
    source, provenance = origin.read(table)
    if "found" in table:
        of = table.whole("of", low=1, high=10_000_000)
        found = table.whole("found", low=0, high=of)
        made = table.making(
            lambda: chance_from_counts(found, of, source=source, provenance=provenance)
        )
    elif "a" in table:
        a = table.number("a", low=0.01, high=1e6)
        b = table.number("b", low=0.01, high=1e6)
        made = table.making(
            lambda: beta_chance(a, b, source=source, provenance=provenance)
        )
    elif "best" in table:
        low = table.number("low", low=0, high=1)
        high = table.number("high", low=low, high=1)
        best = table.number("best", low=low, high=high)
        made = table.making(
            lambda: chance_from_range(
                best, low, high, source=source, provenance=provenance
            )
        )
    else:
        exactly = table.number("exactly", low=0, high=1)
        made = known_chance(exactly, source=source, provenance=provenance)
    table.done()
    return made


def read_performances(
    tables: Sequence[Table], *, test: str, sees: str, origin: Origin
) -> tuple[TestPerformance, ...]:
    """`[[performances]]`, the most special situation first."""
    return tuple(
        read_performance(table, test=test, sees=sees, origin=origin) for table in tables
    )


def read_performance(
    table: Table, *, test: str, sees: str, origin: Origin
) -> TestPerformance:
    """One pair of sensitivity and specificity and the dogs they hold for."""
    situation = _situation(table.table("situation", may_lack=True))
    sensitivity = read_chance(table.table("sensitivity"), origin=origin)
    specificity = read_chance(table.table("specificity"), origin=origin)
    table.done()
    return table.making(
        lambda: TestPerformance(
            test=test,
            sees=sees,
            sensitivity=sensitivity,
            specificity=specificity,
            situation=situation,
        )
    )


def _situation(table: Table) -> Situation:
    days = []
    for window in table.tables("days"):
        days.append(_days_since(window))
        window.done()
    situation = Situation(
        says=table.text("says", default="any dog"),
        is_sick=table.yes("is_sick") if "is_sick" in table else None,
        is_vaccinated=table.yes("is_vaccinated") if "is_vaccinated" in table else None,
        days=tuple(days),
    )
    table.done()
    return situation


def _days_since(table: Table) -> DaysSince:
    event = table.choice("event", EVENTS)
    first = table.whole("first", low=0, high=LONGEST_AGO)
    last = table.whole("last", low=first, high=LONGEST_AGO)
    return DaysSince(event=event, first=first, last=last)


def read_windows(
    tables: Sequence[Table], *, test: str, origin: Origin, known: Known
) -> tuple[UninformativeWindow, ...]:
    """`[[windows]]`: days on which a result says less than usual.

    A day may be the name of a handbook value, so that rules and chances share it.
    """
    found = []
    for table in tables:
        for key in ("first", "last"):
            if isinstance(table.values.get(key), str):
                named = value_name(table, key, table.text(key), owner=test, known=known)
                table.values[key] = round(known.values[named.path].value) + named.plus
        days = _days_since(table)
        call = table.choice("call", ["any", *(c.value for c in Call)], default="any")
        source, _ = origin.read(table)
        found.append(
            UninformativeWindow(
                test=test,
                call=None if call == "any" else Call(call),
                event=days.event,
                first=days.first,
                last=days.last,
                effect=table.choice("effect", EFFECTS),
                says=table.text("says"),
                source=source,
            )
        )
        table.done()
    return tuple(found)


def read_dependence(table: Table, *, origin: Origin) -> Dependence:
    """How far results on one dog repeat each other."""
    repeats = read_chance(table.table("repeats"), origin=origin)
    kinds = read_chance(table.table("kinds"), origin=origin)
    table.done()
    return Dependence(
        repeats=repeats,
        kinds=kinds,
        source=repeats.source,
        provenance=repeats.provenance,
    )


def read_priors(table: Table, *, infection: str, origin: Origin) -> Priors:
    """Where the chance of one infection starts, and what moves it."""
    bases = []
    for inner in table.tables("bases", may_lack=False):
        bases.append(
            PriorBase(
                id=inner.text("id"),
                says=_sentence(inner, "{n}"),
                when=_when(inner.table("when", may_lack=True)),
                chance=read_chance(inner.table("chance"), origin=origin),
            )
        )
        inner.done()
    steps = tuple(_step(inner, origin=origin) for inner in table.tables("steps"))
    table.done()
    return Priors(
        infection=infection,
        bases=tuple(bases),
        steps=steps,
        overlaid_by=origin.overlaid_by,
    )


def _sentence(table: Table, place: str) -> str:
    says = table.text("says")
    if place not in says:
        raise table.fail("says", f"has no place {place}", f"Put {place} into it.")
    return says


def _step(table: Table, *, origin: Origin) -> PriorStep:
    source, provenance = origin.read(table)
    says = _sentence(table, "{n}")
    ratio = table.number("odds_ratio", low=0.01, high=1000)
    low = table.number("low", low=0.001, high=ratio, default=math.nan)
    high = table.number("high", low=ratio, high=10_000, default=math.nan)
    step = PriorStep(
        id=table.text("id"),
        when=_when(table.table("when")),
        contribution=table.making(lambda: _contribution(ratio, low, high, says)),
    )
    table.done()
    moved = step.contribution
    return PriorStep(
        id=step.id,
        when=step.when,
        contribution=Contribution(
            says=moved.says,
            log_odds=moved.log_odds,
            log_odds_sd=moved.log_odds_sd,
            source=source,
            provenance=provenance,
        ),
    )


def _contribution(ratio: float, low: float, high: float, says: str) -> Contribution:
    return contribution_from_odds_ratio(
        ratio,
        says=says,
        low=None if math.isnan(low) else low,
        high=None if math.isnan(high) else high,
    )


def _when(table: Table) -> PriorWhen:
    when = PriorWhen(
        age_days_from=table.whole("age_days_from", low=0, high=LONGEST_AGO, default=0),
        age_days_below=table.whole(
            "age_days_below", low=1, high=100_000, default=100_000
        ),
        any_sign=table.texts("any_sign", allowed=SIGNS, default=()),
        no_sign=table.texts("no_sign", allowed=SIGNS, default=()),
        is_vaccinated=table.yes("is_vaccinated") if "is_vaccinated" in table else None,
        is_contact=table.yes("is_contact") if "is_contact" in table else None,
        is_kennel_dog=table.yes("is_kennel_dog") if "is_kennel_dog" in table else None,
        is_mated_outside=table.yes("is_mated_outside")
        if "is_mated_outside" in table
        else None,
        came_from=table.texts("came_from", allowed=ARRIVAL_SOURCES, default=()),
        mating_methods=table.texts(
            "mating_methods", allowed=MATING_METHODS, default=()
        ),
    )
    table.done()
    return when
