"""The register of what is in force: a value edited in place does not pass.

Every number, figure and rule of ours stands in `register.toml` with the day it took
force and a mark made from what it says. Changing one without a new day breaks its mark.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import fields
from datetime import date

from kennelward.handbook.check import HandbookError, Table
from kennelward.handbook.handbook import Handbook
from kennelward.programme import Rule

MARK_LENGTH = 16  # hex digits, 64 bits: for slips, not for forgers


def entries(handbook: Handbook) -> Iterator[tuple[str, str]]:
    """Name with its day, and mark, of everything of ours that is in force or will be."""
    for path, value in sorted(handbook.programmes.values.items()):
        for version in value.versions:
            if not version.overlaid_by:
                yield _name(path, version.since), f"{version.value:g} {version.unit}"
    for path, sourced in handbook.values():
        if path not in handbook.programmes.values and not sourced.overlaid_by:
            yield _name(path, sourced.since), f"{sourced.value:.6g} {sourced.unit}"
    for rule in handbook.programmes.rules:
        yield _name(f"rule {rule.id}", rule.ref.since), _mark(rule)


def _name(path: str, since: date) -> str:
    return f"{path} from {since.isoformat()}"


def _mark(rule: Rule) -> str:
    """What a rule does, without who stands behind its numbers."""
    parts = []
    for each in fields(rule):
        value = getattr(rule, each.name)
        if each.name == "ref":
            value = (rule.ref.rule, rule.ref.source)
        elif each.name == "retired_on":
            continue
        parts.append(f"{each.name}={_plain(value)}")
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:MARK_LENGTH]


def _plain(value: object) -> str:
    if hasattr(value, "name") and hasattr(value, "tells"):
        tells = sorted((key, _plain(told)) for key, told in value.tells.items())
        return f"{value.name}({tells})"
    if isinstance(value, tuple):
        return "[" + ", ".join(_plain(part) for part in value) + "]"
    if hasattr(value, "items"):
        return str(sorted((key, _plain(told)) for key, told in value.items()))
    return str(value)


def check_register(handbook: Handbook, table: Table) -> None:
    """Raise HandbookError where something in force was edited or is not registered.

    With an overlay only our own part is held against it: theirs may change.
    """
    kept = table.table("in_force").values
    found = dict(entries(handbook))
    if handbook.overlays:
        found = {name: mark for name, mark in found.items() if name in kept}
    for name, mark in found.items():
        if name not in kept:
            raise HandbookError(
                f"register.toml, {name!r}: is not registered. Run "
                "`python -m kennelward.handbook` to add what is new."
            )
        if kept[name] != mark and not handbook.overlays:
            raise HandbookError(
                f"register.toml, {name!r}: was {kept[name]!r} when it took force and "
                f"now says {mark!r}. A value in force is never edited: put the old one "
                "back and add a new one with the day it takes force."
            )
    gone = [name for name in kept if name not in found]
    if gone and not handbook.overlays:
        raise HandbookError(
            f"register.toml, {gone[0]!r}: is registered and gone from the handbook. "
            "Put it back; a rule is ended with retired_on, a value by a later one."
        )


def as_toml(handbook: Handbook) -> str:
    """The whole register as a file."""
    lines = [
        "# What is in force and since when. Made by `python -m kennelward.handbook`,",
        "# which adds what is new and refuses what was edited.",
        "[in_force]",
    ]
    lines += [f"{_quoted(name)} = {_quoted(mark)}" for name, mark in entries(handbook)]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def edited(handbook: Handbook, kept: Mapping[str, str]) -> tuple[str, ...]:
    """Names that are registered and now say something else, or are gone."""
    found = dict(entries(handbook))
    return tuple(name for name, mark in kept.items() if found.get(name) != mark)
