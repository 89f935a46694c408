"""Your eyes and the reader: how often each person saw what the reader saw."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.rounds import eyes_agreement


@open_to(OWNER, HAND, VET)
def eyes(request: HttpRequest) -> HttpResponse:
    """One row for each person who read strips that the reader read too."""
    return render(
        request, "bench/eyes.html", {"rows": eyes_agreement(here(request).book)}
    )
