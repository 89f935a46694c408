"""What a phone, a page or the terminal hands in to be written."""

from dataclasses import dataclass
from datetime import datetime

from kennelward.kennel.facts import Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEntry:
    """A fact to be written down, under an id made by whoever hands it in.

    Sending the same one twice writes it once. Without `happened_at` it happened at the
    moment it is recorded, and that moment is not compared when it is sent again.
    """

    entry: str  # UUID text
    fact: Fact
    happened_at: datetime | None = None  # aware
    supersedes: str = ""  # id of the entry it replaces
