"""A made-up kennel in a database, people of each role, and a clock that stands still."""

import re
from datetime import UTC, datetime

import pytest
from django.test import Client

from kennelward import desk
from kennelward.demo import demo_book
from kennelward.desk import clock

NOW = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)
PASSWORD = "three-brown-buckets"
PEOPLE = {  # role -> name to log in with
    "owner": "mara",
    "hand": "jonas",
    "vet": "vera",
}
SIGNED = {"owner": "Mara", "hand": "Jonas", "vet": "Vera Holm"}


@pytest.fixture
def clock_stands(monkeypatch):
    """It is always the afternoon of 25 November 2026."""
    monkeypatch.setattr(clock, "now", lambda: NOW)
    return NOW


@pytest.fixture(scope="session")
def demo_entries():
    """The made-up book, made once."""
    return tuple(demo_book(on=NOW.date()))


@pytest.fixture
def demo(db, clock_stands, demo_entries):
    """The id of the made-up kennel, with a person of each role."""
    kennel = desk.load_entries(demo_entries)
    for role, username in PEOPLE.items():
        desk.add_person(
            kennel=kennel,
            username=username,
            password=PASSWORD,
            role=role,
            full_name=SIGNED[role],
        )
    return kennel


@pytest.fixture
def as_role(demo):
    """A function that gives a client logged in with a role."""

    def log_in(role: str) -> Client:
        client = Client()
        client.force_login(desk.person(demo, PEOPLE[role]), backend=BACKEND)
        return client

    return log_in


BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def mara(as_role):
    """The owner of the made-up kennel, logged in."""
    return as_role("owner")


@pytest.fixture
def fresh(clock_stands, owner):
    """The owner of an empty kennel, logged in."""
    client = Client()
    client.force_login(owner, backend=BACKEND)
    return client


@pytest.fixture
def book(demo):
    """A function that reads the made-up book anew."""
    return lambda: desk.snapshot(demo)


@pytest.fixture
def juniper(book):
    """The id of the bitch that was mated lately."""
    return the_dog(book(), "Juniper").dog


@pytest.fixture
def litter(book):
    """The id of Sorrel's litter, three days old, four alive."""
    return next(
        k for k, card in book().litters.items() if card.name == "Sorrel's litter"
    )


def the_dog(book, name: str):
    """The card of a dog by name."""
    return next(card for card in book.dogs.values() if card.name == name)


def text_of(response) -> str:
    """The page's words without its tags, white space folded."""
    html = response.content.decode()
    html = re.sub(r"<(script|style)\b.*?</\1>", " ", html, flags=re.S)
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())
