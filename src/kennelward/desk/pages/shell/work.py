"""Pages that watch long work: the one task, how often to look, not too much at once."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from kennelward.desk import tasks
from kennelward.desk.pages.shell.here import Here

AGAIN_SECONDS = 3  # a page without script is reloaded so often while work goes on
MOST_OPEN = 2  # questions of one kind and kennel at a time: each has a process


def task_or_404(place: Here, task: str, *, kind: str) -> tasks.Task:
    """This kennel's task of this kind. Raises Http404 where there is none."""
    found = tasks.task(task, kennel=place.kennel)
    if found is None or found.kind != kind:
        raise Http404
    return found


def again_seconds(task: tasks.Task) -> int:
    """After how many seconds its page looks again; 0 when nothing more comes."""
    return AGAIN_SECONDS if task.is_open and not task.is_silent else 0


def too_many(
    request: HttpRequest, place: Here, *, kind: str, answer: str
) -> HttpResponse | None:
    """Where enough is being worked on: to the newest, saying why; else None."""
    at_work = [
        one
        for one in tasks.tasks(kind, kennel=place.kennel)
        if one.is_open and not one.is_silent
    ]
    if len(at_work) < MOST_OPEN:
        return None
    messages.warning(
        request, _("Two questions are being worked on; wait for one, or stop it.")
    )
    return redirect(answer, at_work[0].task)
