"""Real pictures of strips, where a developer has them; nothing of them lies here.

The folder is named by KENNELWARD_REAL_STRIPS or is `shared/real-strips/dev` beside the
checkout. It holds `labels.csv` (file, kind, label, weakest_line, group, ...) and pictures
cut to about the window.
"""

import csv
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from kennelward.handbook import load_handbook
from kennelward.reading import StripReading, read_strip_photo

KIT = "giardia-antigen"
BESIDE = Path(__file__).resolve().parents[2].parent / "shared" / "real-strips" / "dev"


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One real picture, what is known of it, and the strip it belongs to."""

    path: Path
    label: str  # positive | negative | unknown | invalid
    weakest: str  # clear | weak | faint | "" where nobody said
    group: str


def folder() -> Path | None:
    """Where the pictures lie; None: not here."""
    named = os.environ.get("KENNELWARD_REAL_STRIPS")
    found = Path(named) if named else BESIDE
    return found if (found / "labels.csv").is_file() else None


def pictures(where: Path) -> list[Picture]:
    """Window crops in the order of the list."""
    with (where / "labels.csv").open(encoding="utf-8") as lines:
        return [
            Picture(
                path=where / row["file"],
                label=row["label"],
                weakest=row["weakest_line"],
                group=row["group"],
            )
            for row in csv.DictReader(lines)
            if row["kind"] == "window crop"
        ]


def read_all(found: list[Picture]) -> Iterator[tuple[Picture, StripReading]]:
    """Each picture as `kennelward read --window-only` reads it."""
    for picture in found:
        yield picture, read_cut(picture.path.read_bytes())


def read_cut(data: bytes) -> StripReading:
    """One picture cut to about the window."""
    kit = load_handbook().kits[KIT]
    return read_strip_photo(
        data, layout=kit.layout, cutoffs=kit.cutoffs, is_window_only=True
    )
