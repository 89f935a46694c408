"""One entry of the kennel book, and how it is written as JSON.

An entry is never changed or removed. A mistake is struck through by a later entry
(`facts.Struck`), and a new entry takes its place (`supersedes`).
"""

import dataclasses
import functools
import hashlib
import json
import types
import typing
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from kennelward.kennel.facts import KINDS, Fact
from kennelward.terms import BadInput

FIRST_LINK = "0" * 64  # what the first entry of a chain links back to


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A dated fact: what, about whom, when it happened, who wrote it down and when."""

    entry: str  # UUIDv7 text, made by whoever recorded it
    kennel: str  # UUID text
    fact: Fact
    happened_at: datetime  # aware, UTC
    recorded_at: datetime  # aware, UTC
    recorded_by: str  # a name as the kennel knows it
    supersedes: str = ""  # entry id

    def __post_init__(self) -> None:
        for name, moment in (
            ("happened_at", self.happened_at),
            ("recorded_at", self.recorded_at),
        ):
            if moment.tzinfo is None:
                raise BadInput(f"{name} needs a time zone, got {moment.isoformat()}")
            object.__setattr__(self, name, moment.astimezone(UTC))

    @property
    def happened_on(self) -> date:
        """The UTC day it happened; `Book.day_of` gives the kennel's own day."""
        return self.happened_at.date()


def facts_as_json(fact: Fact) -> dict[str, Any]:
    """The fields of a fact as JSON values, without its kind."""
    return {
        field.name: _plain(getattr(fact, field.name))
        for field in dataclasses.fields(fact)
    }


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return list(value)
    return value


def fact_from_json(kind: str, values: dict[str, Any]) -> Fact:
    """The fact that `facts_as_json` wrote. Raises `BadInput` for what it cannot read."""
    if kind not in KINDS:
        raise BadInput(
            f"unknown kind of entry {kind!r}; this book may need a newer Kennelward"
        )
    cls = KINDS[kind]
    hints = _hints(kind)
    unknown = sorted(set(values) - set(hints))
    if unknown:
        raise BadInput(
            f"entry of kind {kind!r} has unknown fields: {', '.join(unknown)}"
        )
    try:
        return cls(
            **{name: _typed(hints[name], value) for name, value in values.items()}
        )
    except (TypeError, KeyError) as error:
        raise BadInput(f"entry of kind {kind!r} cannot be read: {error}") from error


@functools.cache
def _hints(kind: str) -> dict[str, Any]:
    """Types of a fact's fields; looked up once a kind, as a book has 40 000 entries."""
    cls = KINDS[kind]
    found = typing.get_type_hints(cls)
    return {field.name: found[field.name] for field in dataclasses.fields(cls)}


def _typed(hint: Any, value: Any) -> Any:
    if isinstance(hint, types.UnionType):
        if value is None:
            return None
        (hint,) = (part for part in hint.__args__ if part is not types.NoneType)
    if hint is date:
        return date.fromisoformat(value)
    if typing.get_origin(hint) is tuple:
        return tuple(value)
    if hint is float and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    if not isinstance(value, hint):
        raise BadInput(f"expected {hint.__name__}, got {value!r}")
    return value


def entry_as_json(entry: Entry) -> dict[str, Any]:
    """The whole entry as JSON values, in a fixed form: what the hash chain covers."""
    return {
        "entry": entry.entry,
        "kennel": entry.kennel,
        "kind": entry.fact.kind,
        "fact": facts_as_json(entry.fact),
        "happened_at": entry.happened_at.isoformat(),
        "recorded_at": entry.recorded_at.isoformat(),
        "recorded_by": entry.recorded_by,
        "supersedes": entry.supersedes,
    }


def entry_from_json(values: dict[str, Any]) -> Entry:
    """The entry that `entry_as_json` wrote."""
    return Entry(
        entry=values["entry"],
        kennel=values["kennel"],
        fact=fact_from_json(values["kind"], values["fact"]),
        happened_at=datetime.fromisoformat(values["happened_at"]),
        recorded_at=datetime.fromisoformat(values["recorded_at"]),
        recorded_by=values["recorded_by"],
        supersedes=values.get("supersedes", ""),
    )


def link(previous: str, entry: dict[str, Any]) -> str:
    """The chain hash of an entry: SHA-256 over the previous hash and the entry's JSON.

    `entry` is `entry_as_json`'s form. Keys are sorted and text is UTF-8, so the same
    entry always gives the same hash. Returns 64 hex digits.
    """
    text = json.dumps(entry, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(f"{previous}\n{text}".encode()).hexdigest()
