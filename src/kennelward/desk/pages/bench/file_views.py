"""Files of a strip: the alarm for the phone, the photo, the reader's overlay."""

import json
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse

from kennelward import desk
from kennelward.desk.pages.bench.alarm import alarm_file
from kennelward.desk.pages.bench.phase import reading_time
from kennelward.desk.pages.bench.strip_views import test_or_404
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.labels import KITS, label
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import TestCard
from kennelward.kennel.facts import StripMeasured
from kennelward.reading import Direction, Point, StripLayout, StripSignals
from kennelward.terms import BadInput, Unreadable

KEPT_FOR_GOOD = "private, max-age=31536000, immutable"
SAME_PX = 12.0  # two measurements of one window lie closer than this


@open_to(OWNER, HAND, VET)
def alarm(request: HttpRequest, test: str) -> HttpResponse:
    """An alarm file for the phone's calendar."""
    place = here(request)
    card = test_or_404(place, test)
    time = reading_time(card, book=place.book)
    if time is None:
        raise Http404
    made = alarm_file(
        test=test,
        dog=place.book.name_of(card.dog),
        kit=label(card.kit, KITS),
        time=time,
        at=card.started.recorded_at,
    )
    response = HttpResponse(made, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="strip-alarm.ics"'
    return response


def kept_photo(place: Here, card: TestCard, entry: str) -> tuple[bytes, StripMeasured]:
    """The photo of one reading of a strip. Raises Http404 where there is none."""
    for one in card.measured:
        if one.entry == entry and isinstance(one.fact, StripMeasured):
            try:
                return desk.photo(place.kennel, one.fact.photo), one.fact
            except BadInput as gone:
                raise Http404(str(gone)) from gone
    raise Http404


@open_to(OWNER, HAND, VET)
def photo(request: HttpRequest, test: str, entry: str) -> HttpResponse:
    """The kept photo."""
    place = here(request)
    data, _fact = kept_photo(place, test_or_404(place, test), entry)
    response = HttpResponse(data, content_type="image/jpeg")
    response["Cache-Control"] = KEPT_FOR_GOOD
    return response


@open_to(OWNER, HAND, VET)
def overlay(request: HttpRequest, test: str, entry: str) -> HttpResponse:
    """The evidence of one reading as a picture: window, strip, profile, limit."""
    place = here(request)
    card = test_or_404(place, test)
    data, fact = kept_photo(place, card, entry)
    layout = place.handbook.kits[card.kit].layout
    made = drawn(data, fact, layout=layout)
    if made is None:
        raise Http404
    response = HttpResponse(made, content_type="image/png")
    response["Cache-Control"] = KEPT_FOR_GOOD
    return response


def drawn(data: bytes, fact: StripMeasured, *, layout: StripLayout) -> bytes | None:
    """The overlay of a reading, measured again; None where nothing can be drawn."""
    from kennelward.reading import measure_strip, open_photo, overlay_png

    opened = open_photo(data)
    was = json.loads(fact.measured) if fact.measured else {}
    if isinstance(opened, Unreadable) or "window" not in was:
        return None
    signals = measure_strip(opened, layout=layout)
    if isinstance(signals, Unreadable) or not is_same(signals, was):
        window = tuple((float(x), float(y)) for x, y in was["window"])
        is_directed = was["direction"] != Direction.UNSURE
        signals = measure_strip(
            opened,
            layout=layout,
            corners=window,
            well=beyond_sample_end(window) if is_directed else None,
        )
    return None if isinstance(signals, Unreadable) else overlay_png(opened, signals)


def is_same(signals: StripSignals, was: dict[str, Any]) -> bool:
    """True where this measurement has the window and direction of the one kept."""
    near = abs(signals.corners[0][0] - was["window"][0][0]) < SAME_PX and (
        abs(signals.corners[0][1] - was["window"][0][1]) < SAME_PX
    )
    return bool(near and signals.direction.value == was["direction"])


def beyond_sample_end(window: tuple[Point, ...]) -> Point:
    """A point outside the window, beyond its sample end: where the well is."""
    first, second, third, fourth = window
    near = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
    far = ((third[0] + fourth[0]) / 2, (third[1] + fourth[1]) / 2)
    return (near[0] + (near[0] - far[0]) / 2, near[1] + (near[1] - far[1]) / 2)
