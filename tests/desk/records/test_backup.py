"""A backup holds all, verifies, and makes the same book again; a damaged one is refused."""

import json
import random
import zipfile

import pytest
from django.contrib.auth.models import User

from kennelward import desk
from kennelward.desk import backup_file, book_restore, photos
from kennelward.desk.records import queries
from kennelward.desk.records.models import Kennel, Membership, PhotoRow
from kennelward.kennel import facts as f
from kennelward.terms import BadInput
from tests.desk.conftest import AT, PASSWORD
from tests.desk.records.test_chain import tamper


@pytest.fixture
def filled(kennel):
    """A book with entries, a photo and three people."""
    for name in ("🐕 Tansy", 'Bryony "B"', "\u2028odd\u2029line"):
        desk.record(
            [
                desk.NewEntry(
                    entry=desk.new_id(), fact=f.Noted(about="kennel", text=name)
                )
            ],
            kennel=kennel,
            by="Mara Lind",
            at=AT,
        )
    photos.keep(b"a cleaned photo", kennel=kennel, stored_by="Mara Lind", at=AT)
    desk.add_person(kennel=kennel, username="jonas", password=PASSWORD, role="hand")
    desk.add_person(kennel=kennel, username="vet", password=PASSWORD, role="vet")
    return kennel


@pytest.fixture
def archive(filled, tmp_path):
    """Its backup."""
    return desk.backup(tmp_path / "book.zip", at=AT).path


def empty_database():
    """As a new folder has it."""
    queries.forget()
    PhotoRow.objects.all().delete()
    Membership.objects.all().delete()
    tamper("DELETE FROM records_entryrow")
    Kennel.objects.all().delete()
    User.objects.all().delete()


def rewrite(archive, name, change):
    """The same ZIP with one member changed, or left out where `change` gives None."""
    with zipfile.ZipFile(archive) as zipped:
        held = {one: zipped.read(one) for one in zipped.namelist()}
    (full,) = [one for one in held if one.endswith(name)]
    changed = change(held.pop(full))
    with zipfile.ZipFile(archive, "w") as zipped:
        for one, data in held.items():
            zipped.writestr(one, data)
        if changed is not None:
            zipped.writestr(full, changed)


def test_backup_says_what_it_holds(filled, tmp_path):
    """Path, count, head, photos; progress ends at all."""
    seen = []
    made = desk.backup(
        tmp_path / "b.zip", at=AT, progress=lambda done, of: seen.append((done, of))
    )
    assert (made.count, made.head) == (4, desk.head(filled).hash)
    assert (made.photos, made.kennels) == (1, 1)
    assert seen[-1][0] == seen[-1][1] == 5
    assert made.path.stat().st_mode & 0o777 == 0o600


def test_backup_holds_no_password(archive):
    """Neither a hash nor the secret key."""
    with zipfile.ZipFile(archive) as zipped:
        text = b"".join(zipped.read(name) for name in zipped.namelist())
    assert b"jonas" in text
    for user in User.objects.all():
        assert user.password.encode() not in text
    assert b"md5$" not in text
    assert b"pbkdf2" not in text


def test_restore_gives_the_same_book(filled, archive):
    """Entries, head, photos, people: the same, and the chain verifies."""
    before = desk.snapshot(filled)
    head = desk.head(filled)
    (photo,) = PhotoRow.objects.values_list("sha256", flat=True)
    empty_database()
    photos.photo_file(photo).unlink()
    made = book_restore.fill(archive)
    assert (made.count, made.head, made.photos) == (4, head.hash, 1)
    assert desk.snapshot(filled).entries == before.entries
    assert desk.verify(filled, head=head.hash).ok
    assert desk.photo(filled, photo) == b"a cleaned photo"
    assert [(one.username, one.role, one.is_active) for one in desk.people(filled)] == [
        ("jonas", "hand", False),
        ("mara", "owner", True),
        ("vet", "vet", False),
    ]
    assert set(made.passwords) == {"mara"}
    assert User.objects.get(username="mara").check_password(made.passwords["mara"])
    assert not User.objects.get(username="jonas").has_usable_password()


def test_restored_book_goes_on(filled, archive):
    """The next entry hangs on the last one."""
    empty_database()
    book_restore.fill(archive)
    one = desk.NewEntry(entry=desk.new_id(), fact=f.Noted(about="kennel", text="on"))
    desk.record([one], kennel=filled, by="Mara Lind", at=AT)
    assert desk.verify(filled).count == 5


def test_restore_refuses_a_filled_database(filled, archive):
    """Nothing is laid over a kennel."""
    with pytest.raises(BadInput, match="already"):
        book_restore.fill(archive)


def test_restore_refuses_a_folder_that_is_not_empty(archive, tmp_path):
    """And leaves it as it is."""
    folder = tmp_path / "full"
    folder.mkdir()
    (folder / "mine.txt").write_text("mine")
    with pytest.raises(BadInput, match="not empty"):
        desk.restore(archive, folder)
    assert [one.name for one in folder.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        ("entries.jsonl", lambda data: data.replace(b"Tansy", b"Pansy"), "was changed"),
        (
            "entries.jsonl",
            lambda data: b"".join(data.splitlines(keepends=True)[:-1]),
            "should hold 4",
        ),
        (
            "entries.jsonl",
            lambda data: b"".join(
                data.splitlines(keepends=True)[:1] + data.splitlines(keepends=True)[2:]
            ),
            "entry 2 is missing",
        ),
        (
            "entries.jsonl",
            lambda data: b"".join(
                data.splitlines(keepends=True)[i] for i in (0, 2, 1, 3)
            ),
            "missing",
        ),
        ("entries.jsonl", lambda data: b"{not json}\n", "damaged"),
        ("entries.jsonl", lambda data: None, "damaged"),
        (".jpg", lambda data: data + b"x", "photo"),
        (".jpg", lambda data: None, "photo is missing"),
        ("contents.json", lambda data: b"[]", "no backup"),
        ("contents.json", lambda data: b'{"format": 1}', "list of contents"),
        (
            "contents.json",
            lambda data: data.replace(b'"role": "vet"', b'"role": 7'),
            "list of contents",
        ),
        (
            "contents.json",
            lambda data: json.dumps(json.loads(data) | {"format": 99}).encode(),
            "another version",
        ),
    ],
)
def test_damaged_backup_is_refused(archive, name, change, says):
    """Each kind of damage is named before anything is written."""
    rewrite(archive, name, change)
    with pytest.raises(BadInput, match=says):
        for kennel in backup_file.read_contents(archive)["kennels"]:
            backup_file.check_kennel(archive, kennel)


def test_other_files_are_no_backup(tmp_path):
    """Text, another ZIP, nothing."""
    plain = tmp_path / "x.zip"
    plain.write_text("hello")
    with pytest.raises(BadInput, match="no backup"):
        desk.restore(plain, tmp_path / "new")
    with zipfile.ZipFile(plain, "w") as zipped:
        zipped.writestr("a", "b")
    with pytest.raises(BadInput, match="no backup"):
        desk.restore(plain, tmp_path / "new")
    with pytest.raises(BadInput, match="no file"):
        desk.restore(tmp_path / "none.zip", tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_backup_of_a_damaged_book_is_refused(filled, tmp_path):
    """A bad book must not replace a good backup; nothing is left behind."""
    tamper("UPDATE records_entryrow SET body = REPLACE(body, 'Tansy', 'Pansy')")
    with pytest.raises(BadInput, match="does not verify"):
        desk.backup(tmp_path / "b.zip", at=AT)
    assert list(tmp_path.iterdir()) == []


def test_backup_with_a_lost_photo_is_refused(filled, tmp_path):
    """A missing photo is named."""
    photos.photo_file(PhotoRow.objects.get().sha256).unlink()
    with pytest.raises(BadInput, match="missing"):
        desk.backup(tmp_path / "b.zip", at=AT)
    assert list(tmp_path.iterdir()) == []


def test_backup_overwrites_nothing(archive):
    """A name that is taken is refused."""
    with pytest.raises(BadInput, match="there already"):
        desk.backup(archive, at=AT)


def test_a_wrong_byte_anywhere_is_noticed_or_harmless(archive, filled):
    """400 single wrong bytes: one sentence, or still the very same entries."""
    whole = archive.read_bytes()
    (kennel,) = backup_file.read_contents(archive)["kennels"]
    entries = list(backup_file.read_entries(archive, filled))
    rng = random.Random(3)
    noticed = 0
    for _ in range(400):
        place = rng.randrange(len(whole))
        wrong = bytearray(whole)
        wrong[place] ^= 1 << rng.randrange(8)
        archive.write_bytes(wrong)
        try:
            for one in backup_file.read_contents(archive)["kennels"]:
                assert one == kennel
                backup_file.check_kennel(archive, one)
            assert list(backup_file.read_entries(archive, filled)) == entries
        except BadInput:
            noticed += 1
    assert noticed > 200


def test_a_cut_backup_is_refused(archive):
    """A copy that stopped half way."""
    whole = archive.read_bytes()
    for share in (0.0, 0.3, 0.9, 0.999):
        archive.write_bytes(whole[: int(len(whole) * share)])
        with pytest.raises(BadInput, match="no backup"):
            backup_file.read_contents(archive)
