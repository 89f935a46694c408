"""The first screen."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.bench.views import running
from kennelward.desk.pages.due.lines import due_lines, givings
from kennelward.desk.pages.shell.dog_lines import apart_words, dog_lines
from kennelward.desk.pages.shell.first_steps import first_steps
from kennelward.desk.pages.shell.here import Here, here, id_beside, new_id
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.kennel import DogCard
from kennelward.kennel import facts as f

LINES_SHOWN = 6


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """Three doors; below them strips that run, what is due, who is kept apart."""
    place = here(request)
    items = [
        item for item in place.plan.due.items if item.state in ("overdue", "today")
    ]
    first = new_id()
    lines = due_lines(items[:LINES_SHOWN], place=place, first=first)
    apart = [card for card in place.book.dogs_here if is_apart(place, card)]
    steps = first_steps(place)
    return render(
        request,
        "start/index.html",
        {
            "running": running(place),
            "lines": lines,
            "overdue": sum(1 for item in items if item.state == "overdue"),
            "today": sum(1 for item in items if item.state == "today"),
            "apart": [
                (line, apart_words(place.book.dogs[line.dog]), since(place, line.dog))
                for line in dog_lines(cards=apart, book=place.book, on=place.on)
            ],
            "givings_left": [
                one
                for one in givings(place, first=id_beside(first, steps=LINES_SHOWN))
                if one.left
            ],
            "steps": [] if all(step.is_done for step in steps) else steps,
            "is_empty": not place.book.dogs,
            "round_today": round_today(place),
            "here_again": request.path,
        },
    )


def is_apart(place: Here, card: DogCard) -> bool:
    """True for a dog kept apart by decision, or in a pen for it."""
    pen = place.book.pens.get(card.pen)
    kind = pen.described.pen_kind if pen is not None else ""
    return card.apart is not None or kind in ("isolation", "quarantine")


def since(place: Here, dog: str) -> object:
    """The day a dog was set apart, where it is known."""
    card = place.book.dogs[dog]
    if card.apart is not None:
        return card.apart.since
    return place.book.day_of(card.stays[-1].since) if card.stays else None


def round_today(place: Here) -> object:
    """When the last round of today was, or None."""
    rounds = place.book.of(f.RoundDone)
    if rounds and place.book.happened_on(rounds[-1]) == place.on:
        return rounds[-1].happened_at
    return None
