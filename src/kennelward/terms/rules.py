"""Where a number or a rule comes from."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Provenance(StrEnum):
    """How far a value can be trusted."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice, no source"
    FROM_MEMORY = "from memory"
    USER = "user"  # the kennel's own leaflet, or its vet


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """One number of the handbook, as in force on a day."""

    value: float
    unit: str
    says: str  # what it is, in words
    source: str  # citation, or the words of `provenance`
    provenance: Provenance
    since: date
    low: float | None = None  # range to try when asking how much it matters
    high: float | None = None
    overlaid_by: str = ""  # whose overlay this is; empty for our own


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleRef:
    """The rule an action came from."""

    rule: str  # id, such as "arrivals.giardia-second-test"
    programme: str  # title for a person, such as "Arrivals"
    source: str
    provenance: Provenance
    since: date
    overlaid_by: str = ""
