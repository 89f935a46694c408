"""What sets rules going: losses of puppies and pregnancies, one by one and as a run."""

from collections.abc import Iterator
from functools import lru_cache

from kennelward.kennel.facts import PregnancyLost
from kennelward.litters import DatedLitter, LossFlag, LossModel, alarm_delay
from kennelward.programme.anchor import Anchor
from kennelward.programme.litter_numbers import loss_model
from kennelward.programme.loss_pattern import (
    ALONE,
    LossSign,
    is_whole_litter,
    pattern_of,
)
from kennelward.programme.losses import litters_of, reviewed
from kennelward.programme.rules import Word
from kennelward.programme.view import View
from kennelward.programme.vocabulary import trigger


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
        if wanted == "work-up" and not is_whole_litter(view, card):
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


@trigger("loss-alarm", shows=("what",), needs=("of",), of="loss-alarm-of")
def loss_alarm(view: View, word: Word) -> Iterator[Anchor]:
    """Losses of the last year ask for a work-up: one grave loss, the pattern, or the alarm.

    Of the kennel: one occasion, the latest loss. Of the parents: every dam and sire
    here that a loss is counted to; a dam whose own loss asks already is left to it.
    """
    found = pattern_of(view)
    if not found.is_raised or not found.signs:
        return
    match word.text("of"):
        case "kennel" if found.is_kennel_wide:
            yield _of_kennel(view, found.signs)
        case "any":
            yield _of_kennel(view, found.signs)
        case "parents":
            yield from _of_parents(view, found.signs, all_dams=found.is_kennel_wide)


def _of_kennel(view: View, signs: tuple[LossSign, ...]) -> Anchor:
    latest = signs[-1]
    return Anchor(
        subject=view.kennel_id,
        kind="kennel",
        dog=latest.dam,
        entry=latest.entry,
        day=latest.day,
        shows={"what": _words(view, signs)},
    )


def _of_parents(
    view: View, signs: tuple[LossSign, ...], *, all_dams: bool
) -> Iterator[Anchor]:
    latest: dict[str, LossSign] = {}
    for sign in signs:
        if not all_dams and sign.kind not in ALONE:
            continue
        for dog in (sign.dam, *sign.sires):
            if dog in view.here:
                latest[dog] = sign
    for dog, sign in sorted(latest.items()):
        yield Anchor(
            subject=dog,
            entry=sign.entry,
            day=sign.day,
            shows={"what": _words(view, (sign,))},
        )


_SAID = {
    "late-loss": "late abortion",
    "loss": "lost pregnancy",
    "whole-litter": "whole litter lost",
    "stillborn": "{n} stillborn",
    "early-deaths": "{n} dead in the first days",
}


def _words(view: View, signs: tuple[LossSign, ...]) -> str:
    """The losses in short: "Ada: late abortion, 2026-03-02; Bea: 3 stillborn, ..."."""
    return "; ".join(
        f"{view.book.name_of(sign.dam)}: {_SAID[sign.kind].format(n=sign.count)}, "
        f"{sign.day.isoformat()}"
        for sign in signs
    )
