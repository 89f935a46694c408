"""The desk: the kennel book on disk, the people, the pages. Clock, disk and network.

The front door for the terminal and the pages. Light to import: Django loads when a name
is first used. Never: a rule about dogs, a chance, a job composed (that is `rounds`).
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kennelward.desk.book_backup import BackupMade, backup
    from kennelward.desk.book_restore import Restored, restore
    from kennelward.desk.clock import new_id, now, today
    from kennelward.desk.folder import data_folder, has_book, open_book
    from kennelward.desk.imports import ImportProblem, ImportReport, import_dogs
    from kennelward.desk.membership import (
        Person,
        add_person,
        change_person,
        has_people,
        people,
        person,
        start_kennel,
    )
    from kennelward.desk.own_handbook import handbook
    from kennelward.desk.photos import photo, store_photo
    from kennelward.desk.plans import plan
    from kennelward.desk.records.chain import verify
    from kennelward.desk.records.links import Verified
    from kennelward.desk.records.new_entry import NewEntry
    from kennelward.desk.records.queries import (
        Head,
        head,
        is_demo,
        kennels,
        snapshot,
    )
    from kennelward.desk.records.writes import load_entries, record
    from kennelward.desk.web_server import Ready, serve

_HOME = {  # name -> its module; no module is named as a function, or it would hide it
    "BackupMade": "book_backup",
    "Head": "records.queries",
    "ImportProblem": "imports",
    "ImportReport": "imports",
    "NewEntry": "records.new_entry",
    "Person": "membership",
    "Ready": "web_server",
    "Restored": "book_restore",
    "Verified": "records.links",
    "add_person": "membership",
    "backup": "book_backup",
    "change_person": "membership",
    "data_folder": "folder",
    "handbook": "own_handbook",
    "has_book": "folder",
    "has_people": "membership",
    "head": "records.queries",
    "import_dogs": "imports",
    "is_demo": "records.queries",
    "kennels": "records.queries",
    "load_entries": "records.writes",
    "new_id": "clock",
    "now": "clock",
    "open_book": "folder",
    "people": "membership",
    "person": "membership",
    "photo": "photos",
    "plan": "plans",
    "record": "records.writes",
    "restore": "book_restore",
    "serve": "web_server",
    "snapshot": "records.queries",
    "start_kennel": "membership",
    "store_photo": "photos",
    "today": "clock",
    "verify": "records.chain",
}


def __getattr__(name: str) -> Any:
    """The named part of the front door, its module loaded on first use."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)


__all__ = [
    "BackupMade",
    "Head",
    "ImportProblem",
    "ImportReport",
    "NewEntry",
    "Person",
    "Ready",
    "Restored",
    "Verified",
    "add_person",
    "backup",
    "change_person",
    "data_folder",
    "handbook",
    "has_book",
    "has_people",
    "head",
    "import_dogs",
    "is_demo",
    "kennels",
    "load_entries",
    "new_id",
    "now",
    "open_book",
    "people",
    "person",
    "photo",
    "plan",
    "record",
    "restore",
    "serve",
    "snapshot",
    "start_kennel",
    "store_photo",
    "today",
    "verify",
]
