"""What sets rules going, second half: matings, litters, losses, puppies, pens, the shelf."""

from collections.abc import Iterator
from datetime import timedelta
from functools import lru_cache

from kennelward.kennel import LitterCard
from kennelward.kennel.facts import PregnancyLost
from kennelward.litters import DatedLitter, LossFlag, LossModel, alarm_delay
from kennelward.programme.anchor import Anchor
from kennelward.programme.attempts import (
    Attempt,
    attempts,
    counts_from,
    due_day,
    failed_in_a_row,
    is_confirmed,
    is_ruled_out,
    open_attempt,
    overdue_day,
    season_starts,
)
from kennelward.programme.cases import open_cases
from kennelward.programme.litter_numbers import loss_model
from kennelward.programme.losses import litters_of, reviewed
from kennelward.programme.rules import Word
from kennelward.programme.view import View
from kennelward.programme.vocabulary import trigger


@trigger("attempt", shows=("due",), needs=("day",), day="attempt-day")
def attempt(view: View, word: Word) -> Iterator[Anchor]:
    """A bitch was mated and has neither whelped nor lost. The day is what is asked for."""
    for dam in view.here:
        found = open_attempt(view, dam)
        if found is None or is_ruled_out(view, found):
            continue
        anchor = _of_attempt(view, found, word.text("day"))
        if anchor is not None:
            yield anchor


def _of_attempt(view: View, found: Attempt, day: str) -> Anchor | None:
    days = {
        "countable": counts_from(view, found),
        "due": due_day(view, found),
        "overdue": overdue_day(view, found),
        "last-mating": found.last_mating,
        "lh": found.lh,
    }
    asked = days[day]
    if asked is None:
        return None
    return Anchor(
        subject=found.dam,
        entry=found.entry,
        day=asked,
        since=found.first_mating,
        shows={"due": due_day(view, found).isoformat()},
    )


@trigger("confirmed-but-empty")
def confirmed_but_empty(view: View, word: Word) -> Iterator[Anchor]:
    """A bitch was said to be pregnant and her time passed without a litter."""
    for dam in view.here:
        for found in attempts(view).get(dam, [])[-1:]:
            over = overdue_day(view, found)
            if found.ended is None and is_confirmed(view, found) and view.on >= over:
                yield Anchor(
                    subject=dam, entry=found.entry, day=over, since=found.first_mating
                )


@trigger("failed", shows=("count",), at_least="number")
def failed(view: View, word: Word) -> Iterator[Anchor]:
    """So many matings in a row without a litter."""
    for dam in view.here:
        found = failed_in_a_row(view, dam)
        if len(found) >= word.number("at_least", 2):
            latest = found[-1]
            yield Anchor(
                subject=dam,
                entry=latest.entry,
                day=overdue_day(view, latest),
                since=latest.first_mating,
                shows={"count": len(found)},
            )


@trigger("season")
def season(view: View, word: Word) -> Iterator[Anchor]:
    """A season started, or a mating shows that one did; the latest of each bitch."""
    for dam, (day, entry) in sorted(season_starts(view).items()):
        if dam in view.here:
            yield Anchor(subject=dam, entry=entry, day=day)


@trigger("whelped")
def whelped(view: View, word: Word) -> Iterator[Anchor]:
    """A litter was born to a bitch that is here."""
    for litter, card in sorted(view.book.litters.items()):
        day = view.day(card.whelped)
        if view.days_ago(day) <= 200 and card.dam in view.here:
            yield Anchor(
                subject=litter,
                kind="litter",
                dog=card.dam,
                entry=card.whelped.entry,
                day=day,
            )


@trigger("loss", shows=("stillborn", "died"), needs=("loss",), loss="loss")
def loss(view: View, word: Word) -> Iterator[Anchor]:
    """Puppies were lost: any dead in the first days, or all that calls for a work-up."""
    within = view.number("births.early_death_days")
    for litter, card in sorted(view.book.litters.items()):
        born = view.day(card.whelped)
        if view.days_ago(born) > 120 or card.dam not in view.here:
            continue
        early = [e for e in card.deaths if (view.day(e) - born).days <= within]
        wanted = word.text("loss")
        if wanted == "work-up" and not _is_whole_litter(view, card):
            continue
        if not card.stillborn and not early:
            continue
        latest = early[-1] if early else card.whelped
        yield Anchor(
            subject=litter,
            kind="litter",
            dog=card.dam,
            entry=latest.entry,
            day=view.day(latest),
            since=view.day(latest),
            shows={"stillborn": card.stillborn, "died": len(early)},
        )


def _is_whole_litter(view: View, card: LitterCard) -> bool:
    within = timedelta(days=view.number("births.whole_litter_days"))
    born = view.day(card.whelped)
    died = sum(view.day(entry) <= born + within for entry in card.deaths)
    born_in_all = card.born_alive + card.stillborn
    return born_in_all > 0 and died >= card.born_alive


@trigger("pregnancy-lost")
def pregnancy_lost(view: View, word: Word) -> Iterator[Anchor]:
    """A bitch lost a pregnancy."""
    for entry in view.recent(PregnancyLost, days=120):
        if isinstance(entry.fact, PregnancyLost) and entry.fact.dam in view.here:
            day = view.day(entry)
            yield Anchor(subject=entry.fact.dam, entry=entry.entry, day=day)


@trigger("losses-clustered", shows=("litters", "litters_a_year", "delay_years"))
def losses_clustered(view: View, word: Word) -> Iterator[Anchor]:
    """Losses of the last year are more than chance explains, by the litters room."""
    model = loss_model(lambda path: view.rules.number(path, view.on))
    dated = [
        one
        for one in litters_of(view)
        if view.days_ago(one.born_on) <= model.look_back_days
    ]
    lately = [
        one
        for one in dated
        if one.loss.lost and view.days_ago(one.born_on) < model.year_days
    ]
    if not lately:
        return
    found = reviewed(view)
    whole = found.whole_litters_lost >= model.whole_litters
    if found.alarm or found.year_flag is LossFlag.RED or whole:
        latest = view.book.litters[lately[-1].litter]
        yield Anchor(
            subject=view.kennel_id,
            kind="kennel",
            entry=latest.whelped.entry,
            day=lately[-1].born_on,
            shows={"litters": len(dated), **_delay(view, dated, found.baseline, model)},
        )


def _delay(
    view: View, dated: list[DatedLitter], chance: float, model: LossModel
) -> dict[str, str | int | float]:
    """How long this alarm takes at the kennel's pace, when losses double in odds."""
    first = min(litter.born_on for litter in dated)
    years = max(1.0, (view.days_ago(first) + 1) / 365.25)
    a_year = len(dated) / years
    sizes = tuple(sorted(litter.loss.born for litter in dated))
    length = _delay_litters(sizes, round(chance, 3), model)
    return {
        "litters_a_year": f"{a_year:.1f}",
        "delay_years": f"{length / a_year:.1f}",
    }


@lru_cache(maxsize=32)
def _delay_litters(sizes: tuple[int, ...], chance: float, model: LossModel) -> float:
    """Litters until the alarm, kept: it takes a fifth of a second to work out."""
    found = alarm_delay(
        litters_a_year=1, sizes=sizes, chance=chance, model=model, steps=100
    )
    return found.detection_litters


@trigger("puppy")
def puppy(view: View, word: Word) -> Iterator[Anchor]:
    """A dog here is young; the day is its birth."""
    for dog, card in view.here.items():
        born = card.described.born_on
        if view.days_ago(born) <= 400:
            yield Anchor(subject=dog, entry=card.first_entry, day=born)


@trigger("case-pen", shows=("of",), needs=("infection",), infection="infection")
def case_pen(view: View, word: Word) -> Iterator[Anchor]:
    """A pen where a case was while it may have infected others."""
    infection = word.text("infection")
    back = timedelta(days=view.number(f"{infection}.contact_look_back_days"))
    used: dict[str, Anchor] = {}
    for dog, case in sorted(open_cases(view, infection).items()):
        for stay in view.book.dogs[dog].stays:
            until = view.book.day_of(stay.until) if stay.until is not None else None
            if stay.pen not in view.book.pens:
                continue
            if until is not None and until < case.first_day - back:
                continue
            day = max(case.first_day, until) if until is not None else case.first_day
            if stay.pen not in used or day > used[stay.pen].day:
                used[stay.pen] = Anchor(
                    subject=stay.pen,
                    kind="pen",
                    entry=case.entry,
                    dog=dog,
                    day=day,
                    shows={"of": view.book.name_of(dog)},
                )
    yield from (anchor for _, anchor in sorted(used.items()))


@trigger("every-day")
def every_day(view: View, word: Word) -> Iterator[Anchor]:
    """The kennel itself, today."""
    if view.kennel_id and view.here:
        yield Anchor(
            subject=view.kennel_id, kind="kennel", entry=view.kennel_entry, day=view.on
        )


@trigger("lot", shows=("kit", "left"))
def lot(view: View, word: Word) -> Iterator[Anchor]:
    """A lot with kits left; the day is its printed date."""
    for lot_id, card in sorted(view.book.lots.items()):
        if card.count_left > 0:
            yield Anchor(
                subject=lot_id,
                kind="lot",
                entry=card.received.entry,
                day=card.expires_on,
                shows={"kit": card.kit, "left": card.count_left},
            )


@trigger("shelf-empty", shows=("kit",))
def shelf_empty(view: View, word: Word) -> Iterator[Anchor]:
    """A kit that the kennel keeps has no usable one left."""
    kits: dict[str, list[int]] = {}
    entry: dict[str, str] = {}
    for _, card in sorted(view.book.lots.items()):
        usable = 0 if card.is_expired(view.on) else card.count_left
        kits.setdefault(card.kit, []).append(usable)
        entry[card.kit] = card.received.entry
    for kit, left in sorted(kits.items()):
        if not any(left):
            yield Anchor(
                subject=view.kennel_id,
                kind="kennel",
                entry=entry[kit],
                day=view.on,
                shows={"kit": kit},
            )


@trigger("leaflet-unread", shows=("kit",))
def leaflet_unread(view: View, word: Word) -> Iterator[Anchor]:
    """Kits are on the shelf whose leaflet nobody confirmed; one a kit."""
    asked: set[str] = set()
    for lot_id, card in sorted(view.book.lots.items()):
        known = card.kit in view.book.leaflets or card.kit in asked
        if not known and card.count_left > 0:
            asked.add(card.kit)
            yield Anchor(
                subject=lot_id,
                kind="lot",
                entry=card.received.entry,
                day=view.day(card.received),
                shows={"kit": card.kit},
            )
