"""What a view needs at hand: this kennel's book, its handbook, the moment, a pen to write.

The one place where pages meet the desk's front door, so a page never composes it.
"""

import uuid
from collections.abc import Sequence
from datetime import date, datetime, time
from functools import cached_property

from django.http import HttpRequest

from kennelward import desk
from kennelward.desk.pages.shell.roles import role_of
from kennelward.handbook import Handbook
from kennelward.kennel import Book, Entry
from kennelward.kennel.facts import Fact
from kennelward.rounds import KennelPlan

NOON = time(12)


class Here:
    """One request's view of the kennel. Everything is read once, when asked for."""

    def __init__(self, request: HttpRequest) -> None:
        self.request = request
        self.kennel = str(getattr(request, "kennel", ""))
        self.role = role_of(request)
        self.at: datetime = desk.now()

    @cached_property
    def book(self) -> Book:
        """The book up to now."""
        return desk.snapshot(self.kennel)

    @cached_property
    def on(self) -> date:
        """Today, by the kennel's own calendar."""
        return self.book.day_of(self.at)

    @cached_property
    def handbook(self) -> Handbook:
        """The handbook in force for this kennel."""
        return desk.handbook(self.kennel)

    @cached_property
    def plan(self) -> KennelPlan:
        """What is due and what results are worth, today."""
        return desk.plan(self.kennel, self.on)

    @cached_property
    def is_demo(self) -> bool:
        """True for the made-up kennel."""
        return desk.is_demo(self.kennel)

    def write(
        self,
        *facts: Fact,
        entry: str = "",
        happened_at: datetime | None = None,
        supersedes: str = "",
    ) -> list[Entry]:
        """Write facts into the book, all or none.

        `entry` is the id the form carried, so that sending a form twice writes once; a
        second and later fact get ids next to it. Raises `BadInput`.
        """
        return self.write_dated(
            [(happened_at, fact) for fact in facts], entry=entry, supersedes=supersedes
        )

    def write_dated(
        self,
        facts: Sequence[tuple[datetime | None, Fact]],
        *,
        entry: str = "",
        supersedes: str = "",
    ) -> list[Entry]:
        """Write facts that happened at different moments (None: now), all or none."""
        first = entry or desk.new_id()
        return self.write_all(
            [
                desk.NewEntry(
                    entry=id_beside(first, steps=steps),
                    fact=fact,
                    happened_at=when,
                    supersedes=supersedes if steps == 0 else "",
                )
                for steps, (when, fact) in enumerate(facts)
            ]
        )

    def noon_of(self, day: date) -> datetime:
        """Noon of a day in the kennel, but never later than now."""
        noon = datetime.combine(day, NOON, tzinfo=self.book.zone)
        return min(noon, self.at)

    def write_all(self, new: Sequence["desk.NewEntry"]) -> list[Entry]:
        """Write prepared entries, all or none, under the name of who is logged in."""
        written = desk.record(new, kennel=self.kennel, by=self.request.user, at=self.at)
        for name in ("book", "plan"):
            self.__dict__.pop(name, None)
        return written


def here(request: HttpRequest) -> Here:
    """This request's `Here`, made once."""
    found = getattr(request, "_here", None)
    if found is None:
        found = Here(request)
        request._here = found  # type: ignore[attr-defined]
    return found


def new_id() -> str:
    """A fresh id for a form to carry."""
    return desk.new_id()


def id_beside(first: str, *, steps: int) -> str:
    """The id `steps` after `first`: fixed, so a form sent twice makes the same ids."""
    number = uuid.UUID(first).int
    low = (number + steps) & 0xFFFF_FFFF
    return str(uuid.UUID(int=(number & ~0xFFFF_FFFF) | low))
