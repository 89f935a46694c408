"""Who may open what: read off the list of addresses, tried with every role.

An address without declared roles fails here, so nothing new is open by oversight.
"""

import re

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from kennelward import desk
from kennelward.desk.access import MAY_WRITE
from kennelward.desk.pages.dogs.actions import ACTIONS
from kennelward.desk.pages.shell.roles import ANYONE, ROLES
from kennelward.kennel import facts as f
from tests.desk.pages.conftest import (  # noqa: F401
    as_role,
    clock_stands,
    demo,
    demo_entries,
)

# Views of the login library: name -> who may open them. They bring their own checks.
LOGIN_LIBRARY = {
    "account_login": (ANYONE,),
    "account_logout": ROLES,
    "account_change_password": ROLES,
    "account_inactive": (ANYONE,),
}
CLOSED = "account/closed/"  # answer 404 to everyone


def addresses(resolver=None, prefix="", namespace=""):
    """Every address: its route, its full name and its view."""
    for found in (resolver or get_resolver()).url_patterns:
        if isinstance(found, URLResolver):
            inner = found.app_name or found.namespace or namespace
            yield from addresses(found, prefix + str(found.pattern), inner)
        elif isinstance(found, URLPattern):
            name = f"{namespace}:{found.name}" if namespace else found.name or ""
            yield prefix + str(found.pattern), name, found.callback


ALL = [one for one in addresses() if not one[0].startswith(CLOSED)]


def roles_of(name, view):
    """Who may open an address, as declared."""
    return LOGIN_LIBRARY.get(name) or getattr(view, "open_to", None)


def filled(route: str, kennel: str) -> str:
    """A route with things that exist put in."""
    book = desk.snapshot(kennel)
    known = {
        "dog": next(iter(book.dogs)),
        "pen": next(iter(book.pens)),
        "lot": next(iter(book.lots)),
        "test": next(iter(book.tests)),
        "litter": next(iter(book.litters)),
        "course": next(iter(book.courses)),
        "entry": book.live[-1].entry,
        "kit": "giardia-antigen",
        "person": str(desk.people(kennel)[0].user),
    }
    return "/" + re.sub(
        r"<(?:\w+:)?(\w+)>", lambda m: known.get(m.group(1), "nothing"), route
    )


@pytest.mark.parametrize(
    ("route", "name", "view"), ALL, ids=[one[0] or "/" for one in ALL]
)
def test_every_address_says_who_may_open_it(route, name, view):
    """No address is open, or shut, by oversight."""
    declared = roles_of(name, view)
    assert declared, f"{route} ({name}) has no declared roles: decorate its view"
    assert set(declared) <= {*ROLES, ANYONE}


@pytest.mark.parametrize("role", [*ROLES, "nobody"])
def test_every_address_opens_to_its_roles_only(role, as_role, demo):  # noqa: F811
    """Each address, with each role, by GET and by POST: in, shut, or to the login."""
    client = Client() if role == "nobody" else as_role(role)
    before = desk.head(demo)
    wrong = []
    for route, name, view in ALL:
        if name in LOGIN_LIBRARY:
            continue
        declared = roles_of(name, view)
        for method in ("get", "post"):
            response = getattr(client, method)(filled(route, demo))
            seen = outcome(response)
            if ANYONE in declared:
                wanted = "in"
            elif role == "nobody":
                wanted = "login"
            else:
                wanted = "in" if role in declared else "shut"
            if seen != wanted:
                wrong.append(f"{role} {method} {route}: {seen}, wanted {wanted}")
    assert not wrong, "\n".join(wrong)
    if role == "nobody":
        assert desk.head(demo) == before


def outcome(response) -> str:
    """`in`, `shut` (403) or `login` (sent to the login page)."""
    if response.status_code == 403:
        return "shut"
    if response.status_code == 302 and response["Location"].startswith(
        "/account/login/"
    ):
        return "login"
    assert response.status_code < 500
    return "in"


FACT_OF = {  # action on a dog's page -> the fact it writes
    "seen": f.Observed,
    "weighed": f.Weighed,
    "moved": f.Moved,
    "apart": f.KeptApart,
    "apart-ended": f.ApartEnded,
    "vet-called": f.VetCalled,
    "course": f.CourseWritten,
    "result": f.OtherResult,
    "vaccinated": f.Vaccinated,
    "wormed": f.Wormed,
    "bathed": f.Bathed,
    "mated": f.Mated,
    "season": f.CycleNoted,
    "whelped": f.Whelped,
    "puppy-died": f.PuppyDied,
    "lost": f.PregnancyLost,
    "note": f.Noted,
    "left": f.Left,
}


@pytest.mark.parametrize("action", ACTIONS, ids=[action.code for action in ACTIONS])
def test_an_action_opens_to_those_who_may_write_its_fact(action):
    """A button never leads to a form whose saving is refused."""
    may = {role for role in ROLES if FACT_OF[action.code] in MAY_WRITE[role]}
    assert set(action.roles) <= may


ABOUT_LITTERS = {  # fact -> roles that may write it
    f.CycleNoted: {"owner", "hand", "vet"},
    f.ProgesteroneMeasured: {"owner", "hand", "vet"},
    f.PuppiesCounted: {"owner", "hand", "vet"},
    f.PregnancyAged: {"owner", "hand", "vet"},
    f.PregnancyLost: {"owner", "hand", "vet"},
    f.TemperatureTaken: {"owner", "hand", "vet"},
    f.WhelpingNoted: {"owner", "hand", "vet"},
    f.PuppyBorn: {"owner", "hand", "vet"},
    f.PuppyDied: {"owner", "hand", "vet"},
    f.Weighed: {"owner", "hand", "vet"},
    f.Mated: {"owner", "hand"},  # who is mated with whom is the kennel's own
    f.Whelped: {"owner", "hand"},  # makes the litter, its dogs and their pens
    f.WhelpingEnded: {"owner", "hand"},
    f.DogDescribed: {"owner", "hand"},
}


@pytest.mark.parametrize("fact", ABOUT_LITTERS, ids=lambda fact: fact.kind)
def test_who_may_write_about_a_litter(fact):
    """A vet writes what a vet sees; the night's log and weights are everybody's."""
    may = {role for role in ROLES if fact in MAY_WRITE[role]}
    assert may == ABOUT_LITTERS[fact]
