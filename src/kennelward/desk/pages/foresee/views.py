"""Asking what may happen, watching it run, and the answer."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk import tasks
from kennelward.desk.pages.foresee.asked import initial_of
from kennelward.desk.pages.foresee.forms import INFECTIONS, AskForm
from kennelward.desk.pages.foresee.lines import AnswerPage
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.desk.pages.shell.work import again_seconds, task_or_404, too_many
from kennelward.desk.task_worker import FORESEE
from kennelward.rounds.plan_outbreak import PEOPLE_FIRST
from kennelward.spread.policies import KINDS


def _form(
    place: Here, infection: str, data: Any = None, like: Mapping[str, Any] | None = None
) -> AskForm:
    return AskForm(
        data,
        book=place.book,
        handbook=place.handbook,
        infection=infection,
        initial=initial_of(like or {}, kinds=KINDS),
    )


def _shown(place: Here, form: AskForm, infection: str) -> dict[str, Any]:
    return {
        "form": form,
        "infection": infection,
        "infections": [place.handbook.infections[name] for name in INFECTIONS],
        "chosen": place.handbook.infections[infection],
        "people_first": PEOPLE_FIRST[infection],
        "past": [
            (one, place.handbook.infections[one.asked["infection"]].name)
            for one in tasks.tasks(FORESEE, kennel=place.kennel)
            if one.asked.get("infection") in place.handbook.infections
        ],
    }


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """The form, and the answers there are."""
    place = here(request)
    infection = request.GET.get("about", INFECTIONS[0])
    if infection not in INFECTIONS:
        raise Http404
    like = None
    if task := request.GET.get("like", ""):
        asked = task_or_404(place, task, kind=FORESEE).asked
        like = asked if asked.get("infection") == infection else None
    form = _form(place, infection, like=like)
    return render(request, "foresee/index.html", _shown(place, form, infection))


@open_to(OWNER, HAND, VET)
@require_POST
def ask(request: HttpRequest) -> HttpResponse:
    """Put the question in the row of work; the page then shows how far it is."""
    place = here(request)
    infection = request.POST.get("infection", "")
    if infection not in INFECTIONS:
        raise Http404
    form = _form(place, infection, request.POST)
    if there := too_many(request, place, kind=FORESEE, answer="foresee:answer"):
        return there
    if not place.book.dogs_here:
        form.add_error(
            None, _("No dog is in the book yet; enter the dogs that are here first.")
        )
    if form.is_valid():
        user: Any = request.user
        name = user.get_full_name() or user.get_username()
        made = tasks.ask(FORESEE, form.asked(), kennel=place.kennel, by=name)
        return redirect("foresee:answer", made)
    return render(
        request, "foresee/index.html", _shown(place, form, infection), status=422
    )


@open_to(OWNER, HAND, VET)
def answer(request: HttpRequest, task: str) -> HttpResponse:
    """How far it is, or what came of it."""
    place = here(request)
    found = task_or_404(place, task, kind=FORESEE)
    infection = place.handbook.infections[found.asked["infection"]]
    shown: dict[str, Any] = {
        "task": found,
        "chosen": infection,
        "people_first": PEOPLE_FIRST.get(infection.infection, ()),
        "again_seconds": again_seconds(found),
    }
    if found.state == "done":
        shown["page"] = AnswerPage(found.answer)
    return render(request, "foresee/answer.html", shown)


@open_to(OWNER, HAND, VET)
@require_POST
def stop(request: HttpRequest, task: str) -> HttpResponse:
    """Stop the work; nothing of it is kept."""
    place = here(request)
    tasks.stop(task_or_404(place, task, kind=FORESEE).task, kennel=place.kennel)
    messages.success(request, _("It stops within a moment."))
    return redirect("foresee:answer", task)
