"""One pregnancy in full, and the short forms that write about it."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from kennelward.desk.pages.litters.pregnancy_forms import NOTES, may_write
from kennelward.desk.pages.litters.pregnancy_page import pregnancy_page
from kennelward.desk.pages.litters.views import bitch_or_404
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.terms import BadInput


@open_to(OWNER, HAND, VET)
def pregnancy(request: HttpRequest, dam: str) -> HttpResponse:
    """Due date as a picture, how the tests stand, what to do daily, what to add."""
    place = here(request)
    card = bitch_or_404(place, dam)
    return render(request, "litters/pregnancy.html", pregnancy_page(place, card))


@open_to(OWNER, HAND, VET)
def write(request: HttpRequest, dam: str, what: str) -> HttpResponse:
    """Write one thing about the season or the pregnancy."""
    place = here(request)
    card = bitch_or_404(place, dam)
    if what not in NOTES:
        raise Http404
    if not may_write(NOTES[what], place.role):
        raise PermissionDenied
    form = NOTES[what](request.POST or None, dog=dam, place=place)
    if request.method == "POST" and form.is_valid():
        try:
            place.write(
                *form.facts(),
                entry=form.cleaned_data["entry"],
                happened_at=form.happened_at(),
            )
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(request, _("Written in the book."))
            return redirect("litters:pregnancy", dam)
    return render(
        request,
        "litters/write.html",
        {"card": card, "form": form, "action": NOTES[what]},
        status=422 if request.method == "POST" else 200,
    )
