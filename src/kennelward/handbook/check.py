"""Reading one TOML table with errors that name file, key, value, range and fix."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, TypeVar

from kennelward.terms import BadInput

LONGEST_TEXT = 2000

Made = TypeVar("Made")


class HandbookError(BadInput):
    """A handbook file broke its promise; the message says where and what to do."""


class Table:
    """A TOML table that knows where it stands and which of its keys were read."""

    def __init__(self, values: Mapping[str, Any], *, file: str, at: str = "") -> None:
        self.values = dict(values)
        self.file = file
        self.at = at
        self._read: set[str] = set()

    def where(self, key: str = "") -> str:
        """File and key, as errors name it."""
        path = ".".join(part for part in (self.at, key) if part)
        return f"{self.file}, {path}" if path else self.file

    def fail(self, key: str, problem: str, fix: str) -> HandbookError:
        """An error about one key."""
        return HandbookError(f"{self.where(key)}: {problem}. {fix}")

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def _take(self, key: str, wanted: str, default: Any) -> Any:
        self._read.add(key)
        if key not in self.values:
            if default is not None:
                return default
            raise self.fail(key, "the key is missing", f"Add {key}: {wanted}.")
        return self.values[key]

    def text(self, key: str, *, default: str | None = None) -> str:
        """A text that is not empty, unless `default` is."""
        found = self._take(key, "a text", default)
        if not isinstance(found, str) or (not found.strip() and found != default):
            raise self.fail(key, f"got {found!r}", "Write a text that is not empty.")
        if len(found) > LONGEST_TEXT:
            raise self.fail(
                key, f"has {len(found)} characters", f"{LONGEST_TEXT} is the most."
            )
        return " ".join(found.split())

    def choice(
        self, key: str, allowed: Sequence[str], *, default: str | None = None
    ) -> str:
        """One of the allowed words."""
        found = self._take(key, f"one of {', '.join(allowed)}", default)
        if found not in allowed:
            raise self.fail(
                key, f"got {found!r}", f"Allowed are: {', '.join(allowed) or 'none'}."
            )
        return str(found)

    def number(
        self,
        key: str,
        *,
        low: float = -math.inf,
        high: float = math.inf,
        default: float | None = None,
    ) -> float:
        """A number from `low` to `high`."""
        found = self._take(key, f"a number from {low:g} to {high:g}", default)
        if key not in self.values:
            return float(found)
        if isinstance(found, bool) or not isinstance(found, int | float):
            raise self.fail(key, f"got {found!r}", "Write a number.")
        if not low <= found <= high:
            raise self.fail(
                key, f"got {found:g}", f"Allowed is {low:g} to {high:g}; correct it."
            )
        return found

    def whole(
        self, key: str, *, low: int, high: int, default: int | None = None
    ) -> int:
        """A whole number from `low` to `high`."""
        found = self.number(key, low=low, high=high, default=default)
        if found != int(found):
            raise self.fail(key, f"got {found:g}", "Write a whole number.")
        return int(found)

    def yes(self, key: str, *, default: bool | None = None) -> bool:
        """true or false."""
        found = self._take(key, "true or false", default)
        if not isinstance(found, bool):
            raise self.fail(key, f"got {found!r}", "Write true or false.")
        return found

    def day(self, key: str, *, default: date | None = None) -> date:
        """A day written as 2026-01-31, without quotes."""
        found = self._take(key, "a day such as 2026-01-31", default)
        if not isinstance(found, date):
            raise self.fail(
                key, f"got {found!r}", "Write a day such as 2026-01-31, no quotes."
            )
        return found

    def texts(
        self,
        key: str,
        *,
        allowed: Sequence[str] | None = None,
        default: Sequence[str] | None = None,
    ) -> tuple[str, ...]:
        """A list of texts, each one of `allowed` where that is given."""
        found = self._take(key, "a list of texts", default)
        if not isinstance(found, list | tuple) or not all(
            isinstance(part, str) for part in found
        ):
            raise self.fail(key, f"got {found!r}", "Write a list of texts.")
        for part in found:
            if allowed is not None and part not in allowed:
                raise self.fail(
                    key, f"unknown {part!r}", f"Allowed are: {', '.join(allowed)}."
                )
        return tuple(found)

    def table(self, key: str, *, may_lack: bool = False) -> "Table":
        """A table inside this one."""
        found = self._take(key, "a table", {} if may_lack else None)
        if not isinstance(found, dict):
            raise self.fail(key, f"got {found!r}", f"Write a table [{key}].")
        return Table(found, file=self.file, at=".".join(filter(None, (self.at, key))))

    def tables(self, key: str, *, may_lack: bool = True) -> tuple["Table", ...]:
        """A list of tables, numbered from 1 in errors."""
        found = self._take(key, "a list of tables", [] if may_lack else None)
        if not isinstance(found, list) or not all(isinstance(t, dict) for t in found):
            raise self.fail(key, f"got {found!r}", f"Write tables [[{key}]].")
        path = ".".join(filter(None, (self.at, key)))
        return tuple(
            Table(values, file=self.file, at=f"{path}[{number}]")
            for number, values in enumerate(found, start=1)
        )

    def each(self) -> Iterator[tuple[str, "Table"]]:
        """Every table inside this one, by name."""
        for key in self.values:
            yield key, self.table(key)

    def raw(self, key: str) -> Any:
        """A value whose kind the caller checks."""
        return self._take(key, "a value", None)

    def done(self) -> None:
        """Raise for a key that nobody read: most often a slip of the pen."""
        unknown = sorted(set(self.values) - self._read)
        if unknown:
            known = ", ".join(sorted(self._read)) or "none"
            raise self.fail(
                unknown[0], "the key is not known", f"Known keys here: {known}."
            )

    def making(self, make: Callable[[], Made]) -> Made:
        """What `make` gives; its complaint gets the file's name and place."""
        try:
            return make()
        except HandbookError:
            raise
        except (BadInput, TypeError) as error:
            raise HandbookError(f"{self.where()}: {error}") from error
