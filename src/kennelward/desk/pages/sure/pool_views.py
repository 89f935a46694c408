"""A pooled sample is written down."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.desk.pages.sure.forms import PoolForm
from kennelward.rounds import infections_of
from kennelward.terms import BadInput


@open_to(OWNER, HAND, VET)
def pool(request: HttpRequest, infection: str) -> HttpResponse:
    """Samples of several dogs tested as one, as the vet or the laboratory says."""
    place = here(request)
    if infection not in infections_of(place.handbook):
        raise Http404
    form = PoolForm(
        request.POST or None,
        place=place,
        infection=infection,
        initial={"sampled_on": place.on},
    )
    if request.method == "POST" and form.is_valid():
        try:
            place.write(*form.facts(), entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            if form.cleaned_data["call"] == "positive":
                messages.warning(
                    request,
                    _(
                        "One of these dogs at least has it: each is kept apart as a "
                        "suspect. Test each on its own, and ask the vet."
                    ),
                )
            else:
                messages.success(request, _("Written in the book."))
            return redirect("sure:infection", infection)
    return render(
        request,
        "sure/pool.html",
        {"form": form, "infection": infection},
        status=422 if form.errors else 200,
    )
