"""The first page of all, the kennel, the leaflets, light or dark."""

from django.contrib import messages
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward import desk
from kennelward.desk.pages.setup.forms import (
    FirstForm,
    KennelForm,
    LeafletForm,
    known_of,
)
from kennelward.desk.pages.shell.first_steps import first_steps
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.look import keep_look
from kennelward.desk.pages.shell.roles import (
    HAND,
    OWNER,
    VET,
    open_to,
    open_to_anyone,
)
from kennelward.terms import BadInput

LOGIN_BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


def back_to(request: HttpRequest, otherwise: str) -> HttpResponseBase:
    """Where the form said to go next, if that is one of our own pages."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    if wanted and url_has_allowed_host_and_scheme(
        wanted, allowed_hosts=None, require_https=False
    ):
        return redirect(wanted)
    return redirect(otherwise)


@open_to_anyone
def first(request: HttpRequest) -> HttpResponseBase:
    """Make the first owner and name the kennel; closed for good afterwards."""
    if desk.has_people():
        return redirect("start:index")
    form = FirstForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            owner = desk.start_kennel(
                facts=form.described(),
                username=form.cleaned_data["username"],
                password=form.cleaned_data["password"],
                at=desk.now(),
            )
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            login(request, owner, backend=LOGIN_BACKEND)
            return redirect("setup:index")
    return render(request, "setup/first.html", {"form": form})


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """What is set up, and the steps to a first test."""
    place = here(request)
    steps = first_steps(place)
    return render(
        request,
        "setup/index.html",
        {
            "steps": steps,
            "is_begun": all(step.is_done for step in steps),
            "people": desk.people(place.kennel) if place.role == OWNER else [],
            "pen_count": len(place.book.pens),
            "kits": [
                (kit, place.book.leaflets.get(kit)) for kit in place.handbook.kits
            ],
        },
    )


@open_to(OWNER)
def kennel(request: HttpRequest) -> HttpResponse:
    """Name, phones, prices."""
    place = here(request)
    card = place.book.kennel
    form = KennelForm(request.POST or None, initial=known_of(card) if card else {})
    if request.method == "POST" and form.is_valid():
        try:
            place.write(form.described(), entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(request, _("Written down."))
            return redirect("setup:index")
    return render(request, "setup/kennel.html", {"form": form})


@open_to(OWNER)
def leaflet(request: HttpRequest, kit: str) -> HttpResponseBase:
    """Type off the leaflet of a kit, once before its first use and when it changes."""
    place = here(request)
    found = place.handbook.kits.get(kit)
    if found is None:
        raise Http404
    form = LeafletForm(request.POST or None, kit=found)
    if request.method == "POST" and form.is_valid():
        try:
            place.write(form.confirmed(), entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(request, _("The leaflet is in the book."))
            return back_to(request, "setup:index")
    return render(
        request,
        "setup/leaflet.html",
        {
            "form": form,
            "kit": kit,
            "known": place.book.leaflets.get(kit),
            "next": request.GET.get("next", ""),
        },
    )


@open_to(OWNER, HAND, VET)
@require_POST
def look(request: HttpRequest) -> HttpResponseBase:
    """Light, dark, or as the device says."""
    response = back_to(request, "start:index")
    keep_look(response, request.POST.get("look", ""))
    return response
