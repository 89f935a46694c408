"""A photo of a strip that a person has read: kept, read by the reader, read again."""

import json
from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward import desk
from kennelward.desk.pages.bench.forms import PhotoForm, RereadForm
from kennelward.desk.pages.bench.phase import LATE, WAIT, reading_time
from kennelward.desk.pages.bench.strip_views import test_or_404
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import Entry, TestCard
from kennelward.kennel import facts as f
from kennelward.reading import Photo, Point
from kennelward.rounds import ReadingJob, read_and_plan
from kennelward.terms import BadInput, Unreadable


@open_to(OWNER, HAND, VET)
@require_POST
def photo(request: HttpRequest, test: str) -> HttpResponse:
    """Keep a photo and let the reader say what it sees. The person's call stands first."""
    place = here(request)
    card = test_or_404(place, test)
    form = PhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        for problems in form.errors.values():
            messages.error(request, " ".join(str(problem) for problem in problems))
        return redirect("bench:test", test)
    if place.book.find(form.cleaned_data["entry"]) is not None:
        return redirect("bench:test", test)
    taken = form.taken_between(card.started.happened_at, place.at)
    refused = refuse_photo(place, card, taken=taken or place.at)
    if refused:
        messages.error(request, refused)
        return redirect("bench:test", test)
    data: bytes = form.cleaned_data["photo"]
    kept = desk.store_photo(data, kennel=place.kennel, by=request.user, at=place.at)
    if isinstance(kept, Unreadable):
        messages.error(request, f"{_(kept.says)} {_(kept.do)}")
        return redirect("bench:test", test)
    job = ReadingJob(
        book=place.book,
        handbook=place.handbook,
        test=test,
        photo=desk.photo(place.kennel, kept),  # what is kept is what is read
        at=taken or place.at,
        on=place.on,
        photo_hash=kept,
    )
    read_and_write(request, place, job, entry=form.cleaned_data["entry"], moment=taken)
    return redirect("bench:test", test)


def refuse_photo(place: Here, card: TestCard, *, taken: datetime) -> str:
    """Why a photo taken at a moment cannot be read; empty where it can."""
    if card.state == "dropped":
        return _("This strip was dropped. Start a new one.")
    if card.seen is None:
        return _("First your own eyes: say what you see, then take the photo.")
    time = reading_time(card, book=place.book)
    if time is None:
        return _(
            "First type the leaflet's minutes: no reading time counts before that."
        )
    phase = time.phase(taken)
    if phase == WAIT:
        return _("Not yet: take the photo once the reading time has begun.")
    if phase == LATE:
        return _(
            "The reading time is over: lines can come and go after it, so this photo "
            "is not read. What you saw in time stands."
        )
    return ""


def read_and_write(
    request: HttpRequest,
    place: Here,
    job: ReadingJob,
    *,
    entry: str,
    moment: datetime | None,
) -> None:
    """Let the reader read, and write down what it made of the photo."""
    try:
        outcome = read_and_plan(job)
        place.write(outcome.fact, entry=entry, happened_at=moment)
    except BadInput as refused:
        messages.error(request, str(refused))
        return
    made = outcome.reading.outcome
    if isinstance(made, Unreadable):
        messages.warning(request, f"{_(made.says)} {_(made.do)}")


@open_to(OWNER, HAND, VET)
@require_POST
def reread(request: HttpRequest, test: str, entry: str) -> HttpResponse:
    """Read a kept photo again, with the well's side or the window's corners given."""
    place = here(request)
    card = test_or_404(place, test)
    measured = next((one for one in card.measured if one.entry == entry), None)
    form = RereadForm(request.POST)
    if measured is None or not isinstance(measured.fact, f.StripMeasured):
        messages.error(request, _("That photo is not there any more."))
        return redirect("bench:test", test)
    if not form.is_valid():
        for problems in form.errors.values():
            messages.error(request, " ".join(str(problem) for problem in problems))
        return redirect("bench:test", test)
    if place.book.find(form.cleaned_data["entry"]) is not None:
        return redirect("bench:test", test)
    try:
        data = desk.photo(place.kennel, measured.fact.photo)
    except BadInput as refused:
        messages.error(request, str(refused))
        return redirect("bench:test", test)
    job = helped_job(place, card, data, form, was=measured)
    if job is not None:
        read_and_write(
            request,
            place,
            job,
            entry=form.cleaned_data["entry"],
            moment=measured.happened_at,
        )
    return redirect("bench:test", test)


def helped_job(
    place: Here, card: TestCard, data: bytes, form: RereadForm, *, was: Entry
) -> ReadingJob | None:
    """The job of reading a kept photo with help; None where it cannot be opened."""
    from kennelward.reading import open_photo

    opened = open_photo(data)
    if not isinstance(opened, Photo):
        return None
    well, corners = form.cleaned_data["well_at"], form.cleaned_data["corners"]
    return ReadingJob(
        book=place.book,
        handbook=place.handbook,
        test=card.test,
        photo=data,
        at=was.happened_at,
        on=place.on,
        photo_hash=was.fact.photo if isinstance(was.fact, f.StripMeasured) else "",
        corners=tuple(point_of(share, opened) for share in corners)  # type: ignore[arg-type]
        or window_of(was),
        well=point_of(well, opened) if well else None,
    )


def window_of(was: Entry) -> tuple[Point, ...] | None:
    """The window that a reading measured, so that one help does not undo another."""
    if not isinstance(was.fact, f.StripMeasured) or not was.fact.measured:
        return None
    window = json.loads(was.fact.measured).get("window")
    return tuple((float(x), float(y)) for x, y in window) if window else None


def point_of(share: tuple[float, float], photo: Photo) -> Point:
    """A share of width and height as a point of the photo."""
    wide, high = photo.full_size
    return (share[0] * wide, share[1] * high)
