"""Due: overdue, today, this week, later; each with its why, its rule and its source."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.due.done_facts import facts_of_done
from kennelward.desk.pages.due.forms import DeclineForm, DoneForm, KeyForm, PutOffForm
from kennelward.desk.pages.due.lines import (
    PAGE_SIZE,
    SECTIONS,
    due_line,
    due_lines,
    givings,
    grouped,
)
from kennelward.desk.pages.shell.here import Here, here, id_beside, new_id
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import facts as f
from kennelward.programme import DueItem, explain
from kennelward.terms import BadInput

SHOWS = {
    "now": SECTIONS,
    "later": ("later",),
    "said": ("put-off", "declined", "done"),
}
PUT_OFF_DAYS = 1  # what the form proposes


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """The list, by pen in walking order or by dog; all of it or one dog's."""
    place = here(request)
    show = request.GET.get("show", "now")
    show = show if show in SHOWS else "now"
    by = "dog" if request.GET.get("by") == "dog" else "pen"
    dog = request.GET.get("dog", "")
    items = items_about(place, dog) if dog in place.book.dogs else place.plan.due.items
    first = new_id()
    page = Paginator([i for i in items if i.state in SHOWS[show]], PAGE_SIZE).get_page(
        request.GET.get("page")
    )
    lines = due_lines(page.object_list, place=place, first=first)
    sections = [
        (state, grouped([x for x in lines if x.state == state], by=by, book=place.book))
        for state in SHOWS[show]
    ]
    counts = {
        name: sum(1 for item in items if item.state in states)
        for name, states in SHOWS.items()
    }
    return render(
        request,
        "due/index.html",
        {
            "sections": [(state, groups) for state, groups in sections if groups],
            "page": page,
            "show": show,
            "by": by,
            "dog": place.book.dogs.get(dog),
            "counts": counts,
            "givings": givings(
                place,
                first=id_beside(first, steps=PAGE_SIZE),
                dog=dog if dog in place.book.dogs else "",
            )
            if show == "now"
            else [],
            "here_again": request.get_full_path(),
        },
    )


def items_about(place: Here, dog: str) -> tuple[DueItem, ...]:
    """Items about a dog, its litter and its pen."""
    card = place.book.dogs[dog]
    subjects = {dog, card.pen, card.described.litter} - {""}
    return tuple(i for i in place.plan.due.items if i.action.subject in subjects)


def item_of(place: Here, key: str) -> DueItem | None:
    """The item with this key, as due today."""
    return next((i for i in place.plan.due.items if i.action.key == key), None)


@open_to(OWNER, HAND, VET)
def item(request: HttpRequest) -> HttpResponse:
    """One item: why, rule, source, cautions, and the three answers."""
    place = here(request)
    found = item_of(place, request.GET.get("key", ""))
    if found is None:
        return no_longer_due(request)
    return show_item(request, found, {})


def show_item(
    request: HttpRequest, found: DueItem, bound: dict[str, Any]
) -> HttpResponse:
    """The page of one item, with forms that may hold errors."""
    place = here(request)
    action = found.action
    said = {"key": action.key}
    until = max(place.on, found.shows_on) + timedelta(days=PUT_OFF_DAYS)
    forms = {
        "done": DoneForm(initial=said),
        "put_off": PutOffForm(initial=said | {"until": until}, on=place.on),
        "decline": DeclineForm(initial=said),
    } | bound
    return render(
        request,
        "due/item.html",
        {
            "item": found,
            "line": due_line(found, place=place, entry=new_id()),
            "why": explain(action),
            "cautions": [
                place.handbook.cautions[one]
                for one in action.cautions
                if one in place.handbook.cautions
            ],
            "forms": forms,
            "does": action.what,
        },
    )


def no_longer_due(request: HttpRequest) -> HttpResponse:
    """The list moved on while the page was open."""
    messages.info(
        request, _("That is not due any more. This is the list as it is now.")
    )
    return redirect("due:index")


@open_to(OWNER, HAND, VET)
@require_POST
def done(request: HttpRequest) -> HttpResponse:
    """It was done: from the list with one tap, or from its page with a word."""
    place = here(request)
    entry, _space, key = request.POST.get("done", "").partition(" ")
    sent = {"entry": entry, "key": key} if key else request.POST
    form = DoneForm(sent)
    if not form.is_valid():
        messages.error(request, _("This form is damaged; open the page again."))
        return back(request)
    found = item_of(place, form.cleaned_data["key"])
    if found is None:
        return no_longer_due(request)
    facts = facts_of_done(found.action, note=form.cleaned_data["note"], book=place.book)
    return say(request, place, form, *facts, tells=_("Done, and written down."))


@open_to(OWNER, HAND, VET)
@require_POST
def put_off(request: HttpRequest) -> HttpResponse:
    """Not now: until when, and why."""
    place = here(request)
    found = item_of(place, request.POST.get("key", ""))
    if found is None:
        return no_longer_due(request)
    form = PutOffForm(request.POST, on=place.on)
    if not form.is_valid():
        return show_item(request, found, {"put_off": form})
    fact = f.DuePutOff(
        key=form.cleaned_data["key"],
        until=form.cleaned_data["until"],
        why=form.cleaned_data["why"],
    )
    return say(request, place, form, fact, tells=_("Put off. It comes back by itself."))


@open_to(OWNER, HAND, VET)
@require_POST
def decline(request: HttpRequest) -> HttpResponse:
    """It will not be done, and why. It stays visible."""
    place = here(request)
    found = item_of(place, request.POST.get("key", ""))
    if found is None:
        return no_longer_due(request)
    form = DeclineForm(request.POST)
    if not form.is_valid():
        return show_item(request, found, {"decline": form})
    fact = f.DueDeclined(key=form.cleaned_data["key"], why=form.cleaned_data["why"])
    return say(
        request,
        place,
        form,
        fact,
        tells=_("Not doing it. The reason stays in the book."),
    )


def say(
    request: HttpRequest, place: Here, form: KeyForm, *facts: f.Fact, tells: str
) -> HttpResponse:
    """Write what was said about an item and go back to the list."""
    try:
        place.write(*facts, entry=form.cleaned_data["entry"])
    except BadInput as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, tells)
    return back(request)


def back(request: HttpRequest) -> HttpResponse:
    """To the list as it was being looked at."""
    asked = request.POST.get("back", "")
    home = reverse("due:index")
    is_ours = asked.startswith((home + "?", reverse("round:after"))) or asked == home
    return redirect(asked if is_ours else home)


@open_to(OWNER, HAND, VET)
@require_POST
def tick(request: HttpRequest) -> HttpResponse:
    """One of today's givings of a course was given."""
    place = here(request)
    words = request.POST.get("given", "").split(" ")
    try:
        entry, course, nth = words[0], words[1], int(words[2])
        entry = id_beside(entry, steps=0)
    except (IndexError, ValueError):
        messages.error(request, _("This form is damaged; open the page again."))
        return back(request)
    card = place.book.courses.get(course)
    if card is not None and (place.on, nth) in card.given:
        messages.info(request, _("Somebody has ticked that already."))
        return back(request)
    try:
        place.write(f.GivenTicked(course=course, day=place.on, nth=nth), entry=entry)
    except BadInput as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Ticked."))
    return back(request)
