"""Published and independently computed values, by id, each with its source beside it.

`value` compares at the tolerance that the record gives.
"""

import json
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).parent / "published"


class Check:
    """One record: inputs, what must come out, how near, and who says so."""

    def __init__(self, record: dict[str, Any]) -> None:
        self.id = record["id"]
        self.inputs = record["inputs"]
        self.expected = record["expected"]
        self.source = record["source"]
        tolerance = record["tolerance"]
        if tolerance == "exact":
            self.tolerance = 0.0
        elif "abs" in tolerance:
            self.tolerance = tolerance["abs"]
        else:  # by key; whole numbers are compared exactly in the test itself
            self.tolerance = next(
                t["abs"] for t in tolerance.values() if isinstance(t, dict)
            )

    def same(self, found: object, wanted: object, *, what: str = "") -> None:
        """Assert that `found` is `wanted` (a number or numbers) to the tolerance."""
        near = pytest.approx(wanted, abs=self.tolerance, rel=0)
        assert found == near, f"{self.id} {what}: {self.source}"

    def exactly(self, found: object, wanted: object, *, what: str = "") -> None:
        """Assert that a count is right to the unit."""
        assert found == wanted, f"{self.id} {what}: {self.source}"


def checks(name: str) -> dict[str, Check]:
    """The records of one file, by id."""
    records = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return {record["id"]: Check(record) for record in records}
