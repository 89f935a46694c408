"""The only place that opens handbook files: ours from the package, overlays from disk."""

import hashlib
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from kennelward.handbook.check import HandbookError

FOLDERS = (
    "kits",
    "agents",
    "methods",
    "priors",
    "programmes",
    "litters",
    "policies",
)
SINGLE = ("cautions.toml", "sources.toml", "register.toml")
OVERLAY = "overlay.toml"  # names whose overlay a folder is
LARGEST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Text:
    """One file as it was read."""

    name: str  # "kits/relaxin.toml"
    content: str

    def parsed(self) -> dict[str, Any]:
        """The TOML in it."""
        try:
            return tomllib.loads(self.content)
        except tomllib.TOMLDecodeError as error:
            raise HandbookError(
                f"{self.name}: this is not TOML: {error}. Correct the line named there."
            ) from error


def packaged() -> tuple[Text, ...]:
    """Our own files, in a fixed order."""
    home = files("kennelward.handbook")
    found = [Text(name, _read(home / name, name)) for name in SINGLE]
    for folder in FOLDERS:
        for path in sorted((home / folder).iterdir(), key=lambda each: each.name):
            if path.name.endswith(".toml"):
                name = f"{folder}/{path.name}"
                found.append(Text(name, _read(path, name)))
    return tuple(found)


def overlay(folder: Path) -> tuple[Text, ...]:
    """The files of one overlay folder, in a fixed order; `overlay.toml` first."""
    if not folder.is_dir():
        raise HandbookError(f"{folder.name}: there is no such overlay folder")
    if not (folder / OVERLAY).is_file():
        raise HandbookError(
            f"{folder.name}/{OVERLAY}: the file is missing. "
            'Add it with one line: by = "whose overlay this is".'
        )
    found = [Text(f"{folder.name}/{OVERLAY}", _read(folder / OVERLAY, OVERLAY))]
    for path in sorted(folder.rglob("*.toml")):
        inside = path.relative_to(folder).as_posix()
        if inside == OVERLAY:
            continue
        if inside.split("/")[0] not in FOLDERS or inside.count("/") != 1:
            raise HandbookError(
                f"{folder.name}/{inside}: an overlay file lies in one of the folders "
                f"{', '.join(FOLDERS)}. Move it there."
            )
        found.append(Text(f"{folder.name}/{inside}", _read(path, inside)))
    return tuple(found)


def hash_of(texts: Sequence[Text]) -> str:
    """SHA-256 over names and contents, in order."""
    digest = hashlib.sha256()
    for text in texts:
        digest.update(f"{text.name}\x00{len(text.content)}\x00".encode())
        digest.update(text.content.encode())
    return digest.hexdigest()


def _read(path: Traversable | Path, name: str) -> str:
    content = path.read_bytes()
    if len(content) > LARGEST_BYTES:
        raise HandbookError(f"{name}: more than {LARGEST_BYTES} bytes; split it")
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise HandbookError(f"{name}: is not UTF-8 text; save it as UTF-8") from error
