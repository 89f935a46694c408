"""The photos of a strip on its result page: what the reader made of each, in words."""

import json
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from kennelward.desk.pages.bench.sight import sight_words
from kennelward.kennel import Entry, TestCard
from kennelward.kennel import facts as f
from kennelward.reading import REASONS
from kennelward.terms import Call

# Refusals that marking the window may mend.
CORNERS_HELP = (
    "no-window",
    "window-unsure",
    "bad-corners",
    "several-strips",
    "line-between",
    "coloured-light",
)
DEFAULT_CORNERS = ((0.3, 0.56), (0.3, 0.44), (0.7, 0.44), (0.7, 0.56))


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoReading:
    """One photo and what the reader made of it."""

    entry: Entry
    fact: f.StripMeasured
    words: str
    problem: tuple[str, str] | None  # what is wrong, what to do
    asks_well: bool
    asks_corners: bool
    has_overlay: bool
    corners: str  # best guess, as the form takes them: "x,y;x,y;x,y;x,y", shares
    evidence: tuple[str, ...]  # what was measured, one sentence each

    @property
    def corner_names(self) -> tuple[str, ...]:
        """What each of the four handles is called."""
        return (
            _("First corner"),
            _("Second corner"),
            _("Third corner"),
            _("Fourth corner"),
        )


def photo_readings(card: TestCard) -> list[PhotoReading]:
    """The photos of a strip, newest first."""
    found = []
    for entry in reversed(card.measured):
        fact = entry.fact
        if isinstance(fact, f.StripMeasured):
            call = Call(fact.call)
            unread = call is Call.UNREADABLE
            measured: dict[str, Any] = (
                json.loads(fact.measured) if fact.measured else {}
            )
            found.append(
                PhotoReading(
                    entry=entry,
                    fact=fact,
                    words="" if unread else sight_words(call, is_faint=fact.is_faint),
                    problem=REASONS.get(fact.reason) if unread else None,
                    asks_well=fact.reason == "direction-unsure",
                    asks_corners=unread and fact.reason in CORNERS_HELP,
                    has_overlay="lines" in measured and bool(fact.photo),
                    corners=corners_text(measured),
                    evidence=tuple(evidence(measured, call=call)),
                )
            )
    return found


def photos_differ(card: TestCard) -> bool:
    """The photos of a strip, each as it was read last, give more than one call."""
    last = {
        entry.fact.photo or entry.entry: Call(entry.fact.call)
        for entry in sorted(card.measured, key=lambda one: one.recorded_at)
        if isinstance(entry.fact, f.StripMeasured)
    }
    return len(set(last.values()) - {Call.UNREADABLE}) > 1


def corners_text(measured: dict[str, Any]) -> str:
    """The window, or the best guess of it, as shares of the photo's width and height."""
    window, size = measured.get("window") or measured.get("guess"), measured.get("size")
    corners: tuple[tuple[float, float], ...] = DEFAULT_CORNERS
    if window and size:
        corners = tuple(
            (min(max(x / size[0], 0.0), 1.0), min(max(y / size[1], 0.0), 1.0))
            for x, y in window
        )
    return ";".join(f"{x:.5f},{y:.5f}" for x, y in corners)


def evidence(measured: dict[str, Any], *, call: Call) -> list[str]:
    """What was measured: each line, what the photo could have shown, who said which end."""
    said = []
    names = {"control": _("C"), "test": _("T")}
    for line in measured.get("lines", ()):
        values = {
            "name": names.get(line["name"], line["name"]),
            "od": f"{line['contrast']:.3f}",
            "low": f"{max(0.0, line['low']):.3f}",
            "high": f"{line['high']:.3f}",
        }
        said.append(
            _("%(name)s: a line. Density %(od)s, surely between %(low)s and %(high)s.")
            % values
            if line["is_seen"]
            else _("%(name)s: no line seen.") % values
        )
    if "could_see" in measured:
        said.append(
            _(
                "In this photo a line of density %(od)s would have been found 95 times "
                "in 100; the eye's own limit is 0.010 to 0.020."
            )
            % {"od": f"{measured['could_see']:.3f}"}
        )
        if call is Call.NEGATIVE:
            said.append(_("A weaker line would have been missed."))
    ends = {
        "housing": _("The sample end was told by the housing."),
        "user": _("The sample end was told by a person."),
        "unsure": _("Which end is the sample's is not known."),
    }
    if measured.get("direction") in ends:
        said.append(ends[measured["direction"]])
    return said
