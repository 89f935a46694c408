"""A case file's situation as a kennel book: days counted from day 0, entries out."""

import dataclasses
import typing
from datetime import UTC, date, datetime, timedelta
from typing import Any

from kennelward.kennel import Book, Entry
from kennelward.kennel import facts as f

DAY_ZERO = date(2026, 3, 2)
SAMPLES = ("faeces", "blood", "serum", "plasma")


def day(offset: int) -> date:
    """The date so many days after day 0."""
    return DAY_ZERO + timedelta(days=offset)


class CaseBook:
    """Collects entries of one case; a minute passes between two of the same day."""

    def __init__(self, case: dict[str, Any]) -> None:
        self.entries: list[Entry] = []
        self.strips = 0
        self._write(-500, f.KennelDescribed(name="Case kennel"))
        for pen, kind in {"home": "adults", **case.get("pens", {})}.items():
            self._write(-500, f.PenDescribed(pen=pen, name=pen, pen_kind=kind))
        if case.get("leaflets_read", True):
            for kit in (
                "giardia-antigen",
                "parvovirus-antigen",
                "relaxin",
                "brucella-antibody",
            ):
                leaflet = f.LeafletConfirmed(
                    kit=kit,
                    storage_low_c=2.0,
                    storage_high_c=30.0,
                    samples=SAMPLES,
                    drops=3,
                    read_from_minutes=10.0,
                    read_until_minutes=15.0,
                )
                self._write(-499, leaflet)
        for dog, told in case["dogs"].items():
            self._dog(dog, dict(told))
        for happened in case.get("happened", ()):
            self._happened(dict(happened))

    def _write(self, offset: float, fact: f.Fact) -> None:
        at = datetime.combine(DAY_ZERO, datetime.min.time(), tzinfo=UTC)
        at += timedelta(days=offset, hours=8, minutes=len(self.entries))
        self.entries.append(
            Entry(
                entry=f"entry-{len(self.entries)}",
                kennel="kennel-1",
                fact=fact,
                happened_at=at,
                recorded_at=at,
                recorded_by="Ada",
            )
        )

    def _dog(self, dog: str, told: dict[str, Any]) -> None:
        """A grown bitch in the home pen for a year, unless told otherwise."""
        age = told.pop("age_days", 1000)
        pen = told.pop("pen", "home")
        told.setdefault("sex", "bitch")
        told.setdefault("chip", "276000000000001")
        here_since = told.pop("here_since", -min(age, 498))
        described = f.DogDescribed(dog=dog, name=dog.title(), born_on=day(-age), **told)
        self._write(here_since, described)
        if pen:
            self._write(here_since, f.Moved(dog=dog, pen=pen))

    def _happened(self, told: dict[str, Any]) -> None:
        offset = told.pop("day")
        what = told.pop("what")
        if what == "strip":
            self._strip(offset, told)
            return
        if "cycle" in told:  # the fact's own `what`
            told["what"] = told.pop("cycle")
        if "ticked" in told:  # the fact's own `day`
            told["day"] = told.pop("ticked")
        kind = f.KINDS[what]
        hints = typing.get_type_hints(kind)
        values = {}
        for name, value in told.items():
            is_day = "date" in str(hints[name]) and isinstance(value, int)
            if is_day:
                value = day(value)
            values[name] = tuple(value) if isinstance(value, list) else value
        self._write(offset, kind(**values))

    def _strip(self, offset: int, told: dict[str, Any]) -> None:
        """A strip started and read; read in time unless `minutes` says otherwise."""
        self.strips += 1
        test = f"test-{self.strips}"
        kit = told["kit"]
        sample = "faeces" if kit.endswith("antigen") else "blood"
        started = f.TestStarted(
            test=test, dog=told["dog"], kit=kit, sample=sample, lot=told.get("lot", "")
        )
        self._write(offset, started)
        if told.get("call"):
            seen = f.StripSeen(
                test=test,
                call=told["call"],
                minutes=float(told.get("minutes", 12)),
                is_faint=told.get("faint", False),
            )
            self._write(offset, seen)

    @property
    def book(self) -> Book:
        """The case's book."""
        assert all(dataclasses.is_dataclass(entry.fact) for entry in self.entries)
        return Book.from_entries(self.entries)
