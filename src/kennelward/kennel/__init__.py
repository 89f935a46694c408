"""The kennel as its book tells it: who is where on which day, and who met whom.

Never: a rule about what to do (programme), a chance (evidence), a file, a clock.
"""

from kennelward.kennel.book import Book
from kennelward.kennel.cards import (
    DAYS_A_MONTH,
    ApartState,
    CourseCard,
    DogCard,
    LitterCard,
    LotCard,
    PenCard,
    Stay,
    TestCard,
)
from kennelward.kennel.checks import check_entry
from kennelward.kennel.contacts import Contact, ContactHow, contacts, quarantine_until
from kennelward.kennel.entries import (
    FIRST_LINK,
    Entry,
    entry_as_json,
    entry_from_json,
    fact_from_json,
    facts_as_json,
    link,
)
from kennelward.kennel.ids import uuid7
from kennelward.kennel.round_order import round_order, round_rank
from kennelward.kennel.voids import VOID_REASONS

__all__ = [
    "DAYS_A_MONTH",
    "FIRST_LINK",
    "VOID_REASONS",
    "ApartState",
    "Book",
    "Contact",
    "ContactHow",
    "CourseCard",
    "DogCard",
    "Entry",
    "LitterCard",
    "LotCard",
    "PenCard",
    "Stay",
    "TestCard",
    "check_entry",
    "contacts",
    "entry_as_json",
    "entry_from_json",
    "fact_from_json",
    "facts_as_json",
    "link",
    "quarantine_until",
    "round_order",
    "round_rank",
    "uuid7",
]
