"""What `kennelward interpret` is told: results, figures of one's own, a start, prices."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from kennelward.cli.minutes import Minutes
from kennelward.terms import BadInput, Call, check_range

if TYPE_CHECKING:
    from kennelward.evidence import BetaChance
    from kennelward.handbook import Handbook, Kit
    from kennelward.rounds import CaseResult

CENTS = 100
MOST_DAYS_SAMPLED = 10


def the_kit(handbook: "Handbook", name: str) -> "Kit":
    """The kit of that name."""
    if name not in handbook.kits:
        raise BadInput(
            f"no kit {name!r} in the handbook; use one of {', '.join(handbook.kits)}"
        )
    return handbook.kits[name]


def void_reasons(
    window: Minutes, *, minutes: float | None, expired: bool
) -> tuple[str, ...]:
    """The book's words for what makes a strip's result void."""
    found = ["expired"] if expired else []
    if minutes is not None and minutes < window.first:
        found.append("read-early")
    if minutes is not None and minutes > window.last:
        found.append("read-late")
    return tuple(found)


def result_of(
    text: str,
    *,
    kit: str,
    handbook: "Handbook",
    void: Sequence[str],
    read_by: str,
    on: date,
) -> "CaseResult":
    """`negative`, `flotation=negative`, `flotation=negative:3`, each with `@2026-03-31`."""
    from kennelward.rounds import CaseResult

    said, _, day = text.partition("@")
    test, is_other, said = said.rpartition("=")
    said, _, sampled = said.partition(":")
    if is_other and test not in handbook.methods and test not in handbook.kits:
        known = ", ".join([*handbook.methods, *handbook.kits])
        raise BadInput(f"no test {test!r} in the handbook; use one of {known}")
    word = "positive" if said == "faint" else said
    if word not in set(Call):
        raise BadInput(
            f"--result {text}: {said!r} is no result; use one of {', '.join(Call)}, faint"
        )
    if sampled and not (sampled.isdigit() and 1 <= int(sampled) <= MOST_DAYS_SAMPLED):
        raise BadInput(f"--result {text}: days sampled are 1 to 10, got {sampled!r}")
    is_strip = not is_other or test in handbook.kits
    return CaseResult(
        test=test or kit,
        call=Call(word),
        on=_day(text, day, on=on) if day else None,
        days_sampled=int(sampled or 1),
        void_reasons=tuple(void) if is_strip else (),
        read_by=read_by if is_strip else "",
    )


def _day(text: str, said: str, *, on: date) -> date:
    try:
        day = date.fromisoformat(said)
    except ValueError:
        raise BadInput(
            f"--result {text}: {said!r} is no day; write it as 2026-03-31"
        ) from None
    if day > on:
        raise BadInput(
            f"--result {text}: {day} lies after {on}; allowed are days up to {on}"
        )
    return day


def chance_said(name: str, text: str) -> "BetaChance":
    """`0.83`, taken as exact, or counts such as `58/60`."""
    from kennelward.evidence import chance_from_counts, known_chance
    from kennelward.terms import Provenance

    right, slash, tested = text.partition("/")
    try:
        if slash:
            some, of = int(right), int(tested)
        else:
            exactly = float(text)
    except ValueError:
        raise BadInput(
            f"{name}: {text!r} is no chance; write 0.83, or counts such as 58/60"
        ) from None
    if not slash:
        check_range(name, exactly, low=0, high=1)
        return known_chance(exactly, source="given", provenance=Provenance.USER)
    check_range(f"{name}: dogs tested", of, low=1)
    check_range(f"{name}: {some} of {of}, the first number", some, low=0, high=of)
    return chance_from_counts(some, of, source="given", provenance=Provenance.USER)


def with_said_figures(
    handbook: "Handbook", kit: str, *, sensitivity: str | None, specificity: str | None
) -> "Handbook":
    """The handbook with the figures given for a kit, whatever dog it is."""
    changed: dict[str, Any] = {}
    if sensitivity is not None:
        changed["sensitivity"] = chance_said("sensitivity", sensitivity)
    if specificity is not None:
        changed["specificity"] = chance_said("specificity", specificity)
    if not changed:
        return handbook
    held = handbook.kits[kit]
    performances = tuple(replace(each, **changed) for each in held.performances)
    kits = {**handbook.kits, kit: replace(held, performances=performances)}
    return replace(handbook, kits=kits)


def cents(amount: float | None) -> int:
    """An amount of money as whole hundredths; 0 where none was said."""
    return round((amount or 0) * CENTS)
