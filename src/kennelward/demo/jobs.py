"""What the main job reads: each photographed strip with its dog, kit, lot and minutes."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from kennelward.demo.bench import PHOTOGRAPHED, test_id
from kennelward.demo.dogs import dog_id
from kennelward.demo.photos import photo_name
from kennelward.demo.place import lot_id
from kennelward.demo.words import Pencil


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoJob:
    """One photo to read, and what is known about the strip on it."""

    photo: str  # file name in `demo_photos`
    test: str  # id of the test in the book
    dog: str  # id
    kit: str
    lot: str  # id
    sample: str
    minutes: float  # after the drops, when the photo was taken
    taken_at: datetime


def demo_jobs(*, on: date) -> tuple[DemoJob, ...]:
    """The photographed strips of `demo_book`, the most pressing first."""
    pencil = Pencil(on=on)
    return tuple(
        DemoJob(
            photo=photo_name(strip.mark),
            test=test_id(strip.mark),
            dog=dog_id(strip.dog),
            kit=strip.kit,
            lot=lot_id(strip.lot),
            sample=strip.sample,
            minutes=strip.minutes,
            taken_at=pencil.moment(strip.days_ago, strip.clock)
            + timedelta(minutes=strip.minutes),
        )
        for strip in PHOTOGRAPHED
    )
