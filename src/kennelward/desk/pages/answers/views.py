"""When can this test answer? For a dog of the book, or for a day that is typed."""

from dataclasses import replace
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from kennelward.desk.pages.answers.forms import EVENTS, AskForm
from kennelward.desk.pages.answers.pictures import (
    curve_in_words,
    negative_curve,
    worth_rows,
)
from kennelward.desk.pages.shell.here import Here, here
from kennelward.desk.pages.shell.labels import label
from kennelward.desk.pages.shell.roles import HAND, OWNER, VET, open_to
from kennelward.handbook import Kit
from kennelward.kennel import DogCard
from kennelward.rounds import (
    KitAnswer,
    dog_answer,
    dog_answers,
    when_can_answer,
    with_own_figures,
)
from kennelward.terms import BadInput

SHOWN_FIRST = "negative-is-not-safe"  # the caution that stands before the others


@open_to(OWNER, HAND, VET)
def index(request: HttpRequest) -> HttpResponse:
    """Every kit; with `?dog=` what each can answer for that dog today."""
    place = here(request)
    card = _dog(place, request.GET.get("dog", ""))
    answers: dict[str, KitAnswer | None] = {}
    if card is not None:
        answers = dict(
            dog_answers(
                book=place.book,
                handbook=place.handbook,
                dog=card.dog,
                on=place.on,
                plan=place.plan,
            )
        )
    kits = [
        {
            "kit": kit,
            "events": [EVENTS.get(event, event) for event in kit.events],
            "answer": answers.get(name),
        }
        for name, kit in place.handbook.kits.items()
        if card is None or name in answers
    ]
    return render(request, "answers/index.html", {"kits": kits, "card": card})


def _dog(place: Here, dog: str) -> DogCard | None:
    """The dog that is asked about; 404 for one that is not in the book."""
    if not dog:
        return None
    card = place.book.dogs.get(dog)
    if card is None:
        raise Http404
    return card


@open_to(OWNER, HAND, VET)
def kit(request: HttpRequest, kit: str) -> HttpResponse:
    """The curve of one kit, what to do about it, and what it takes for granted."""
    place = here(request)
    held = place.handbook.kits.get(kit)
    if held is None:
        raise Http404
    card = _dog(place, request.GET.get("dog", ""))
    is_typed = "day" in request.GET
    form = AskForm(request.GET if is_typed else None, kit=held)
    answer = None
    if is_typed:
        answer = _typed(place, held, form)
    elif card is not None:
        answer = dog_answer(
            book=place.book,
            handbook=place.handbook,
            dog=card.dog,
            kit=kit,
            on=place.on,
            plan=place.plan,
        )
    else:
        answer = _from_today(place, held)
    if not is_typed:
        form.initial = {
            "event": answer.event if answer else held.events[0],
            "day": answer.timing.anchor if answer else place.on,
            "worth": "5",
            "age": "puppy" if card and card.age_months(place.on) < 6 else "grown",
        }
    return render(
        request, "answers/kit.html", _shown(place, held, form, answer, card, is_typed)
    )


def _typed(place: Here, kit: Kit, form: AskForm) -> KitAnswer | None:
    """The answer to the form; None, with its errors, where it cannot be given."""
    if not form.is_valid():
        return None
    own = with_own_figures(book=place.book, handbook=place.handbook)
    try:
        return when_can_answer(
            handbook=own,
            kit=kit.kit,
            event=form.cleaned_data["event"],
            anchor=form.cleaned_data["day"],
            on=place.on,
            case=replace(form.case(), on=place.on),
            worth=form.worth_chosen,
        )
    except BadInput as refused:
        form.add_error("day", str(refused))
        return None


def _from_today(place: Here, kit: Kit) -> KitAnswer:
    """The curve as it would be if the event were today: the days to come."""
    own = with_own_figures(book=place.book, handbook=place.handbook)
    return when_can_answer(
        handbook=own,
        kit=kit.kit,
        event=kit.events[0],
        anchor=place.on,
        on=place.on,
    )


def _shown(
    place: Here,
    kit: Kit,
    form: AskForm,
    answer: KitAnswer | None,
    card: DogCard | None,
    is_typed: bool,
) -> dict[str, Any]:
    infection = place.handbook.infections[kit.infection]
    known = place.handbook.cautions
    is_infection = kit.infection != "pregnancy"
    cautions = [SHOWN_FIRST] if is_infection and SHOWN_FIRST in known else []
    cautions += [name for name in infection.cautions if name not in cautions]
    shown: dict[str, Any] = {
        "kit": kit,
        "form": form,
        "card": card,
        "answer": answer,
        "is_example": answer is not None and card is None and not is_typed,
        "cautions": cautions,
        "condition": label(kit.infection),
    }
    if answer is not None:
        shown |= {
            "event_word": EVENTS.get(answer.event, answer.event),
            "curve": negative_curve(answer),
            "curve_says": curve_in_words(answer),
            "rows": worth_rows(answer),
        }
    return shown
