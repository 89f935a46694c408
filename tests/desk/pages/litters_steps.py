"""Steps that several tests of Litters share: taps as a phone keeps them."""

import json
from datetime import timedelta

from kennelward import desk
from tests.desk.pages.conftest import NOW


def tap(minutes_ago, **said):
    """One entry as a phone keeps it."""
    at = NOW - timedelta(minutes=minutes_ago)
    return {"id": desk.new_id(), "at": at.isoformat()} | said


def puppy(minutes_ago, **said):
    """A puppy as a phone keeps it."""
    return tap(minutes_ago, what="puppy", born="alive", sex="bitch") | said


def send(client, dam, entries):
    """What a phone sends."""
    return client.post(
        f"/litters/night/{dam}/sync/",
        entries if isinstance(entries, str) else json.dumps(entries),
        content_type="application/json",
    )


def mara_writes(*facts, at=NOW):
    """Put facts into the made-up book, as of a moment."""
    kennel = desk.kennels()[0][0]
    by = desk.person(kennel, "mara")
    new = [desk.NewEntry(entry=desk.new_id(), fact=fact) for fact in facts]
    desk.record(new, kennel=kennel, by=by, at=at)
