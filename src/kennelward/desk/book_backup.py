"""The whole of a folder's books in one file, verified by reading it back.

A ZIP that needs no database to be read: `contents.json`, one `entries.jsonl` a kennel
(each line an entry's text exactly as hashed, with its links), and the photos.

People go in with name and role. Their password hashes stay out: a backup lies on a
stick or at a friend's, a weak password can be found from its hash, and people use one
password in many places. After a restore each owner gets a fresh one.
"""

import json
import os
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.db import transaction

from kennelward.desk import membership, photos
from kennelward.desk.backup_file import (
    CONTENTS,
    FORMAT,
    check_kennel,
    entries_name,
    photo_name,
    read_contents,
)
from kennelward.desk.records.links import ChainedText
from kennelward.desk.records.models import EntryRow, Kennel, PhotoRow
from kennelward.terms import BadInput

Progress = Callable[[int, int], None]  # done, all


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupMade:
    """A backup that was written and read back."""

    path: Path
    count: int  # entries, of all kennels
    head: str  # newest hash of the first kennel; write it down for `verify --head`
    heads: dict[str, str]  # by kennel
    photos: int
    kennels: int


def backup(target: Path, at: datetime, progress: Progress | None = None) -> BackupMade:
    """Write every kennel of the open folder to a new file, and read it back.

    Raises `BadInput` where the file is there already, the book does not verify, or what
    was read back differs. The name appears only when all is good.
    """
    target = Path(target).expanduser().resolve()
    if target.exists():
        raise BadInput(f"{target} is there already; name a new file")
    if not target.parent.is_dir():
        raise BadInput(f"{target.parent} is no folder; make it, or name another")
    half = target.with_name(f".{target.name}.half")
    try:
        with half.open("xb") as out:
            os.chmod(half, 0o600)
            contents = _write(out, at=at, progress=progress or _silent)
            out.flush()
            os.fsync(out.fileno())
        read_back = read_contents(half)
        if read_back != contents:
            raise BadInput("the backup reads back otherwise than written; try again")
        for kennel in contents["kennels"]:
            check_kennel(half, kennel)
        os.replace(half, target)
    except FileExistsError as error:
        raise BadInput(f"{half} is left from a stopped backup; remove it") from error
    except OSError as error:
        half.unlink(missing_ok=True)
        raise BadInput(f"{target} cannot be written ({error.strerror})") from error
    except BaseException:
        half.unlink(missing_ok=True)
        raise
    return _made(target, contents)


def _silent(done: int, of_all: int) -> None:
    """No progress shown."""


def _made(target: Path, contents: dict[str, Any]) -> BackupMade:
    held = contents["kennels"]
    return BackupMade(
        path=target,
        count=sum(one["count"] for one in held),
        head=held[0]["head"] if held else "",
        heads={one["kennel"]: one["head"] for one in held},
        photos=sum(len(one["photos"]) for one in held),
        kennels=len(held),
    )


@transaction.atomic
def _write(out: Any, *, at: datetime, progress: Progress) -> dict[str, Any]:
    """Fill the file; what it holds. One transaction, so nothing comes in between."""
    rows_of_all = EntryRow.objects.count() + PhotoRow.objects.count()
    done = 0
    kennels = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as zipped:
        for kennel in Kennel.objects.order_by("made_at", "pk"):
            described = _describe(kennel)
            with zipped.open(entries_name(kennel.pk), "w", force_zip64=True) as lines:
                for one in _entries(kennel.pk):
                    lines.write(_line(one))
                    described["count"], described["head"] = one.sequence, one.hash
                    done += 1
                    if done % 500 == 0:
                        progress(done, rows_of_all)
            kennels.append(described)
        for sha256 in sorted({one["sha256"] for k in kennels for one in k["photos"]}):
            name = photo_name(sha256)  # already compressed
            zipped.writestr(name, photos.read_kept(sha256), zipfile.ZIP_STORED)
            done += 1
            progress(done, rows_of_all)
        contents = {"format": FORMAT, "made_at": at.isoformat(), "kennels": kennels}
        zipped.writestr(CONTENTS, json.dumps(contents, ensure_ascii=False, indent=1))
    progress(rows_of_all, rows_of_all)
    return contents


def _describe(kennel: Kennel) -> dict[str, Any]:
    return {
        "kennel": kennel.pk,
        "is_demo": kennel.is_demo,
        "made_at": kennel.made_at.isoformat(),
        "count": 0,
        "head": "",
        "people": [
            {
                "username": one.username,
                "full_name": one.full_name,
                "role": one.role,
                "is_active": one.is_active,
            }
            for one in membership.people(kennel.pk)
        ],
        "photos": [
            {
                "sha256": row.sha256,
                "stored_at": row.stored_at.isoformat(),
                "stored_by": row.stored_by,
            }
            for row in PhotoRow.objects.filter(kennel=kennel).order_by("pk")
        ],
    }


def _entries(kennel: str) -> Iterator[ChainedText]:
    rows = EntryRow.objects.filter(kennel_id=kennel).order_by("sequence")
    fields = ("sequence", "entry", "body", "previous", "hash")
    for values in rows.values(*fields).iterator(2000):
        yield ChainedText(**values)


def _line(one: ChainedText) -> bytes:
    values = {
        "sequence": one.sequence,
        "entry": one.entry,
        "previous": one.previous,
        "hash": one.hash,
        "body": one.body,
    }
    return json.dumps(values, ensure_ascii=False).encode() + b"\n"
