"""The book: read it, verify it, strike a mistake through."""

from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from kennelward import desk
from kennelward.desk.membership import signed_name
from kennelward.desk.pages.book.forms import StrikeForm
from kennelward.desk.pages.book.listing import Wanted, book_page, by_day, kinds_in
from kennelward.desk.pages.shell.entry_words import entry_line, strikes
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.labels import KINDS, label
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import Entry
from kennelward.kennel import facts as f
from kennelward.terms import BadInput


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """A page of the book."""
    place = here(request)
    wanted = Wanted(
        kind=request.GET.get("kind", ""),
        dog=request.GET.get("dog", ""),
        words=request.GET.get("q", "").strip(),
        only_struck=request.GET.get("struck", "") == "yes",
    )
    skip = request.GET.get("skip", "0")
    page = book_page(
        book=place.book, wanted=wanted, skip=int(skip[:9]) if skip.isdecimal() else 0
    )
    kept = {
        "kind": wanted.kind,
        "dog": wanted.dog,
        "q": wanted.words,
        "struck": "yes" if wanted.only_struck else "",
    }
    return render(
        request,
        "book/index.html",
        {
            "page": page,
            "days": by_day(book=place.book, lines=page.lines),
            "wanted": wanted,
            "kept": urlencode({name: value for name, value in kept.items() if value}),
            "kinds": [(kind, label(kind, KINDS)) for kind in kinds_in(place.book)],
            "dog_name": place.book.name_of(wanted.dog) if wanted.dog else "",
            "head": desk.head(place.kennel),
            "struck_count": len(place.book.struck),
            "may_strike": {
                line.entry.entry
                for line in page.lines
                if may_strike(place=place, entry=line.entry)
            },
        },
    )


def may_strike(*, place: Here, entry: Entry) -> bool:
    """True for a live entry that is no strike: the owner any, others their own."""
    if entry.entry in place.book.struck or isinstance(entry.fact, f.Struck):
        return False
    return place.role == OWNER or entry.recorded_by == signed_name(place.request.user)


@open_to(OWNER, HAND, VET)
def verify(request: HttpRequest) -> HttpResponse:
    """Walk the whole chain, link by link."""
    place = here(request)
    return render(request, "book/verify.html", {"found": desk.verify(place.kennel)})


@open_to(OWNER, HAND, VET)
def strike(request: HttpRequest, entry: str) -> HttpResponse:
    """Strike a mistake through, with a reason."""
    place = here(request)
    found = place.book.find(entry)
    if found is None:
        raise Http404
    if entry in place.book.struck or isinstance(found.fact, f.Struck):
        messages.error(request, _("This entry is struck through already."))
        return redirect("book:index")
    if not may_strike(place=place, entry=found):
        raise PermissionDenied
    form = StrikeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            place.write(
                f.Struck(entry=entry, why=form.cleaned_data["why"]),
                entry=form.cleaned_data["entry"],
            )
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(
                request,
                _("Struck through. What follows from it has been worked out anew."),
            )
            return redirect("book:index")
    line = entry_line(entry=found, book=place.book, why=strikes(place.book))
    return render(request, "book/strike.html", {"form": form, "line": line})
