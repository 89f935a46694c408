"""What was changed, removed, reordered or cut off behind the desk's back is found."""

import hashlib
import json

import pytest
from django.db import connection

from kennelward import desk
from kennelward.desk.records import triggers
from kennelward.desk.records.links import hash_of
from kennelward.desk.records.models import EntryRow
from kennelward.desk.records.writes import as_text
from kennelward.kennel import entry_as_json, link
from kennelward.kennel import facts as f
from tests.desk.conftest import AT


@pytest.fixture
def notes(kennel):
    """A book of nine entries."""
    for number in range(8):
        desk.record(
            [
                desk.NewEntry(
                    entry=desk.new_id(),
                    fact=f.Noted(about="kennel", text=f"note {number}"),
                )
            ],
            kennel=kennel,
            by="Mara Lind",
            at=AT,
        )
    return kennel


def tamper(*statements):
    """Run SQL with the guards off, as whoever owns the database could."""
    drop, make = {
        "sqlite": (triggers.SQLITE_DROP, triggers.SQLITE_MAKE),
        "postgresql": (triggers.POSTGRES_DROP, triggers.POSTGRES_MAKE),
    }[connection.vendor]
    with connection.cursor() as cursor:
        for statement in (*drop, *statements, *make):
            cursor.execute(statement)


def row(sequence):
    return EntryRow.objects.get(sequence=sequence)


def test_an_untouched_book_is_good(notes):
    """All entries, and the head."""
    found = desk.verify(notes)
    assert (found.ok, found.count, found.problem) == (True, 9, "")
    assert found.head == desk.head(notes).hash


def test_hash_is_sha256_over_the_hash_before_and_the_text(notes):
    """The stored text hashes as `kennel.link` does, and as plain SHA-256 does."""
    entry = desk.snapshot(notes).entries[-1]
    text = as_text(entry_as_json(entry))
    last = row(9)
    assert last.body == text
    assert hash_of(last.previous, text) == link(last.previous, json.loads(text))
    plain = hashlib.sha256(last.previous.encode() + b"\n" + text.encode()).hexdigest()
    assert last.hash == plain


def test_changed_text_is_named(notes):
    """One letter in entry 5."""
    tamper(
        "UPDATE records_entryrow SET body = REPLACE(body, 'note 3', 'note 8') "
        "WHERE sequence = 5"
    )
    found = desk.verify(notes)
    assert not found.ok
    assert (found.sequence, found.entry, found.count) == (5, row(5).entry, 4)
    assert "entry 5 was changed" in found.problem


@pytest.mark.parametrize("column", ["kind", "recorded_by", "supersedes", "entry"])
def test_changed_column_is_named(notes, column):
    """A column that no longer says what the hashed text says."""
    tamper(f"UPDATE records_entryrow SET {column} = 'x' WHERE sequence = 4")
    found = desk.verify(notes)
    assert (found.ok, found.sequence) == (False, 4)
    assert column in found.problem


@pytest.mark.parametrize("column", ["happened_at", "recorded_at"])
def test_changed_moment_is_named(notes, column):
    """A date in a column moved by a day."""
    tamper(
        f"UPDATE records_entryrow SET {column} = '2020-01-01 00:00:00' WHERE sequence = 4"
    )
    found = desk.verify(notes)
    assert (found.ok, found.sequence) == (False, 4)


def test_changed_text_with_a_new_hash_is_named(notes):
    """Someone who knows the method writes entry 5 anew: entry 6 gives it away."""
    old = row(5)
    body = old.body.replace("note 3", "note 8")
    tamper(
        f"UPDATE records_entryrow SET body = REPLACE(body, 'note 3', 'note 8'), "
        f"hash = '{hash_of(old.previous, body)}' WHERE sequence = 5"
    )
    found = desk.verify(notes)
    assert (found.ok, found.sequence) == (False, 6)
    assert "entry 5 was written anew" in found.problem


def test_missing_entry_is_named(notes):
    """A gap in the numbers."""
    tamper("DELETE FROM records_entryrow WHERE sequence = 5")
    found = desk.verify(notes)
    assert (found.ok, found.sequence, found.count) == (False, 6, 4)
    assert found.problem == "entry 5 is missing: entry 6 comes next"


def test_several_missing_entries_are_named(notes):
    """A torn-out page."""
    tamper("DELETE FROM records_entryrow WHERE sequence IN (3, 4, 5)")
    assert "entries 3 to 5 are missing" in desk.verify(notes).problem


def test_missing_entry_with_numbers_closed_up_is_named(notes):
    """The gap was hidden by counting anew."""
    tamper(
        "DELETE FROM records_entryrow WHERE sequence = 5",
        "UPDATE records_entryrow SET sequence = 5 WHERE sequence = 6",
        "UPDATE records_entryrow SET sequence = 6 WHERE sequence = 7",
        "UPDATE records_entryrow SET sequence = 7 WHERE sequence = 8",
        "UPDATE records_entryrow SET sequence = 8 WHERE sequence = 9",
    )
    found = desk.verify(notes)
    assert (found.ok, found.sequence) == (False, 5)
    assert "missing" in found.problem


def test_first_entry_missing_is_named(notes):
    """Also where nothing comes before it."""
    tamper("DELETE FROM records_entryrow WHERE sequence = 1")
    assert "entry 1 is missing" in desk.verify(notes).problem


def test_reordered_entries_are_named(notes):
    """Entries 4 and 7 changed places."""
    tamper(
        "UPDATE records_entryrow SET sequence = 99 WHERE sequence = 4",
        "UPDATE records_entryrow SET sequence = 4 WHERE sequence = 7",
        "UPDATE records_entryrow SET sequence = 7 WHERE sequence = 99",
    )
    found = desk.verify(notes)
    assert (found.ok, found.sequence) == (False, 4)
    assert "reordered" in found.problem


def test_cut_off_end_is_found_with_the_head(notes):
    """A chain alone cannot show that its end is gone; the head noted before can."""
    head = desk.head(notes).hash
    middle = row(6).hash
    tamper("DELETE FROM records_entryrow WHERE sequence > 7")
    assert desk.verify(notes).ok  # what a chain alone can say
    found = desk.verify(notes, head=head)
    assert not found.ok
    assert found.count == 7
    assert "cut off" in found.problem
    assert desk.verify(notes, head=middle).ok


def test_head_of_an_empty_book_is_in_every_chain(notes):
    """Sixty-four noughts: the place before the first entry."""
    assert desk.verify(notes, head="0" * 64).ok


def test_late_entry_is_not_reordered(notes):
    """Chain order is order of receipt: a phone may send what happened days ago."""
    from datetime import timedelta

    late = desk.NewEntry(
        entry=desk.new_id(),
        fact=f.Noted(about="kennel", text="from the far shed"),
        happened_at=AT - timedelta(days=9),
    )
    desk.record([late], kennel=notes, by="Mara Lind", at=AT)
    assert desk.verify(notes).ok
    assert desk.snapshot(notes).entries[-1].entry == late.entry
    assert desk.snapshot(notes).live[0].entry == late.entry
