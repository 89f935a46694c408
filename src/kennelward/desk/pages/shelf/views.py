"""The shelf: what is on it, what it will need, what a test costs."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from kennelward.desk.pages.shelf.forms import CountForm, LotForm
from kennelward.desk.pages.shell.first_steps import after_step
from kennelward.desk.pages.shell.forms import add_refusal
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import LotCard
from kennelward.rounds import ShelfPlan, shelf_plan
from kennelward.terms import BadInput

SOON_DAYS = 60  # a lot that expires within so many days is marked


@dataclass(frozen=True, slots=True, kw_only=True)
class LotLine:
    """One lot as the shelf shows it."""

    card: LotCard
    state: str
    says: str
    is_next: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class KitOnShelf:
    """All lots of one kit, with its month."""

    kit: str
    lots: tuple[LotLine, ...]
    usable: int
    need: Any
    order: Any
    cost: Any


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """All kits the handbook knows, each with its lots and its month."""
    place = here(request)
    plan = shelf_plan(book=place.book, due=place.plan.due, on=place.on)
    kits = [
        kit_on_shelf(place=place, plan=plan, kit=kit) for kit in place.handbook.kits
    ]
    return render(
        request,
        "shelf/index.html",
        {"kits": kits, "is_empty": not place.book.lots},
    )


def kit_on_shelf(*, place: Here, plan: ShelfPlan, kit: str) -> KitOnShelf:
    """The lots of a kit, the first to expire first, used-up ones left out."""
    take = plan.take.get(kit)
    cards = sorted(
        (c for c in place.book.lots.values() if c.kit == kit and c.count_left > 0),
        key=lambda card: (card.expires_on, card.lot_code),
    )
    lots = tuple(
        lot_line(
            place=place, card=card, is_next=take is not None and take.lot == card.lot
        )
        for card in cards
    )
    return KitOnShelf(
        kit=kit,
        lots=lots,
        usable=sum(c.count_left for c in cards if not c.is_expired(place.on)),
        need=next((need for need in plan.needs if need.kit == kit), None),
        order=next((order for order in plan.orders if order.kit == kit), None),
        cost=plan.costs.get(kit),
    )


def lot_line(*, place: Here, card: LotCard, is_next: bool) -> LotLine:
    """One lot; an expired one says so before anything else."""
    if card.is_expired(place.on):
        state, says = "expired", _("expired: its result does not count")
    elif card.expires_on <= place.on + timedelta(days=SOON_DAYS):
        state, says = "watch", _("use soon")
    else:
        state, says = "well", _("good")
    return LotLine(card=card, state=state, says=says, is_next=is_next)


@open_to(OWNER, HAND)
def add(request: HttpRequest) -> HttpResponse:
    """A box comes in."""
    place = here(request)
    form = LotForm(
        request.POST or None, initial={"kit": request.GET.get("kit")}, place=place
    )
    if request.method == "POST" and form.is_valid():
        lot = form.received()
        try:
            place.write(lot, entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            if lot.expires_on < place.on:
                messages.warning(
                    request,
                    _(
                        "On the shelf, but expired: a result of this lot does not count."
                    ),
                )
            else:
                messages.success(request, _("On the shelf."))
            return redirect(after_step(place, "shelf:index"))
    return render(request, "shelf/add.html", {"form": form})


@open_to(OWNER, HAND)
def count(request: HttpRequest, lot: str) -> HttpResponse:
    """Count what is left of a lot."""
    place = here(request)
    card = place.book.lots.get(lot)
    if card is None:
        raise Http404
    form = CountForm(request.POST or None, initial={"count": card.count_left})
    if request.method == "POST" and form.is_valid():
        try:
            place.write(form.counted(lot), entry=form.cleaned_data["entry"])
        except BadInput as refused:
            add_refusal(form, refused)
        else:
            messages.success(request, _("Counted."))
            return redirect("shelf:index")
    return render(request, "shelf/count.html", {"form": form, "card": card})
