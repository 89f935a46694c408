"""Is a dog ill now? Five questions; any yes, and the vet comes before any strip."""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.danger.forms import CalledForm, DangerForm, pictures_for
from kennelward.desk.pages.danger.picking import dogs_to_pick
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import DogCard
from kennelward.kennel import facts as f
from kennelward.rounds import danger_stands, danger_summary
from kennelward.terms import BadInput


def card_or_404(place: Here, dog: str) -> DogCard:
    """The card of a dog of this book."""
    card = place.book.dogs.get(dog)
    if card is None:
        raise Http404
    return card


def kit_asked(place: Here, request: HttpRequest) -> str:
    """The kit a person was on the way to, or empty."""
    kit = request.POST.get("kit") or request.GET.get("kit") or ""
    return kit if kit in place.handbook.kits else ""


def with_kit(address: str, kit: str) -> str:
    """The address, remembering the kit."""
    return f"{address}?{urlencode({'kit': kit})}" if kit else address


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """Which dog is it?"""
    place = here(request)
    kit = kit_asked(place, request)
    dog = request.GET.get("dog", "")
    if dog in place.book.dogs:
        return redirect(with_kit(reverse("danger:check", args=[dog]), kit))
    return render(request, "danger/index.html", {"choices": dogs_to_pick(place)})


@open_to(OWNER, HAND, VET)
def check(request: HttpRequest, dog: str) -> HttpResponse:
    """The five questions about one dog."""
    place = here(request)
    card = card_or_404(place, dog)
    kit = kit_asked(place, request)
    pictures = pictures_for(card=card, book=place.book, on=place.on)
    form = DangerForm(request.POST or None, pictures=pictures)
    if request.method == "POST" and form.is_valid():
        dangers = form.dangers()
        try:
            place.write(
                f.DangerChecked(dog=dog, dangers=dangers),
                entry=form.cleaned_data["entry"],
            )
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            if dangers:
                return redirect(with_kit(reverse("danger:vet", args=[dog]), kit))
            if kit:
                return redirect("bench:ready", dog, kit)
            return redirect("danger:clear", dog)
    return render(
        request,
        "danger/check.html",
        {"card": card, "form": form, "kit": kit},
    )


@open_to(OWNER, HAND, VET)
def clear(request: HttpRequest, dog: str) -> HttpResponse:
    """None of the five: what to do with the dog next. Never says that it is well."""
    place = here(request)
    card = card_or_404(place, dog)
    return render(
        request,
        "danger/clear.html",
        {"card": card, "kits": place.handbook.kits.values()},
    )


@open_to(OWNER, HAND, VET)
def vet(request: HttpRequest, dog: str) -> HttpResponse:
    """The red page: call, read aloud, keep apart."""
    place = here(request)
    card = card_or_404(place, dog)
    items = [
        item
        for item in place.plan.due.about(dog)
        if item.is_open and item.action.urgency == "now"
    ]
    return render(
        request,
        "danger/vet.html",
        {
            "card": card,
            "kit": kit_asked(place, request),
            "dangers": dangers_now(place, card),
            "summary": danger_summary(
                book=place.book, handbook=place.handbook, dog=dog, on=place.on
            ),
            "waits": danger_stands(place.book, dog, on=place.on),
            "items": items,
            "form": CalledForm(),
            "mates": mates_of(place, card),
            "may_keep_apart": card.is_here and card.apart is None,
        },
    )


def dangers_now(place: Here, card: DogCard) -> tuple[str, ...]:
    """What today's check found."""
    danger = card.danger
    if danger is None or not isinstance(danger.fact, f.DangerChecked):
        return ()
    is_today = place.book.happened_on(danger) == place.on
    return danger.fact.dangers if is_today else ()


def mates_of(place: Here, card: DogCard) -> list[str]:
    """Names of the other dogs in its pen."""
    pen = place.book.pens.get(card.pen)
    mates = pen.dogs_now if pen is not None else ()
    return [place.book.name_of(mate) for mate in mates if mate != card.dog]


@open_to(OWNER, HAND, VET)
@require_POST
def called(request: HttpRequest, dog: str) -> HttpResponse:
    """The vet was called; from here Bench is open again."""
    place = here(request)
    card = card_or_404(place, dog)
    kit = kit_asked(place, request)
    form = CalledForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("This form is damaged; open the page again."))
        return redirect(with_kit(reverse("danger:vet", args=[dog]), kit))
    try:
        place.write(
            f.VetCalled(dog=dog, note=form.cleaned_data["note"]),
            entry=form.cleaned_data["entry"],
        )
    except BadInput as refused:
        messages.error(request, str(refused))
        return redirect(with_kit(reverse("danger:vet", args=[dog]), kit))
    messages.success(
        request,
        _("Written down: the vet was called about %(dog)s. Do what the vet said first.")
        % {"dog": card.name},
    )
    return redirect(with_kit(reverse("danger:vet", args=[dog]), kit))


@open_to(OWNER, HAND, VET)
@require_POST
def keep_apart(request: HttpRequest, dog: str) -> HttpResponse:
    """Keep the dog apart from this moment on."""
    place = here(request)
    card = card_or_404(place, dog)
    form = CalledForm(request.POST)
    back = with_kit(reverse("danger:vet", args=[dog]), kit_asked(place, request))
    if not form.is_valid() or card.apart is not None:
        return redirect(back)
    try:
        place.write(
            f.KeptApart(dog=dog, why=_("danger check")),
            entry=form.cleaned_data["entry"],
        )
    except BadInput as refused:
        messages.error(request, str(refused))
    else:
        messages.success(
            request, _("%(dog)s is kept apart from now on.") % {"dog": card.name}
        )
    return redirect(back)
