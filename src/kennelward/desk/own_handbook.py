"""The handbook in force for a kennel: ours, with what it and its vet laid over it."""

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kennelward.handbook import Handbook

OVERLAY_FOLDER = "handbook"  # in the data folder; a folder by kennel id inside it


def handbook(kennel: str = "") -> "Handbook":
    """The handbook with this folder's overlays and the kennel's own on top.

    Read again when one of those files changes. Raises `BadInput` that names the file
    where one cannot be used.
    """
    from django.conf import settings

    folder = Path(settings.DATA_FOLDER) / OVERLAY_FOLDER
    files = [*sorted(folder.glob("*.toml"))]
    if kennel:
        files += sorted((folder / Path(kennel).name).glob("*.toml"))
    return _loaded(tuple((file, file.stat().st_mtime_ns) for file in files))


@lru_cache(maxsize=16)
def _loaded(files: tuple[tuple[Path, int], ...]) -> "Handbook":
    from kennelward.handbook import load_handbook

    return load_handbook(overlays=[file for file, _ in files])
