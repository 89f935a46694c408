"""How sure the kennel can be that an infection is absent, day by day.

Never "free": a chance, and what it rests on. The infection may have been there from
the start, or have come in on any day since; each of these stories must explain every
negative test done after it began. Dogs that were tested again are the same dogs, and
their repeats may be dependent, so this is exact where the usual recursion (which it
equals for independent rounds, Martin et al. 2007) takes rounds apart.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from kennelward.evidence.freedom_question import FreedomQuestion, NegativeRound
from kennelward.evidence.freedom_stories import SilentRounds
from kennelward.evidence.prior import in_hundred
from kennelward.terms import BadInput, DateWindow, Interval, Phrase

SAYS = Phrase(
    "On {on}, in about {n} (between {low} and {high}) of 100 kennels with this record "
    "{infection} would be absent, or so rare that fewer than {design} of {dogs} dogs have "
    "it."
)
RESTS_ON = Phrase(
    "That rests on negative tests ({tests}, in rounds: {rounds}). It starts at {prior} in "
    "100 before any test: a judgement that you can change (50 is where one starts knowing "
    "nothing). Days on which something may have come in ({introductions}) take from it."
)
SUSPENDED = Phrase(
    "A suspect result is open: nothing can be said until the vet has settled it."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FreedomPoint:
    """The chance of absence at the end of one day."""

    on: date
    chance: Interval
    is_suspended: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FreedomCurve:
    """The chance of absence by day, and what it rests on."""

    infection: str
    points: tuple[FreedomPoint, ...]
    rests_on: tuple[Phrase, ...]  # for the last day

    def on(self, day: date) -> FreedomPoint:
        """The point of one day. Raises BadInput for a day beyond the curve."""
        for point in self.points:
            if point.on == day:
                return point
        raise BadInput(
            f"the curve runs from {self.points[0].on} to {self.points[-1].on}, "
            f"got {day}"
        )


def freedom_curve(question: FreedomQuestion, *, until: date) -> FreedomCurve:
    """The chance that the infection is absent, on each day to `until`.

    "Absent" means in fewer than `design_infected` dogs. The interval moves all
    figures together: its low end has every test and the start at their 5 % quantile
    and every introduction at its 95 %, so it is wider than if they erred apart.
    Raises BadInput for a day before the question starts.
    """
    if until < question.starts_on:
        raise BadInput(f"until must be {question.starts_on} or later, got {until}")
    days = DateWindow(question.starts_on, until)
    low, median, high = _curve_at(question, days=days, shares=(0.05, 0.5, 0.95))
    points = tuple(
        FreedomPoint(
            on=day,
            chance=_ordered(float(low[i]), float(median[i]), float(high[i])),
            is_suspended=question.suspect_since is not None
            and day >= question.suspect_since,
        )
        for i, day in enumerate(days)
    )
    return FreedomCurve(
        infection=question.infection,
        points=points,
        rests_on=_rests_on(question, points[-1]),
    )


def _ordered(low: float, median: float, high: float) -> Interval:
    return Interval(low=min(low, median), median=median, high=max(median, high))


def _curve_at(
    question: FreedomQuestion, *, days: DateWindow, shares: Sequence[float]
) -> np.ndarray:
    """Chance of absence, (share, day), with every figure at each of the quantiles."""
    rounds = sorted((r for r in question.rounds if r.on <= days.last), key=_day_of)
    came_in = np.array(
        [_introduction_by_day(question, days=days, share=1 - s) for s in shares]
    )
    absent = np.array([question.prior.quantile(share) for share in shares])
    silent = SilentRounds(question, rounds=rounds, shares=shares)
    before = 0  # rounds done before this day
    # Chance, so far, of each story in which it is here: it began after k rounds.
    stories = np.zeros((len(shares), len(rounds) + 1))
    stories[:, 0] = 1 - absent
    silence = silent.after(0)
    found = np.empty((len(shares), days.days))
    for i, day in enumerate(days):
        stories[:, before] += absent * came_in[:, i]
        absent = absent * (1 - came_in[:, i])
        if before < len(rounds) and rounds[before].on == day:
            while before < len(rounds) and rounds[before].on == day:
                before += 1
            silence = silent.after(before)
        here = (stories[:, : before + 1] * silence).sum(axis=1)
        seen = absent + here
        found[:, i] = np.divide(absent, seen, out=np.zeros(len(shares)), where=seen > 0)
    return found


def _day_of(round_: NegativeRound) -> date:
    return round_.on


def _introduction_by_day(
    question: FreedomQuestion, *, days: DateWindow, share: float
) -> np.ndarray:
    stays_out = np.full(days.days, 1 - question.daily_introduction)
    for introduction in question.introductions:
        if introduction.on in days:
            at = (introduction.on - days.first).days
            stays_out[at] *= 1 - introduction.chance.quantile(share)
    return 1 - stays_out


def _rests_on(question: FreedomQuestion, last: FreedomPoint) -> tuple[Phrase, ...]:
    if last.is_suspended:
        return (SUSPENDED,)
    done = [r for r in question.rounds if r.on <= last.on]
    came = {i.on for i in question.introductions if i.on <= last.on}
    return (
        Phrase(
            SAYS.template,
            {
                "on": last.on.isoformat(),
                "n": in_hundred(last.chance.median),
                "low": in_hundred(last.chance.low),
                "high": in_hundred(last.chance.high),
                "infection": question.infection,
                "design": question.design_infected,
                "dogs": len(question.dogs),
            },
        ),
        Phrase(
            RESTS_ON.template,
            {
                "tests": sum(len(r.dogs) + len(r.pools) for r in done),
                "rounds": len(done),
                "introductions": len(came),
                "prior": in_hundred(question.prior.mean),
            },
        ),
    )
