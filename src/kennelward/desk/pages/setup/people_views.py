"""People and their roles; only an owner sees them."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from kennelward import desk
from kennelward.desk.pages.setup.forms import ChangePersonForm, PersonForm
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import OWNER, open_to
from kennelward.terms import BadInput


@open_to(OWNER)
def people(request: HttpRequest) -> HttpResponse:
    """Everyone who may log in, and one more."""
    place = here(request)
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            desk.add_person(
                kennel=place.kennel,
                username=said["username"],
                password=said["password"],
                role=said["role"],
                full_name=said["full_name"],
            )
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(
                request, _("%(name)s may log in.") % {"name": said["username"]}
            )
            return redirect("setup:people")
    return render(
        request,
        "setup/people.html",
        {"form": form, "people": desk.people(place.kennel)},
    )


@open_to(OWNER)
def change(request: HttpRequest, person: int) -> HttpResponse:
    """Another role or password, or no longer here; an owner always remains."""
    place = here(request)
    found = next((p for p in desk.people(place.kennel) if p.user == person), None)
    if found is None:
        raise Http404
    known = {"role": found.role, "is_active": found.is_active}
    form = ChangePersonForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            desk.change_person(
                kennel=place.kennel,
                person=person,
                role=said["role"],
                is_active=said["is_active"],
                password=said["password"],
            )
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(request, _("Changed."))
            return redirect("setup:people")
    return render(request, "setup/person.html", {"form": form, "person": found})
