"""Photos: kept under their content hash, without location, once; bad ones refused."""

import hashlib
import io

import pytest
from PIL import Image

from kennelward import desk
from kennelward.desk import photos
from kennelward.desk.records.models import PhotoRow
from kennelward.terms import BadInput, Unreadable
from tests.desk.conftest import AT

GPS = 0x8825  # EXIF 2.32: pointer to the location block


def picture(**more):
    """A JPEG with a place, a camera and a remark in it."""
    image = Image.linear_gradient("L").resize((640, 480)).convert("RGB")
    exif = Image.Exif()
    exif[0x010F] = "Camera maker"
    exif.get_ifd(GPS).update(
        {1: "N", 2: (52.0, 31.0, 12.0), 3: "E", 4: (13.0, 24.0, 36.0)}
    )
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif, comment=b"52.52 N 13.41 E", **more)
    return out.getvalue()


def store(kennel, data):
    return desk.store_photo(data, kennel=kennel, by="Mara Lind", at=AT)


def test_location_and_camera_are_gone(kennel):
    """What is kept holds pixels only."""
    raw = picture()
    with Image.open(io.BytesIO(raw)) as before:
        assert before.getexif().get_ifd(GPS)  # the test picture does hold a place
    kept = desk.photo(kennel, store(kennel, raw))
    with Image.open(io.BytesIO(kept)) as after:
        assert dict(after.getexif()) == {}
        assert after.getexif().get_ifd(GPS) == {}
        assert "comment" not in after.info
        assert after.size == (640, 480)
    for left in (b"Exif", b"Camera maker", b"52.52"):
        assert left not in kept


def test_kept_under_its_hash_once(kennel):
    """The same photo twice is one file and one row."""
    raw = picture()
    first, second = store(kennel, raw), store(kennel, raw)
    assert first == second
    assert PhotoRow.objects.count() == 1
    file = photos.photo_file(first)
    assert hashlib.sha256(file.read_bytes()).hexdigest() == first
    assert [one.name for one in file.parent.glob(".*")] == []


@pytest.mark.parametrize(
    "data",
    [b"", b"this is text, named .jpg", b"\xff\xd8\xff\xe0 broken", picture()[:2000]],
    ids=["empty", "text", "broken", "cut"],
)
def test_no_photo_is_an_answer(kennel, data):
    """Refused with what to do; no row, no file."""
    found = store(kennel, data)
    assert isinstance(found, Unreadable)
    assert found.do
    assert not PhotoRow.objects.exists()


def test_bomb_is_refused_before_it_is_decoded(kennel):
    """200 megapixels in a few hundred bytes of header."""
    out = io.BytesIO()
    Image.new("1", (20_000, 10_000)).save(out, "PNG")
    assert len(out.getvalue()) < 100_000
    assert isinstance(store(kennel, out.getvalue()), Unreadable)


def test_changed_file_is_noticed(kennel):
    """A photo that no longer gives its hash is not shown."""
    sha256 = store(kennel, picture())
    file = photos.photo_file(sha256)
    file.write_bytes(file.read_bytes() + b"x")
    with pytest.raises(BadInput, match="was changed"):
        desk.photo(kennel, sha256)
    file.unlink()


@pytest.mark.parametrize("name", ["", "../../secret-key", "g" * 64, "0" * 64])
def test_other_names_give_no_file(kennel, name):
    """No way out of the folder."""
    with pytest.raises(BadInput):
        desk.photo(kennel, name)


def test_another_kennel_sees_no_photo(kennel):
    """Photos belong to a kennel."""
    from kennelward.desk.records.writes import make_kennel

    sha256 = store(kennel, picture())
    other = make_kennel(desk.new_id(), at=AT)
    with pytest.raises(BadInput, match="no such photo"):
        desk.photo(other, sha256)
