"""A kennel of our own invention: its book as values, and photos of its strips.

Everything here is made up: people, dogs, place, lots, results. Nothing of it is ever
mixed with a real book; the desk opens it as a kennel of its own, marked as made up.

`kennelward.demo.main_job` does the main job on it; it is not imported here, because it
loads every room below.

Never: a clock. Every date counts back from the `on` that is passed in.
"""

from kennelward.demo.book import demo_book
from kennelward.demo.jobs import DemoJob, demo_jobs
from kennelward.demo.photos import demo_photos, draw_photo
from kennelward.demo.words import KENNEL, KENNEL_NAME, fixed_id

__all__ = [
    "KENNEL",
    "KENNEL_NAME",
    "DemoJob",
    "demo_book",
    "demo_jobs",
    "demo_photos",
    "draw_photo",
    "fixed_id",
]
