"""Dogs from a list: first a report that writes nothing, then the writing."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward import desk
from kennelward.desk.pages.dogs.forms import ImportForm
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import OWNER, open_to
from kennelward.terms import BadInput

LARGEST_FILE = 1024 * 1024  # bytes; 300 dogs are about 30 kB
KEPT = "dogs-list"  # in the session, between the report and the writing
COLUMNS = ("name", "sex", "born_on", "pen", "chip", "breed", "origin")


@open_to(OWNER)
def import_dogs(request: HttpRequest) -> HttpResponse:
    """Report on a file, or write the one that was reported on."""
    if request.method == "POST" and "write" in request.POST:
        return _write(request)
    form = ImportForm(request.POST or None, request.FILES or None)
    report = None
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        if file.size > LARGEST_FILE:
            form.add_error(
                "file", _("This file is larger than 1 MB; send a list of dogs.")
            )
        else:
            data = file.read()
            place = here(request)
            try:
                report = desk.import_dogs(
                    kennel=place.kennel,
                    data=data,
                    dry_run=True,
                    by=request.user,
                    at=place.at,
                )
            except BadInput as refused:
                add_refusal(form, refused)
            else:
                request.session[KEPT] = data.decode("latin-1")
    return render(
        request,
        "dogs/import.html",
        {"form": form, "report": report, "columns": COLUMNS},
    )


def _write(request: HttpRequest) -> HttpResponse:
    kept = request.session.pop(KEPT, "")
    if not kept:
        messages.error(request, _("There is no list to write: choose the file again."))
        return redirect("dogs:import")
    place = here(request)
    try:
        report = desk.import_dogs(
            kennel=place.kennel,
            data=kept.encode("latin-1"),
            dry_run=False,
            by=request.user,
            at=place.at,
            accept_problems=bool(request.POST.get("accept")),
        )
    except BadInput as refused:
        messages.error(request, str(refused))
        return redirect("dogs:import")
    messages.success(
        request,
        ngettext(
            "%(n)s dog is in the book.", "%(n)s dogs are in the book.", report.written
        )
        % {"n": report.written},
    )
    return redirect("dogs:index")
