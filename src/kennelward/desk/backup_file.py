"""A backup file: what is where in it, and reading it with every promise checked.

Loads no Django, so that a backup is checked before a folder is made for it.
"""

import hashlib
import json
import struct
import zipfile
import zlib
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

from kennelward.desk.records.links import ChainedText, verify_chain
from kennelward.terms import BadInput

FORMAT = 1
CONTENTS = "contents.json"
DAMAGE = (  # what reading a ZIP with a wrong byte in it can raise
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    OSError,
    KeyError,
    TypeError,
    ValueError,
    AttributeError,
    NotImplementedError,  # an unknown way of packing
    RuntimeError,  # "encrypted"
)


def entries_name(kennel: str) -> str:
    """Where a kennel's entries are in the file."""
    return f"kennels/{kennel}/entries.jsonl"


def photo_name(sha256: str) -> str:
    """Where a photo is in the file."""
    return f"photos/{sha256}.jpg"


def read_contents(file: Path) -> dict[str, Any]:
    """What a backup says it holds. Raises `BadInput` for another kind of file."""
    try:
        with zipfile.ZipFile(file) as zipped:
            contents = json.loads(zipped.read(CONTENTS))
    except DAMAGE as error:
        raise BadInput(f"{file} is no backup of Kennelward, or is damaged") from error
    if not isinstance(contents, dict) or "format" not in contents:
        raise BadInput(f"{file} is no backup of Kennelward, or is damaged")
    if contents["format"] != FORMAT:
        raise BadInput(
            f"{file} was written by another version of Kennelward; "
            "restore it with that version or a newer one"
        )
    _check_shape(file, contents)
    return contents


def _check_shape(file: Path, contents: dict[str, Any]) -> None:
    """Raise `BadInput` unless everything is there that restoring relies on."""
    try:
        for kennel in contents["kennels"]:
            datetime.fromisoformat(kennel["made_at"])
            is_good = isinstance(kennel["count"], int) and all(
                isinstance(kennel[name], str) for name in ("kennel", "head")
            )
            for one in kennel["people"]:
                is_good &= isinstance(one["is_active"], bool) and all(
                    isinstance(one[name], str)
                    for name in ("username", "full_name", "role")
                )
            for one in kennel["photos"]:
                datetime.fromisoformat(one["stored_at"])
                is_good &= isinstance(one["stored_by"], str)
                is_good &= isinstance(one["sha256"], str)
            if not is_good:
                raise ValueError(kennel["kennel"])
    except DAMAGE as error:
        raise BadInput(f"{file} is damaged: its list of contents is wrong") from error


def read_entries(file: Path, kennel: str) -> Iterator[ChainedText]:
    """A kennel's entries as backed up. Raises `BadInput` for a damaged file."""
    try:
        with (
            zipfile.ZipFile(file) as zipped,
            zipped.open(entries_name(kennel)) as lines,
        ):
            for line in lines:
                yield ChainedText(**json.loads(line))
    except DAMAGE as error:
        raise BadInput(f"{file} is damaged: its entries cannot be read") from error


def read_photo(file: Path, sha256: str) -> bytes:
    """A photo as backed up, compared with its hash."""
    try:
        with zipfile.ZipFile(file) as zipped:
            data = zipped.read(photo_name(sha256))
    except DAMAGE as error:
        raise BadInput(f"{file} is damaged: a photo is missing") from error
    if hashlib.sha256(data).hexdigest() != sha256:
        raise BadInput(f"{file} is damaged: the photo {sha256[:12]} was changed")
    return data


def check_kennel(file: Path, kennel: dict[str, Any]) -> None:
    """Raise `BadInput` unless entries, head, count and photos are as the file says."""
    found = verify_chain(read_entries(file, kennel["kennel"]))
    if not found.ok:
        raise BadInput(f"the book does not verify: {found.problem}")
    head = found.head if found.count else ""
    if (found.count, head) != (kennel["count"], kennel["head"]):
        raise BadInput(
            f"{file} is damaged: it should hold {kennel['count']} entries up to "
            f"{kennel['head'][:12]} and holds {found.count} up to {head[:12]}"
        )
    for one in kennel["photos"]:
        read_photo(file, one["sha256"])
