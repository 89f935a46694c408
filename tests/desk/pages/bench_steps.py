"""Steps that tests of the bench share: through the pages, as a person goes."""

import io
import re
from datetime import datetime, timedelta

from PIL import Image

from kennelward import desk
from kennelward.desk import clock
from kennelward.kennel import facts as f

KIT = "giardia-antigen"
FIRST, LAST = 5.0, 10.0  # minutes of the leaflet typed in these tests


class Clock:
    """The desk's clock, moved by hand."""

    def __init__(self, monkeypatch, at: datetime) -> None:
        self.at = at
        monkeypatch.setattr(clock, "now", lambda: self.at)

    def on(self, **more: float) -> None:
        """Let time pass."""
        self.at += timedelta(**more)


def type_leaflet(kennel, *, at, kit=KIT, samples=("faeces",), early=False):
    """The leaflet of a kit, typed by the owner."""
    write(
        kennel,
        f.LeafletConfirmed(
            kit=kit,
            drops=3,
            read_from_minutes=FIRST,
            read_until_minutes=LAST,
            storage_low_c=2,
            storage_high_c=30,
            samples=samples,
            positive_may_be_called_early=early,
        ),
        at=at,
    )


def write(kennel, fact, *, at, happened_at=None):
    """One entry, by the terminal."""
    return desk.record(
        [desk.NewEntry(entry=desk.new_id(), fact=fact, happened_at=happened_at)],
        kennel=kennel,
        by="test",
        at=at,
    )[0]


def lone_dog(kennel, *, at, name="Ash", sex="dog") -> str:
    """One grown dog in one pen, in a book that was empty."""
    pen, dog = desk.new_id(), desk.new_id()
    born = at.date().replace(year=at.year - 4)
    described = f.DogDescribed(dog=dog, name=name, sex=sex, born_on=born)
    write(kennel, f.PenDescribed(pen=pen, name="Row 1", pen_kind="adults"), at=at)
    write(kennel, described, at=at)
    write(kennel, f.Moved(dog=dog, pen=pen), at=at)
    return dog


def no_danger(client, dog, *, kit="", **yes):
    """The five answers; those in `yes` are yes."""
    codes = ("dull", "cold", "bleeding", "vomiting-again", "not-eating")
    said = {code: yes.get(code.replace("-", "_"), "no") for code in codes}
    said |= {
        code.replace("_", "-"): answer
        for code, answer in yes.items()
        if code.replace("_", "-") not in codes
    }
    said |= {"entry": desk.new_id(), "kit": kit}
    return client.post(f"/danger/{dog}/", said)


def start_strip(client, dog, *, kit=KIT, lot=None, entry="", **more):
    """Start a strip from its page; the answer."""
    said = {
        "entry": entry or desk.new_id(),
        "sample": "faeces",
        "lot": lot or "none",
        "date_looked_at": "on",
    } | more
    return client.post(f"/bench/{dog}/{kit}/", said)


def kind_of_test(answer) -> str:
    """The test's id, from where its start led."""
    assert answer.status_code == 302, answer.content.decode()[-3000:]
    return re.fullmatch(r"/bench/test/([^/]+)/", answer["Location"]).group(1)


kind_of_test.__test__ = False


def see(client, test, seen, *, entry="", **more):
    """One tap on what is seen."""
    said = {"entry": entry or desk.new_id(), "seen": seen} | more
    return client.post(f"/bench/test/{test}/seen/", said, follow=True)


def send_photo(client, test, data: bytes, *, name="strip.jpg", entry="", **more):
    """A photo from the camera."""
    file = io.BytesIO(data)
    file.name = name
    said = {"entry": entry or desk.new_id(), "photo": file} | more
    return client.post(f"/bench/test/{test}/photo/", said, follow=True)


def plain_jpeg(size=(640, 480)) -> bytes:
    """A picture of nothing."""
    out = io.BytesIO()
    Image.new("RGB", size, (180, 170, 160)).save(out, "JPEG")
    return out.getvalue()


def bomb_png(side=15_000) -> bytes:
    """A small file that unfolds to 225 megapixels."""
    out = io.BytesIO()
    Image.new("1", (side, side)).save(out, "PNG")
    return out.getvalue()
