"""A chain of entries as text: whether each is there, in its place, unchanged. No database."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from kennelward.kennel import FIRST_LINK


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """What was found. `problem` names the first entry that is not as it was written."""

    ok: bool
    count: int  # entries looked at and found good, in their order
    head: str  # hash of the last good one
    problem: str = ""
    entry: str = ""  # id of the entry with the problem, where it has one
    sequence: int = 0  # its place in the book


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainedText:
    """An entry as it is stored or backed up: its text, its place, its links."""

    sequence: int
    entry: str
    body: str
    previous: str
    hash: str


def verify_chain(entries: Iterable[ChainedText], head: str = "") -> Verified:
    """Look at entries in the order of their places; the first problem ends it."""
    previous, count, has_head = FIRST_LINK, 0, head in ("", FIRST_LINK)
    held = iter(entries)
    for one in held:
        problem = _problem(one, previous=previous, count=count)
        if problem == _BREAK:
            problem = _break_in_words(one, previous=previous, later=held)
        if problem:
            return Verified(
                ok=False,
                count=count,
                head=previous,
                problem=problem,
                entry=one.entry,
                sequence=one.sequence,
            )
        previous, count = one.hash, count + 1
        has_head = has_head or previous == head
    if not has_head:
        return Verified(
            ok=False,
            count=count,
            head=previous,
            problem=f"the book ends at entry {count} and never had the head "
            f"{head[:12]}…: entries at its end were cut off or written anew. "
            "Compare with the backup or report that the head came from",
        )
    return Verified(ok=True, count=count, head=previous)


_BREAK = "break"


def _problem(one: ChainedText, *, previous: str, count: int) -> str:
    """What is wrong with one entry, or nothing; `_BREAK` where it hangs elsewhere."""
    if one.sequence > count + 1:
        missing = (
            f"entry {count + 1} is"
            if one.sequence == count + 2
            else f"entries {count + 1} to {one.sequence - 1} are"
        )
        return f"{missing} missing: entry {one.sequence} comes next"
    if hash_of(one.previous, one.body) != one.hash:
        return f"entry {one.sequence} was changed: its text no longer gives its hash"
    return _BREAK if one.previous != previous else ""


def _break_in_words(
    one: ChainedText, *, previous: str, later: Iterable[ChainedText]
) -> str:
    """An entry is whole but hangs on another than the one before: moved, or a gap."""
    if any(other.hash == one.previous for other in later):
        return (
            f"entry {one.sequence} stands in another place than it was written: "
            "entries were reordered"
        )
    return (
        f"entry {one.sequence} does not follow the one before it: "
        f"an entry between them is missing, or entry {one.sequence - 1} was written anew"
    )


def hash_of(previous: str, body: str) -> str:
    """The link of a stored text; the same as `kennel.link` of what it says."""
    return hashlib.sha256(f"{previous}\n{body}".encode()).hexdigest()
