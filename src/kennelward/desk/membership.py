"""People of a kennel: who may log in, in which role."""

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.http import HttpRequest

from kennelward.desk.clock import new_id
from kennelward.desk.records.models import Membership, Role
from kennelward.desk.records.new_entry import NewEntry
from kennelward.desk.records.permits import name_of
from kennelward.desk.records.writes import lock_kennel, make_kennel, record
from kennelward.kennel.facts import KennelDescribed
from kennelward.terms import BadInput, check_text

LONGEST_USERNAME = 150
FIRST_START_LOCK = 0x6B656E6E  # any number, the same in every process


class ClosedDoor(DefaultAccountAdapter):  # type: ignore[misc]
    """Nobody signs up by themselves: an owner adds people."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Never."""
        return False


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Someone who belongs to a kennel."""

    user: int  # id
    username: str
    full_name: str
    role: str
    is_active: bool

    @property
    def name(self) -> str:
        """The name their entries are signed with."""
        return self.full_name or self.username


def has_people() -> bool:
    """True once someone can log in."""
    return User.objects.filter(is_active=True, kennels__isnull=False).exists()


def people(kennel: str) -> list[Person]:
    """Everyone who belongs to the kennel, by name."""
    rows = Membership.objects.filter(kennel_id=kennel).select_related("user")
    found = [
        Person(
            user=row.user.pk,
            username=row.user.username,
            full_name=row.user.get_full_name(),
            role=row.role,
            is_active=row.user.is_active,
        )
        for row in rows
    ]
    return sorted(found, key=lambda one: (one.name.casefold(), one.user))


def person(kennel: str, username: str) -> User:
    """The login of that name. Raises `BadInput` where the kennel has none."""
    found = User.objects.filter(kennels__kennel_id=kennel, username=username).first()
    if found is None:
        raise BadInput(f"nobody in this kennel logs in as {username!r}")
    return found


@transaction.atomic
def start_kennel(
    *,
    facts: KennelDescribed,
    username: str,
    password: str,
    at: datetime,
    full_name: str = "",
) -> User:
    """The first owner and their kennel. Raises `BadInput` where people are here already."""
    _begin_alone()
    if has_people():
        raise BadInput("this desk has an owner already; log in")
    kennel = make_kennel(new_id(), at=at)
    owner = add_person(
        kennel=kennel,
        username=username,
        password=password,
        role=Role.OWNER,
        full_name=full_name,
    )
    new = NewEntry(entry=new_id(), fact=facts)
    record([new], kennel=kennel, by=owner, at=at)
    return owner


@transaction.atomic
def add_person(
    *, kennel: str, username: str, password: str, role: str, full_name: str = ""
) -> User:
    """Someone new, able to log in. Raises `BadInput` with what to do."""
    lock_kennel(kennel)
    username, full_name = username.strip(), full_name.strip()
    _check_username(username)
    check_text("full name", full_name, longest=200, empty=True)
    _check_role(role)
    _check_name_is_free(kennel, username, full_name)
    user = User(username=username, first_name="", last_name="")
    _set_full_name(user, full_name)
    _set_password(user, password)
    user.save()
    Membership.objects.create(kennel_id=kennel, user=user, role=role)
    return user


@transaction.atomic
def change_person(
    *,
    kennel: str,
    person: int,
    role: str | None = None,
    is_active: bool | None = None,
    password: str = "",
) -> None:
    """Another role, switched off or on, a fresh password.

    Raises `BadInput` where the kennel would be left without an owner who can log in.
    """
    lock_kennel(kennel)
    found = (
        Membership.objects.filter(kennel_id=kennel, user_id=person)
        .select_related("user")
        .first()
    )
    if found is None:
        raise BadInput("no such person in this kennel; reload the page")
    if role is not None:
        _check_role(role)
        found.role = role
        found.save(update_fields=["role"])
    if is_active is not None:
        found.user.is_active = is_active
    if password:
        _set_password(found.user, password)
    found.user.save()
    owners = Membership.objects.filter(
        kennel_id=kennel, role=Role.OWNER, user__is_active=True
    )
    if not owners.exists():
        raise BadInput("a kennel needs an owner who can log in; make another one first")


def _begin_alone() -> None:
    """Two first starts at once must not make two owners. SQLite lets in one anyway."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [FIRST_START_LOCK])


def _check_username(username: str) -> None:
    check_text("the name for logging in", username, longest=LONGEST_USERNAME)
    if not re.fullmatch(r"[\w.@+-]+", username):
        raise BadInput(
            "the name for logging in may hold letters, digits and . @ + - _ "
            "and no space; the full name may hold anything"
        )


def _check_role(role: str) -> None:
    if role not in Role.values:
        raise BadInput(f"the role must be one of {', '.join(Role.values)}")


def _check_name_is_free(kennel: str, username: str, full_name: str) -> None:
    """Entries are signed with a name, so no two people may sign alike."""
    if User.objects.filter(username__iexact=username).exists():
        raise BadInput(f"someone logs in as {username!r} already; choose another name")
    signed = (full_name or username).casefold()
    if any(one.name.casefold() == signed for one in people(kennel)):
        raise BadInput(
            f"someone in this kennel is called {full_name or username!r} already; "
            "write the name differently"
        )


def _set_full_name(user: User, full_name: str) -> None:
    longest = User._meta.get_field("first_name").max_length or 150
    if len(full_name) > longest:
        raise BadInput(
            f"the full name has {len(full_name)} letters; {longest} is the most"
        )
    user.first_name = full_name


def _set_password(user: User, password: str) -> None:
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise BadInput(" ".join(error.messages)) from error
    user.set_password(password)


def signed_name(user: Any) -> str:
    """The name a login's entries are signed with."""
    return name_of(user)
