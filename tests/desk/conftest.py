"""What tests of the desk share: a kennel with an owner, and a moment."""

from datetime import UTC, datetime

import pytest

from kennelward import desk
from kennelward.desk.records import queries
from kennelward.kennel import facts as f

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
PASSWORD = "three-brown-buckets"


@pytest.fixture(autouse=True)
def _nothing_kept():
    """No book is carried over from another test."""
    queries.forget()


@pytest.fixture
def at() -> datetime:
    """The moment of a test."""
    return AT


@pytest.fixture
def owner(db, at):
    """The first owner, of a kennel of their own."""
    return desk.start_kennel(
        facts=f.KennelDescribed(name="Marsh End"),
        username="mara",
        password=PASSWORD,
        full_name="Mara Lind",
        at=at,
    )


@pytest.fixture
def kennel(owner) -> str:
    """The id of that kennel."""
    return owner.kennels.get().kennel_id
