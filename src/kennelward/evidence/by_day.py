"""How a test's sensitivity grows with the days since an event.

Steps where a source gives steps (relaxin by days from the LH surge), an onset where
it gives a spread of first detectable days (prepatent period, rise of antibody). Where
the event itself is known only through another one (the LH surge through a mating),
the days are spread too.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from kennelward.evidence.accuracy import BetaChance, known_chance
from kennelward.evidence.draws import Array, LatticeDraws
from kennelward.evidence.elicited import beta_pert
from kennelward.evidence.performance import EVENTS, TestPerformance
from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPoint:
    """Sensitivity on one day: `share` of `sensitivity`."""

    day: int  # days since the event
    sensitivity: BetaChance
    share: float = 1.0  # of infected (pregnant) dogs that can show it by then

    def __post_init__(self) -> None:
        check_range("day", self.day, low=0, unit="days")
        check_range("share", self.share, low=0, high=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorSpread:
    """Another event that days may be counted from.

    Days since the curve's event = days since `event` + offset, with the share of dogs
    at each offset. Ovulation is 2 days after the LH surge: offset 2, share 1.
    """

    event: str
    shares: tuple[tuple[int, float], ...]  # (offset in days, share), adding up to 1

    def __post_init__(self) -> None:
        _check_event(self.event)
        total = sum(share for _, share in self.shares)
        if abs(total - 1) > 1e-6 or any(share < 0 for _, share in self.shares):
            raise BadInput(
                f"shares of the offsets from {self.event} must be 0 or more and add "
                f"up to 1, got a sum of {total:g}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class SensitivityByDay:
    """Sensitivity by days since `event`; constant from one point to the next.

    Before the first point the test sees nothing.
    """

    event: str
    points: tuple[DayPoint, ...]
    spreads: Mapping[str, AnchorSpread] = field(default_factory=dict)
    source: str = ""

    def __post_init__(self) -> None:
        _check_event(self.event)
        if not self.points:
            raise BadInput("a curve by day needs at least one point")
        for earlier, later in pairwise(self.points):
            if later.day <= earlier.day:
                raise BadInput(
                    f"points must come in order of day: {later.day} after {earlier.day}"
                )
        object.__setattr__(self, "spreads", MappingProxyType(dict(self.spreads)))

    def spread_from(self, event: str) -> AnchorSpread:
        """How days since `event` relate to days since this curve's event."""
        if event == self.event:
            return AnchorSpread(event=event, shares=((0, 1.0),))
        if event not in self.spreads:
            known = ", ".join((self.event, *self.spreads))
            raise BadInput(f"days must be counted from one of {known}: {event!r}")
        return self.spreads[event]

    def draw(self, *, event: str, day: int) -> Array:
        """Draws of the sensitivity `day` days after `event`, on the fixed lattice."""
        check_range("day", day, low=0, unit="days")
        total = np.zeros(LatticeDraws().size)
        for offset, share in self.spread_from(event).shares:
            point = self._point_on(day + offset)
            if point is not None and share:
                drawn = LatticeDraws().beta(point.sensitivity)
                total = total + share * point.share * drawn
        return total

    def _point_on(self, day: int) -> DayPoint | None:
        found = None
        for point in self.points:
            if point.day > day:
                break
            found = point
        return found


def _check_event(event: str) -> None:
    if event not in EVENTS:
        raise BadInput(f"event must be one of {', '.join(EVENTS)}: {event!r}")


def sensitivity_after_onset(
    plateau: BetaChance,
    *,
    event: str,
    first: int,
    typical: int,
    last: int,
    source: str = "",
) -> SensitivityByDay:
    """Sensitivity that rises to `plateau` as more of the dogs become detectable.

    The first detectable day runs from `first` to `last` with mode `typical` (days
    since `event`), as a PERT distribution. Source: `beta_pert`; the days come with
    their own source.
    """
    from scipy.special import betainc

    check_range("first", first, low=0, unit="days")
    check_range("typical", typical, low=first, high=last, unit="days")
    if last <= first:
        raise BadInput(f"last must be after first {first}, got {last}")
    rises = 1 + 4 * (typical - first) / (last - first)
    falls = 1 + 4 * (last - typical) / (last - first)
    points = tuple(
        DayPoint(
            day=day,
            sensitivity=plateau,
            share=float(betainc(rises, falls, (day - first) / (last - first))),
        )
        for day in range(first, last + 1)
    )
    return SensitivityByDay(event=event, points=points, source=source)


def spread_of_days(event: str, *, first: int, typical: int, last: int) -> AnchorSpread:
    """Days from another event to the curve's own, as whole days with their shares.

    Days since the curve's event = days since `event` + an offset from `first` to
    `last`, most often `typical`: a PERT distribution from half a day before to half a
    day after, so that each whole day gets what lies nearest to it. All three alike: no
    spread. Source: `beta_pert`; the days come with their own source.
    """
    from scipy.special import betainc

    check_range("typical", typical, low=first, high=last, unit="days")
    if first == last:
        return AnchorSpread(event=event, shares=((first, 1.0),))
    shape = beta_pert(first - 0.5, typical, last + 0.5)
    span = last - first + 1
    edges = [float(betainc(shape.a, shape.b, k / span)) for k in range(span + 1)]
    return AnchorSpread(
        event=event,
        shares=tuple((first + k, edges[k + 1] - edges[k]) for k in range(span)),
    )


def performance_on(
    performance: TestPerformance, *, by_day: SensitivityByDay, event: str, day: int
) -> TestPerformance:
    """`performance` with its sensitivity as it is `day` days after `event`.

    The day's sensitivity becomes the Beta of the same mean and variance. Where it is
    no higher than the share of false positives, the test says nothing that day: both
    figures are then exact and cancel.
    """
    drawn = by_day.draw(event=event, day=day)
    mean = float(drawn.mean())
    least = 1 - performance.specificity.mean
    old = performance.sensitivity
    if mean <= least:
        return replace(
            performance,
            sensitivity=known_chance(
                least, source=old.source, provenance=old.provenance
            ),
            specificity=known_chance(1 - least, source=performance.specificity.source),
        )
    variance = float(drawn.var())
    strength = mean * (1 - mean) / variance - 1 if variance > 1e-15 else math.inf
    chance = BetaChance(
        mean=mean, strength=strength, source=old.source, provenance=old.provenance
    )
    return replace(performance, sensitivity=chance)


def days_covered(days: Sequence[int]) -> tuple[int, ...]:
    """`days` in order, checked to be whole days of 0 or more."""
    for day in days:
        check_range("day", day, low=0, high=3650, unit="days")
    return tuple(sorted(set(days)))
