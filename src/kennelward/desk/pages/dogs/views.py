"""Dogs: the list, a dog's page, and writing about it."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from kennelward.desk.pages.dogs import dog_page
from kennelward.desk.pages.dogs.action_base import DogAction
from kennelward.desk.pages.dogs.actions import actions_for
from kennelward.desk.pages.dogs.forms import (
    ArrivalForm,
    DogForm,
    NewDogForm,
    chip_doubt,
)
from kennelward.desk.pages.dogs.listing import list_of_dogs
from kennelward.desk.pages.dogs.results import results_of
from kennelward.desk.pages.dogs.weight_line import weight_line
from kennelward.desk.pages.shell.dog_lines import dog_line
from kennelward.desk.pages.shell.entry_words import entry_line, strikes
from kennelward.desk.pages.shell.first_steps import after_step
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import Here, here, id_beside
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import DogCard, Entry
from kennelward.kennel import facts as f
from kennelward.terms import BadInput

TIMELINE_SHOWN = 40
SHEET_CAUTIONS: dict[str, Any] = {  # of the handbook, shown on the arrival sheet
    "arrival_cautions": ("danger-first", "gloves", "phone-clean"),
    "import_cautions": ("imports",),
}


def card_or_404(place: Here, dog: str) -> DogCard:
    """The card of a dog of this book."""
    card = place.book.dogs.get(dog)
    if card is None:
        raise Http404
    return card


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """All dogs, one line each; by pen, by litter, or found by words."""
    place = here(request)
    wanted = request.GET.get("q", "").strip()
    by = request.GET.get("by", "pen")
    return render(
        request,
        "dogs/index.html",
        list_of_dogs(place=place, wanted=wanted, by=by),
    )


@open_to(OWNER, HAND, VET)
def dog(request: HttpRequest, dog: str) -> HttpResponse:
    """All about one dog."""
    place = here(request)
    card = card_or_404(place, dog)
    book, on = place.book, place.on
    why = strikes(book)
    about = list(reversed(book.about(dog)))
    weights = dog_page.weights_of(book=book, dog=dog)
    items = [item for item in place.plan.due.items if is_about(item, card, place)]
    return render(
        request,
        "dogs/dog.html",
        {
            "card": card,
            "line": dog_line(card=card, book=book, on=on),
            "apart_cautions": apart_cautions(place, card),
            "due_items": [item for item in items if item.state in OPEN_STATES],
            "actions": actions_for(card=card, role=place.role),
            "results": results_of(place=place, dog=dog),
            "courses": dog_page.courses_of(book=book, dog=dog, on=on),
            "stays": dog_page.stays_of(book=book, card=card, at=place.at),
            "weights": list(reversed(weights)),
            "weight_line": weight_line(weights),
            "vaccinations": dog_page.entries_about(
                book=book, dog=dog, kinds=(f.Vaccinated,)
            ),
            "wormings": dog_page.entries_about(book=book, dog=dog, kinds=(f.Wormed,)),
            "matings": lines_of(place, dog_page.breeding_of(book=book, dog=dog)),
            "litters": dog_page.litters_of(book=book, dog=dog),
            "littermates": [
                (mate, book.name_of(mate))
                for mate in dog_page.littermates(book=book, card=card)
            ],
            "timeline": [
                entry_line(entry=entry, book=book, why=why)
                for entry in about[:TIMELINE_SHOWN]
            ],
            "timeline_rest": max(0, len(about) - TIMELINE_SHOWN),
            "chip_doubt": chip_doubt(card.described.chip)
            if card.described.chip
            else "",
            "parents": {
                "dam": book.dogs.get(card.described.dam),
                "sire": book.dogs.get(card.described.sire),
            },
        },
    )


OPEN_STATES = ("overdue", "today", "this-week", "later")


def apart_cautions(place: Here, card: DogCard) -> tuple[str, ...]:
    """What to mind with a dog kept apart: of its suspicion first, then of apartness."""
    infection = card.apart.infection if card.apart else ""
    known = place.handbook.infections.get(infection)
    return (*(known.cautions if known else ()), "isolation-care")


def lines_of(place: Here, entries: list[Entry]) -> list[Any]:
    """Entries as pages show them."""
    why = strikes(place.book)
    return [entry_line(entry=entry, book=place.book, why=why) for entry in entries]


def is_about(item: Any, card: DogCard, place: Here) -> bool:
    """True where a due item is about this dog, its litter, or its pen."""
    return item.action.subject in (card.dog, card.described.litter, card.pen)


@open_to(OWNER, HAND)
def add(request: HttpRequest) -> HttpResponse:
    """A dog of the kennel's own, put into its pen."""
    place = here(request)
    if not place.book.pens:
        messages.warning(request, _("A dog needs a pen to be in: make the pens first."))
        return redirect("pens:quick")
    form = NewDogForm(
        request.POST or None,
        initial=_of_litter(place, request.GET.get("litter", "")),
        place=place,
    )
    if request.method == "POST" and form.is_valid():
        new = form.cleaned_data["entry"]
        described = form.described(new)
        try:
            place.write(
                described, f.Moved(dog=new, pen=form.cleaned_data["pen"]), entry=new
            )
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(
                request, _("%(dog)s is in the book.") % {"dog": described.name}
            )
            if "another" in request.POST:
                return redirect("dogs:add")
            to = after_step(place, "dogs:dog")
            return redirect(to, new) if to == "dogs:dog" else redirect(to)
    return render(request, "dogs/add.html", {"form": form})


def _of_litter(place: Here, litter: str) -> dict[str, Any]:
    """What is known of a puppy of that litter before it is described."""
    card = place.book.litters.get(litter)
    if card is None:
        return {}
    return {
        "litter": card.litter,
        "dam": card.dam,
        "sire": card.sire,
        "born_on": place.book.happened_on(card.whelped),
        "pen": place.book.dogs[card.dam].pen,
    }


@open_to(OWNER, HAND)
def change(request: HttpRequest, dog: str) -> HttpResponse:
    """Correct what is known of a dog; the earlier description stays in the book."""
    place = here(request)
    card = card_or_404(place, dog)
    known = {
        name: getattr(card.described, name)
        for name in (*DogForm.first_fields, *DogForm.more_fields)
    }
    form = DogForm(request.POST or None, initial=known, place=place)
    if request.method == "POST" and form.is_valid():
        try:
            place.write(form.described(dog), entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(request, _("Written down."))
            return redirect("dogs:dog", dog)
    return render(request, "dogs/change.html", {"form": form, "card": card})


@open_to(OWNER, HAND)
def arrive(request: HttpRequest) -> HttpResponse:
    """A dog comes in for the first time: who it is, and the sheet at the gate."""
    place = here(request)
    if not place.book.pens:
        messages.warning(request, _("A dog needs a pen to be in: make the pens first."))
        return redirect("pens:quick")
    dog_form = DogForm(request.POST or None, initial={"origin": "bought"}, place=place)
    sheet = ArrivalForm(request.POST or None, place=place)
    if request.method == "POST" and dog_form.is_valid() and sheet.is_valid():
        new = dog_form.cleaned_data["entry"]
        if save_arrival(place, sheet, dog=new, described=dog_form.described(new)):
            messages.success(
                request,
                _("%(dog)s has come in. What is due stands below.")
                % {"dog": dog_form.cleaned_data["name"]},
            )
            return redirect("dogs:dog", new)
    shown = SHEET_CAUTIONS | {"dog_form": dog_form, "sheet": sheet}
    return render(request, "dogs/arrive.html", shown)


@open_to(OWNER, HAND)
def arrive_again(request: HttpRequest, dog: str) -> HttpResponse:
    """A dog that was here before comes back."""
    place = here(request)
    card = card_or_404(place, dog)
    sheet = ArrivalForm(request.POST or None, place=place)
    if (
        request.method == "POST"
        and sheet.is_valid()
        and save_arrival(place, sheet, dog=dog, described=None)
    ):
        messages.success(request, _("%(dog)s is back.") % {"dog": card.name})
        return redirect("dogs:dog", dog)
    shown = SHEET_CAUTIONS | {"card": card, "sheet": sheet}
    return render(request, "dogs/arrive.html", shown)


def save_arrival(
    place: Here, sheet: ArrivalForm, *, dog: str, described: f.DogDescribed | None
) -> bool:
    """Write an arrival and all the sheet says, at once; False where it is refused."""
    said = sheet.cleaned_data
    when = said["when"]
    first = dog if described else said["entry"]
    now: list[f.Fact] = [described] if described else []
    now.append(sheet.arrived(dog))
    if said["weight_kg"]:
        now.append(f.Weighed(dog=dog, weight_g=round(said["weight_kg"] * 1000, 1)))
    earlier: list[tuple[date, f.Fact]] = []
    if said["vaccines"]:
        vaccines = tuple(said["vaccines"])
        note = _("as on its card, at arrival")
        earlier.append(
            (said["vaccinated_on"], f.Vaccinated(dog=dog, against=vaccines, note=note))
        )
    if said["wormed_on"]:
        wormed = f.Wormed(dog=dog, note=said["wormed_with"])
        earlier.append((said["wormed_on"], wormed))
    try:
        place.write_dated(
            [(when, fact) for fact in now]
            + [(place.noon_of(day), fact) for day, fact in earlier],
            entry=first,
        )
    except BadInput as refused:
        add_refusal(sheet, refused)
        return False
    return True


def act(action: type[DogAction]) -> Callable[..., HttpResponseBase]:
    """The view of one action on a dog."""

    @open_to(*action.roles)
    def view(request: HttpRequest, dog: str) -> HttpResponse:
        place = here(request)
        card = card_or_404(place, dog)
        form = action(request.POST or None, dog=dog, place=place)
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
                messages.success(request, _("Written down."))
                return redirect("dogs:dog", dog)
        return render(
            request, "dogs/act.html", {"form": form, "card": card, "action": action}
        )

    view.__name__ = f"act_{action.code.replace('-', '_')}"
    return view


@open_to(OWNER, HAND, VET)
@require_POST
def tick(request: HttpRequest, dog: str, course: str) -> HttpResponse:
    """Tick one giving of a course."""
    place = here(request)
    card = place.book.courses.get(course)
    if card is None or card.dog != dog:
        raise Http404
    try:
        day = date.fromisoformat(request.POST.get("day", ""))
        nth = int(request.POST.get("nth", ""))
        entry = id_beside(request.POST.get("entry", ""), steps=0)
    except ValueError as error:
        raise Http404 from error
    in_course = card.facts.starts_on <= day <= min(place.on, card.facts.ends_on)
    if not in_course or not 1 <= nth <= card.facts.times_a_day:
        raise Http404
    if (day, nth) not in card.given:
        moment = (
            None if day == place.on else place.noon_of(day) + timedelta(minutes=nth)
        )
        try:
            place.write(
                f.GivenTicked(course=course, day=day, nth=nth),
                entry=entry,
                happened_at=moment,
            )
        except BadInput as refused:
            messages.error(request, str(refused))
    return redirect("dogs:dog", dog)
