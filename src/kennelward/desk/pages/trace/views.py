"""Asking for a tracing, watching it run, the answer, and keeping a dog apart from it."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk import tasks
from kennelward.desk.pages.shell.here import Here, here, new_id
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.desk.pages.shell.work import again_seconds, task_or_404, too_many
from kennelward.desk.pages.trace.plan import SHOWN, in_hundreds, plan_of
from kennelward.desk.task_worker import TRACE
from kennelward.kennel import facts as f
from kennelward.rounds import suspects
from kennelward.rounds.plan_outbreak import PEOPLE_FIRST
from kennelward.terms import BadInput

INFECTIONS = ("parvovirus", "giardia", "brucella")


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """The suspects there are, each ready to be traced; and any other dog."""
    place = here(request)
    groups = []
    for name in INFECTIONS:
        found = suspects(
            book=place.book, handbook=place.handbook, infection=name, on=place.on
        )
        cards = [(place.book.dogs[one.dog], one.since) for one in found]
        groups.append((place.handbook.infections[name], cards))
    return render(
        request,
        "trace/index.html",
        {
            "groups": groups,
            "dogs": place.book.dogs_here,
            "asked_dog": request.GET.get("dog", ""),
            "asked_about": request.GET.get("about", ""),
            "past": [
                (task, place.book.name_of(task.asked["dog"]))
                for task in tasks.tasks(TRACE, kennel=place.kennel)
            ],
        },
    )


@open_to(OWNER, HAND, VET)
@require_POST
def ask(request: HttpRequest) -> HttpResponse:
    """Put the tracing in the row of work."""
    place = here(request)
    dog, infection = request.POST.get("dog", ""), request.POST.get("infection", "")
    if dog not in place.book.dogs or infection not in INFECTIONS:
        raise Http404
    if there := too_many(request, place, kind=TRACE, answer="trace:answer"):
        return there
    user: Any = request.user
    made = tasks.ask(
        TRACE,
        {"dog": dog, "infection": infection},
        kennel=place.kennel,
        by=user.get_full_name() or user.get_username(),
    )
    return redirect("trace:answer", made)


@open_to(OWNER, HAND, VET)
def answer(request: HttpRequest, task: str) -> HttpResponse:
    """How far it is, or what came of it."""
    place = here(request)
    found = task_or_404(place, task, kind=TRACE)
    infection = found.asked["infection"]
    shown: dict[str, Any] = {
        "task": found,
        "name": place.book.name_of(found.asked["dog"]),
        "dog": found.asked["dog"],
        "chosen": place.handbook.infections[infection],
        "people_first": PEOPLE_FIRST.get(infection, ()),
        "again_seconds": again_seconds(found),
    }
    if found.state == "done":
        shown |= _told(place, found.answer)
    return render(request, "trace/answer.html", shown)


def _told(place: Here, told: Mapping[str, Any]) -> dict[str, Any]:
    """The answer, where the dogs are, and which of them are kept apart already."""
    page = in_hundreds(told)
    pens = plan_of(place.book, told, on=place.on)
    plan = [one for one in pens if one.dogs or one.more]
    return {
        "answer": page,
        "is_here": place.book.dogs[told["id"]].is_here,
        "more": page["do_now"][SHOWN:],
        "shown": f":{SHOWN}",
        "first_more": SHOWN + 1,
        "plan": plan,
        "empty_pens": [one.pen.card.name for one in pens if one not in plan],
        "apart_now": {
            card.dog for card in place.book.dogs.values() if card.apart is not None
        },
    }


@open_to(OWNER, HAND, VET)
@require_POST
def stop(request: HttpRequest, task: str) -> HttpResponse:
    """Stop the work; nothing of it is kept."""
    place = here(request)
    tasks.stop(task_or_404(place, task, kind=TRACE).task, kennel=place.kennel)
    messages.success(request, _("It stops within a moment."))
    return redirect("trace:answer", task)


@open_to(OWNER, HAND)
@require_POST
def apart(request: HttpRequest, task: str) -> HttpResponse:
    """Write down that a dog is kept apart: the due list goes on from there."""
    place = here(request)
    found = task_or_404(place, task, kind=TRACE)
    dog = request.POST.get("dog", "")
    if dog not in place.book.dogs:
        raise Http404
    fact = f.KeptApart(dog=dog, infection=found.asked["infection"], why="traced")
    try:
        place.write(fact, entry=request.POST.get("entry", "") or new_id())
    except (BadInput, ValueError) as refused:
        messages.error(request, str(refused))
    else:
        name = place.book.name_of(dog)
        messages.success(
            request,
            _("%(dog)s is kept apart; what follows stands under Due.") % {"dog": name},
        )
    return redirect("trace:answer", task)
