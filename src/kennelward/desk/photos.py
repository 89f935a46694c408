"""Photos on disk under their content hash, without anything the camera wrote beside."""

import hashlib
import os
import re
import secrets
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser

from kennelward.desk.records.models import PhotoRow
from kennelward.desk.records.permits import name_of
from kennelward.terms import BadInput, Unreadable

_SHA256 = re.compile(r"[0-9a-f]{64}")


def store_photo(
    data: bytes,
    *,
    kennel: str,
    by: AbstractBaseUser | AnonymousUser | str,
    at: datetime,
) -> str | Unreadable:
    """Keep a photo: upright JPEG, location and camera data gone; its SHA-256.

    The hash is of what is kept, not of what came in. The same photo twice is kept once.
    """
    from kennelward.reading import clean_photo  # slow to import

    clean = clean_photo(data)
    if isinstance(clean, Unreadable):
        return clean
    return keep(clean, kennel=kennel, stored_by=name_of(by), at=at)


def keep(clean: bytes, *, kennel: str, stored_by: str, at: datetime) -> str:
    """Keep a cleaned photo as it is; its SHA-256. The file is there before the row is."""
    sha256 = hashlib.sha256(clean).hexdigest()
    file = photo_file(sha256)
    if not file.exists():
        _write_whole(file, clean)
    PhotoRow.objects.get_or_create(
        kennel_id=kennel,
        sha256=sha256,
        defaults={"size": len(clean), "stored_at": at, "stored_by": stored_by},
    )
    return sha256


def photo(kennel: str, sha256: str) -> bytes:
    """A kept photo as JPEG.

    Raises `BadInput` where the kennel has none of that hash, or its file was changed.
    """
    if not PhotoRow.objects.filter(kennel_id=kennel, sha256=sha256).exists():
        raise BadInput("no such photo in this kennel")
    return read_kept(sha256)


def read_kept(sha256: str) -> bytes:
    """The bytes under a hash, compared with it."""
    try:
        data = photo_file(sha256).read_bytes()
    except OSError as error:
        raise BadInput(
            f"the photo {sha256[:12]} is missing from the data folder; "
            "look for it in a backup"
        ) from error
    if hashlib.sha256(data).hexdigest() != sha256:
        raise BadInput(
            f"the photo {sha256[:12]} was changed on disk; look for it in a backup"
        )
    return data


def photo_file(sha256: str) -> Path:
    """Where a photo of that hash is kept."""
    if not _SHA256.fullmatch(sha256):
        raise BadInput("a photo is named by 64 digits of its hash")
    return Path(settings.PHOTO_FOLDER) / sha256[:2] / f"{sha256}.jpg"


def _write_whole(file: Path, data: bytes) -> None:
    """Write under another name, then rename: a killed process leaves no half photo."""
    file.parent.mkdir(parents=True, exist_ok=True)
    half = file.with_name(f".{secrets.token_hex(8)}.half")
    try:
        with half.open("wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        half.replace(file)
    finally:
        half.unlink(missing_ok=True)
