"""The main job on the made-up kennel: photos read, book brought up to date, work planned.

Everything is asked of `rounds`; nothing is worked out here.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from kennelward.demo.book import demo_book
from kennelward.demo.jobs import DemoJob, demo_jobs
from kennelward.demo.photos import draw_photo
from kennelward.demo.words import KENNEL, OWNER
from kennelward.kennel import Book, Entry, uuid7
from kennelward.kennel.ids import RANDOM_BYTES
from kennelward.rounds import (
    ReadingJob,
    ShelfPlan,
    kennel_plan,
    read_and_plan,
    shelf_plan,
)

if TYPE_CHECKING:
    from kennelward.handbook import Handbook
    from kennelward.rounds import KennelPlan, ReadingOutcome


@dataclass(frozen=True, slots=True, kw_only=True)
class MainJob:
    """What came of it."""

    on: date
    entries: tuple[Entry, ...]  # the demo's book and the reader's measurements
    book: Book  # folded from `entries`
    photos: dict[str, bytes]  # by the hash that the entries name them by
    read: tuple[tuple[DemoJob, "ReadingOutcome"], ...]
    plan: "KennelPlan"
    shelf: ShelfPlan


def do_main_job(
    *,
    on: date,
    handbook: "Handbook",
    each_read: Callable[[], None] = lambda: None,
) -> MainJob:
    """Read each photo of the demo, write the reader's answer down, and plan.

    `each_read` is called after each photo, for a progress bar.
    """
    entries = list(demo_book(on=on))
    photos: dict[str, bytes] = {}
    read = []
    for job in demo_jobs(on=on):
        photo = draw_photo(job.photo)
        outcome = read_and_plan(
            ReadingJob(
                book=Book.from_entries(entries),
                handbook=handbook,
                test=job.test,
                photo=photo,
                at=job.taken_at,
                on=on,
                photo_hash=_kept_hash(photo),
            )
        )
        entries.append(_measured_entry(job, outcome))
        photos[outcome.fact.photo] = photo
        read.append((job, outcome))
        each_read()
    book = Book.from_entries(entries)
    plan = kennel_plan(book=book, handbook=handbook, on=on)
    return MainJob(
        on=on,
        entries=tuple(entries),
        book=book,
        photos=photos,
        read=tuple(read),
        plan=plan,
        shelf=shelf_plan(book=book, due=plan.due, on=on),
    )


def _kept_hash(photo: bytes) -> str:
    """SHA-256 of the photo as it would be kept: upright, without camera data."""
    from kennelward.reading import clean_photo

    clean = clean_photo(photo)
    assert isinstance(clean, bytes)  # we drew it ourselves
    return hashlib.sha256(clean).hexdigest()


def _measured_entry(job: DemoJob, outcome: "ReadingOutcome") -> Entry:
    """The reader's answer as an entry; photos are looked at after the evening's work."""
    recorded = job.taken_at + timedelta(minutes=1)
    noise = hashlib.sha256(f"measured {job.test}".encode()).digest()[:RANDOM_BYTES]
    return Entry(
        entry=uuid7(at=recorded, noise=noise),
        kennel=KENNEL,
        fact=outcome.fact,
        happened_at=job.taken_at,
        recorded_at=recorded,
        recorded_by=OWNER,
    )
