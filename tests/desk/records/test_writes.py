"""Writing entries: once, all or none, in one chain, by whoever may."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from kennelward import desk
from kennelward.desk.records.models import AppendOnlyError, EntryRow
from kennelward.kennel import facts as f
from kennelward.kennel import link
from kennelward.terms import BadInput
from tests.desk.conftest import AT

BORN = date(2024, 5, 1)


def new(fact, **more):
    return desk.NewEntry(entry=desk.new_id(), fact=fact, **more)


def dog(name="Tansy", **more):
    return f.DogDescribed(
        dog=desk.new_id(), name=name, sex="bitch", born_on=BORN, **more
    )


def write(kennel, *facts, by="Mara Lind", at=AT):
    return desk.record([new(fact) for fact in facts], kennel=kennel, by=by, at=at)


def test_first_start_makes_owner_and_book(owner, kennel):
    """The book begins with the kennel, signed with the owner's name."""
    book = desk.snapshot(kennel)
    assert book.kennel.name == "Marsh End"
    assert [entry.recorded_by for entry in book.entries] == ["Mara Lind"]
    assert desk.has_people()


def test_second_first_start_is_refused(owner, at):
    """Only an empty desk can be begun."""
    with pytest.raises(BadInput, match="owner already"):
        desk.start_kennel(
            facts=f.KennelDescribed(name="Other"),
            username="x",
            password="a" * 20,
            at=at,
        )


def test_chain_links_each_entry_to_the_one_before(kennel):
    """Hashes are those of `kennel.link` over the stored text."""
    import json

    write(kennel, dog("A"), dog("B"))
    rows = list(EntryRow.objects.order_by("sequence"))
    assert [row.sequence for row in rows] == [1, 2, 3]
    previous = "0" * 64
    for row in rows:
        assert row.previous == previous
        previous = link(previous, json.loads(row.body))
        assert row.hash == previous
    assert desk.head(kennel) == desk.Head(hash=previous, count=3)


def test_same_entry_twice_is_written_once(kennel):
    """A phone may send again."""
    one = new(dog())
    first = desk.record([one], kennel=kennel, by="Mara", at=AT)
    again = desk.record([one], kennel=kennel, by="Mara", at=AT + timedelta(hours=1))
    assert first == again
    assert desk.head(kennel).count == 2


def test_same_entry_twice_in_one_batch_is_written_once(kennel):
    """Even within one sending."""
    one = new(dog())
    desk.record([one, one], kennel=kennel, by="Mara", at=AT)
    assert desk.head(kennel).count == 2


def test_same_id_with_other_content_is_refused(kennel):
    """An id stands for one content."""
    one = new(dog("Tansy"))
    desk.record([one], kennel=kennel, by="Mara", at=AT)
    other = replace(one, fact=replace(one.fact, name="Bryony"))
    with pytest.raises(BadInput, match="other content"):
        desk.record([other], kennel=kennel, by="Mara", at=AT)
    moved = replace(one, happened_at=AT - timedelta(days=1))
    with pytest.raises(BadInput, match="other content"):
        desk.record([moved], kennel=kennel, by="Mara", at=AT)
    assert desk.head(kennel).count == 2


def test_half_sent_batch_is_completed(kennel):
    """What is there stays; what is missing is added."""
    first, second = new(dog("A")), new(dog("B"))
    desk.record([first], kennel=kennel, by="Mara", at=AT)
    desk.record([first, second], kennel=kennel, by="Mara", at=AT)
    assert [one.fact.name for one in desk.snapshot(kennel).entries] == [
        "Marsh End", "A", "B",
    ]  # fmt: skip


def test_all_or_none(kennel):
    """One bad entry, and nothing is written."""
    bad = f.Moved(dog="nobody", pen="nowhere")
    with pytest.raises(BadInput, match="no dog"):
        write(kennel, dog(), bad)
    assert desk.head(kennel).count == 1


def test_entries_of_one_batch_see_each_other(kennel):
    """A pen, a dog and its move in one sending; a chip twice is found."""
    pen = f.PenDescribed(pen=desk.new_id(), name="Long run", pen_kind="adults")
    hound = dog(chip="276098100000001")
    write(kennel, pen, hound, f.Moved(dog=hound.dog, pen=pen.pen))
    assert desk.snapshot(kennel).dogs[hound.dog].pen == pen.pen
    with pytest.raises(BadInput, match="already belongs"):
        write(
            kennel, dog("X", chip="276098100000002"), dog("Y", chip="276098100000002")
        )
    left = f.Left(dog=hound.dog)
    with pytest.raises(BadInput, match="not in the kennel"):
        write(kennel, left, f.Moved(dog=hound.dog, pen=pen.pen))


def test_future_is_refused_beyond_two_minutes(kennel):
    """Phone clocks run ahead a little; a day ahead is a slip."""
    soon = new(dog(), happened_at=AT + timedelta(minutes=2))
    desk.record([soon], kennel=kennel, by="Mara", at=AT)
    later = new(dog(), happened_at=AT + timedelta(minutes=2, seconds=1))
    with pytest.raises(BadInput, match="in the future"):
        desk.record([later], kennel=kennel, by="Mara", at=AT)


def test_strike_and_supersede(kennel):
    """Struck and replaced entries stay, and count no more."""
    hound = dog()
    (described,) = write(kennel, hound)
    (weighed,) = write(kennel, f.Weighed(dog=hound.dog, weight_g=4000))
    write(kennel, f.Struck(entry=weighed.entry, why="wrong dog"))
    better = new(replace(hound, name="Tansy II"), supersedes=described.entry)
    desk.record([better], kennel=kennel, by="Mara", at=AT)
    book = desk.snapshot(kennel)
    assert book.of(f.Weighed) == ()
    assert book.dogs[hound.dog].name == "Tansy II"
    assert {weighed.entry, described.entry} <= book.struck
    assert book.find(weighed.entry) is not None


@pytest.mark.parametrize(
    "name",
    [
        "🐕‍🦺 Żółw",
        'O\'Brien "the Second"; DROP TABLE--',
        "ñ" * 200,
        "<script>alert(1)</script>",
        "ﷺ‮abc",
    ],
)
def test_odd_names_come_back_as_typed(kennel, name):
    """Emoji, quotes, 200 letters: kept, hashed and read back letter for letter."""
    write(kennel, dog(name))
    desk.head(kennel)
    from kennelward.desk.records import queries

    queries.forget()
    assert desk.snapshot(kennel).entries[-1].fact.name == name
    assert desk.verify(kennel).ok


@pytest.mark.parametrize(
    ("fact", "says"),
    [
        (lambda: f.Noted(about="kennel", text="a\x00b"), "null character"),
        (lambda: f.Noted(about="kennel", text="half \ud83d"), "half a character"),
        (lambda: dog("ñ" * 201), "200 is the most"),
        (
            lambda: replace(dog(), born_on=date(1999, 1, 1)),
            "25 is the most",
        ),
        (lambda: replace(dog(), born_on=date(2030, 1, 1)), "in the future"),
        (lambda: f.Struck(entry="nothing", why="slip"), "not in this book"),
    ],
)
def test_bad_input_is_refused_with_a_reason(kennel, fact, says):
    """A clear sentence, and nothing written."""
    with pytest.raises(BadInput, match=says):
        write(kennel, fact())
    assert desk.head(kennel).count == 1


@pytest.mark.parametrize(
    "bad", ["", "1", "x" * 36, "0192F000-0000-7000-8000-000000000000"]
)
def test_ids_are_uuids(kennel, bad):
    """Another text is no id."""
    with pytest.raises(BadInput, match="no UUID"):
        desk.record(
            [desk.NewEntry(entry=bad, fact=dog())], kennel=kennel, by="Mara", at=AT
        )


def test_unknown_kennel_is_refused(db):
    """No kennel, no book."""
    with pytest.raises(BadInput, match="no kennel"):
        write("nowhere", dog())


def test_same_id_in_two_kennels_is_two_entries(kennel):
    """Kennels do not see each other's ids."""
    from kennelward.desk.records.writes import make_kennel

    other = make_kennel(desk.new_id(), at=AT)
    one = new(f.KennelDescribed(name="Both"))
    for place in (kennel, other):
        desk.record([one], kennel=place, by="Mara", at=AT)
    assert desk.head(other).count == 1
    with pytest.raises(BadInput, match="several kennels"):
        desk.snapshot()


def test_model_refuses_change_and_removal(kennel):
    """Neither a row nor a set of rows can be changed."""
    row = EntryRow.objects.get()
    for attempt in (
        row.save,
        row.delete,
        EntryRow.objects.all().delete,
        lambda: EntryRow.objects.update(kind="x"),
        lambda: EntryRow.objects.bulk_update([row], ["kind"]),
    ):
        with pytest.raises(AppendOnlyError):
            attempt()


@pytest.mark.parametrize(
    "statement",
    ["UPDATE records_entryrow SET kind = 'x'", "DELETE FROM records_entryrow"],
)
def test_database_refuses_change_and_removal(kennel, statement):
    """Plain SQL runs into a trigger."""
    with (
        pytest.raises(DatabaseError, match="never changed or removed"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert desk.verify(kennel).ok


def test_snapshot_follows_a_rollback(kennel):
    """What was rolled back is not kept in memory."""

    class Stop(Exception):
        pass

    with pytest.raises(Stop), transaction.atomic():
        write(kennel, dog("Ghost"))
        assert len(desk.snapshot(kennel).dogs) == 1
        raise Stop
    assert desk.snapshot(kennel).dogs == {}
    write(kennel, dog("Tansy"))
    assert [card.name for card in desk.snapshot(kennel).dogs.values()] == ["Tansy"]


def test_snapshot_until_leaves_out_what_came_later(kennel):
    """The book as of a moment."""
    write(kennel, dog("A"))
    write(kennel, dog("B"), at=AT + timedelta(days=3))
    assert len(desk.snapshot(kennel, until=AT + timedelta(days=1)).dogs) == 1
    assert len(desk.snapshot(kennel).dogs) == 2


def test_snapshot_is_the_same_object_until_something_is_written(kennel):
    """Folding is done once a head."""
    first = desk.snapshot(kennel)
    assert desk.snapshot(kennel) is first
    write(kennel, dog())
    assert desk.snapshot(kennel) is not first
