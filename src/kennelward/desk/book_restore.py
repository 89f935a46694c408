"""A data folder made out of a backup: verified before anything is written."""

import secrets
import shutil
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from kennelward.desk.backup_file import (
    check_kennel,
    read_contents,
    read_entries,
    read_photo,
)
from kennelward.desk.folder import data_folder, has_book, open_book
from kennelward.terms import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What was put back."""

    folder: Path
    count: int  # entries, of all kennels
    head: str  # newest hash of the first kennel
    photos: int
    passwords: dict[str, str]  # username -> fresh password of each owner; shown once


def restore(archive: Path, into: Path | None = None, progress: Any = None) -> Restored:
    """Put a backup into an empty folder and open it.

    Every kennel's chain, head, count and every photo is checked first; a folder that
    holds anything, or a database with a kennel, is refused untouched. Owners get a
    fresh password; others are switched off until an owner gives them one.
    """
    where = data_folder(into)
    archive = Path(archive).expanduser().resolve()
    if not archive.is_file():
        raise BadInput(f"{archive} is no file; look at the path again")
    if where.exists() and (not where.is_dir() or any(where.iterdir())):
        raise BadInput(f"{where} is not empty; name a new folder")
    for kennel in read_contents(archive)["kennels"]:
        check_kennel(archive, kennel)
    if has_book(where):
        raise BadInput("that database holds a kennel already; name an empty one")
    made = not where.exists()
    try:
        open_book(where)
        return fill(archive, progress=progress)
    except BaseException:
        _take_back(where, made=made)
        raise


def _take_back(folder: Path, *, made: bool) -> None:
    """Remove what a failed restore left in a folder that was empty before."""
    from django.db import connections

    connections.close_all()
    for left in folder.iterdir() if folder.is_dir() else ():
        if left.is_dir():
            shutil.rmtree(left, ignore_errors=True)
        else:
            left.unlink(missing_ok=True)
    if made:
        folder.rmdir()


def fill(archive: Path, progress: Any = None) -> Restored:
    """Put a checked backup into the open, empty database: all or none."""
    from django.db import transaction

    from kennelward.desk import photos
    from kennelward.desk.records import queries
    from kennelward.desk.records.models import Kennel
    from kennelward.desk.records.writes import append_texts, make_kennel

    contents = read_contents(archive)
    passwords: dict[str, str] = {}
    kept = 0
    with transaction.atomic():
        if Kennel.objects.exists():
            raise BadInput("that database holds a kennel already; name an empty one")
        for one in contents["kennels"]:
            kennel = make_kennel(
                one["kennel"],
                at=datetime.fromisoformat(one["made_at"]),
                is_demo=bool(one.get("is_demo")),
            )
            append_texts(kennel, read_entries(archive, kennel))
            passwords |= _people(kennel, one["people"])
            for row in one["photos"]:
                photos.keep(
                    read_photo(archive, row["sha256"]),
                    kennel=kennel,
                    stored_by=row["stored_by"],
                    at=datetime.fromisoformat(row["stored_at"]),
                )
                kept += 1
                if progress is not None:
                    progress(kept, sum(len(k["photos"]) for k in contents["kennels"]))
            found = queries.head(kennel)
            if found.count != one["count"] or (
                found.count and found.hash != one["head"]
            ):
                raise BadInput("the restored book differs from the backup; try again")
    held = contents["kennels"]
    from django.conf import settings

    return Restored(
        folder=Path(settings.DATA_FOLDER),
        count=sum(one["count"] for one in held),
        head=held[0]["head"] if held else "",
        photos=kept,
        passwords=passwords,
    )


def _people(kennel: str, listed: list[dict[str, Any]]) -> dict[str, str]:
    """Logins as backed up; fresh passwords of the owners who could log in."""
    from django.contrib.auth.models import User

    from kennelward.desk.records.models import Membership, Role

    fresh: dict[str, str] = {}
    for one in listed:
        if one["role"] not in Role.values:
            raise BadInput(f"the backup names an unknown role {one['role']!r}")
        user, is_new = User.objects.get_or_create(username=one["username"])
        if is_new:
            user.first_name = one["full_name"]
            user.is_active = False
            user.set_unusable_password()
            if one["role"] == Role.OWNER and one["is_active"]:
                fresh[one["username"]] = secrets.token_urlsafe(12)
                user.set_password(fresh[one["username"]])
                user.is_active = True
            user.save()
        Membership.objects.create(kennel_id=kennel, user=user, role=one["role"])
    return fresh
