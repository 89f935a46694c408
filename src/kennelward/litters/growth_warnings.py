"""Which weights are a warning, and why. A warning never names a cause.

Only the loss of 4 % by day 2 and the birth weights of very low puppies are published
thresholds for the risk of death; the rest are proposals on the safe side.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from kennelward.litters.growth import (
    Expected,
    GrowthModel,
    GrowthRules,
    Weight,
    days_between,
    in_order,
)
from kennelward.litters.growth_standards import BirthClass, crossed_lines, lms_z

HOURS_SLACK = 2  # a weighing at half past seven after one at eight is a day later
NOTHING_KNOWN = Expected()


class GrowthFlag(StrEnum):
    """How a puppy does."""

    TOO_FEW = "too few weights"
    GREEN = "gaining"
    AMBER = "look at it"
    RED = "call the vet"


WARNING_CODES = {  # code -> the handbook value behind it
    "very-low-birth": "growth.early_days",
    "early-loss": "growth.early_loss_share",
    "losing": "growth.no_gain_hours",
    "not-doubled": "growth.doubled_by_days",
    "slow": "growth.daily_gain_share",
    "no-gain": "growth.no_gain_hours",
    "crossed-bands": "growth.lines_crossed",
    "weaned-not-gaining": "growth.weaned_no_gain_days",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthWarning:
    """One reason for a flag, as a stable code with the figure behind it."""

    flag: GrowthFlag
    code: str  # one of WARNING_CODES
    figure: float  # share such as -0.05; days, lines or grams where the code says so

    @property
    def value(self) -> str:
        """Path of the handbook's value that it rests on."""
        return WARNING_CODES[self.code]


def warnings(
    weights: Sequence[Weight],
    *,
    born_at: datetime,
    model: GrowthModel,
    expected: Expected = NOTHING_KNOWN,
    birth: BirthClass | None = None,
) -> tuple[GrowthWarning, ...]:
    """Reasons to look, worst first; empty where it gains well or weights are too few.

    The first weight within 24 h of birth is taken as the birth weight; `birth` is its
    class, where breed or size is known.
    """
    ordered = in_order(weights)
    if not ordered:
        return ()
    rules = model.rules
    age = days_between(born_at, ordered[-1].at)
    found = _at_birth(ordered[0], age=age, birth=birth, rules=rules)
    if len(ordered) > 1:
        found += _against_birth(ordered, born_at=born_at, rules=rules)
        found += _lately(ordered, age=age, rules=rules)
        found += _across(ordered, born_at=born_at, model=model, expected=expected)
    order = (GrowthFlag.RED, GrowthFlag.AMBER)
    return tuple(sorted(found, key=lambda w: order.index(w.flag)))


def flag(
    weights: Sequence[Weight],
    *,
    born_at: datetime,
    model: GrowthModel,
    expected: Expected = NOTHING_KNOWN,
    birth: BirthClass | None = None,
) -> GrowthFlag:
    """The worst flag of `warnings`; green without any, or "too few weights"."""
    found = warnings(
        weights, born_at=born_at, model=model, expected=expected, birth=birth
    )
    if found:
        return found[0].flag
    return GrowthFlag.GREEN if len(in_order(weights)) > 1 else GrowthFlag.TOO_FEW


def _at_birth(
    first: Weight, *, age: float, birth: BirthClass | None, rules: GrowthRules
) -> list[GrowthWarning]:
    """Very low at birth: in the first days only; later its growth says more."""
    if birth is BirthClass.VERY_LOW and age <= rules.early_days:
        return [_warning(GrowthFlag.RED, "very-low-birth", first.weight_g)]
    return []


def _against_birth(
    ordered: Sequence[Weight], *, born_at: datetime, rules: GrowthRules
) -> list[GrowthWarning]:
    first, last = ordered[0], ordered[-1]
    age = days_between(born_at, last.at)
    if days_between(born_at, first.at) > 1 or age > 2 * rules.doubled_by_days:
        return []
    found = []
    early = [
        w for w in ordered if 0 < days_between(born_at, w.at) <= rules.early_days + 0.5
    ]
    if early and age <= rules.slow_until_days:
        change = early[-1].weight_g / first.weight_g - 1
        if change <= -rules.early_loss_share:
            found.append(_warning(GrowthFlag.RED, "early-loss", change))
    if rules.doubled_by_days <= age and last.weight_g < 2 * first.weight_g:
        times = last.weight_g / first.weight_g
        found.append(_warning(GrowthFlag.RED, "not-doubled", times))
    return found


def _lately(
    ordered: Sequence[Weight], *, age: float, rules: GrowthRules
) -> list[GrowthWarning]:
    last, before = ordered[-1], ordered[-2]
    found: list[GrowthWarning] = []
    if age <= rules.early_days:
        return found
    change = last.weight_g / before.weight_g - 1
    hours = days_between(before.at, last.at) * 24
    if change < 0 and len(ordered) > 2 and before.weight_g < ordered[-3].weight_g:
        found.append(_warning(GrowthFlag.RED, "losing", change))
    elif change <= 0 and hours >= rules.no_gain_hours - HOURS_SLACK:
        found.append(_warning(GrowthFlag.AMBER, "no-gain", change))
    if age >= rules.weaned_from_days:
        found.extend(_weaned(ordered, rules=rules))
    elif age <= rules.slow_until_days:
        gain = _compound(ordered, days=rules.slow_over_days)
        if gain is not None and gain < rules.daily_gain_share:
            found.append(_warning(GrowthFlag.AMBER, "slow", gain))
    return found


def _weaned(ordered: Sequence[Weight], *, rules: GrowthRules) -> list[GrowthWarning]:
    last = ordered[-1]
    earlier = [
        w
        for w in ordered[:-1]
        if days_between(w.at, last.at) >= rules.weaned_no_gain_days
    ]
    if earlier and last.weight_g <= earlier[-1].weight_g:
        days = days_between(earlier[-1].at, last.at)
        return [_warning(GrowthFlag.AMBER, "weaned-not-gaining", days)]
    return []


def lines_fallen(
    weights: Sequence[Weight],
    *,
    born_at: datetime,
    model: GrowthModel,
    expected: Expected = NOTHING_KNOWN,
) -> int:
    """Lines that a puppy has fallen across since its birth weight, or since 8 weeks.

    Against doubling on the usual day while it sucks, against the share of its
    parents' grown weight from eight weeks on; 0 where neither can be worked out.
    """
    ordered = in_order(weights)
    then, now = _scores(ordered, born_at=born_at, model=model, expected=expected)
    if now >= then:
        return 0
    return crossed_lines(z_then=then, z_now=now, spacing=model.rules.line_spacing_sd)


def _across(
    ordered: Sequence[Weight],
    *,
    born_at: datetime,
    model: GrowthModel,
    expected: Expected,
) -> list[GrowthWarning]:
    age = days_between(born_at, ordered[-1].at)
    if age <= model.rules.early_days:
        return []
    fallen = lines_fallen(ordered, born_at=born_at, model=model, expected=expected)
    if fallen > model.rules.lines_crossed:
        return [_warning(GrowthFlag.AMBER, "crossed-bands", fallen)]
    return []


def _scores(
    ordered: Sequence[Weight],
    *,
    born_at: datetime,
    model: GrowthModel,
    expected: Expected,
) -> tuple[float, float]:
    """Standard scores at the start of the stage and now; equal where unknown."""
    rules = model.rules
    if len(ordered) < 2:
        return 0.0, 0.0
    first, last = ordered[0], ordered[-1]
    age = days_between(born_at, last.at)
    if age <= model.best.last_day and days_between(born_at, first.at) <= 1:
        usual = expected.birth_g or first.weight_g
        doubled = 2 ** (age / rules.doubled_usual_days)
        return _score(first.weight_g, usual, rules), _score(
            last.weight_g, usual * doubled, rules
        )
    if expected.grown_g is not None:
        scores = []
        for one in ordered:
            share = model.adult_share(
                size=expected.size,
                breed=expected.breed,
                age_days=days_between(born_at, one.at),
            )
            if share is not None:
                scores.append(_score(one.weight_g, expected.grown_g * share, rules))
        if len(scores) > 1:
            return scores[0], scores[-1]
    return 0.0, 0.0


def _score(weight_g: float, usual_g: float, rules: GrowthRules) -> float:
    return lms_z(
        value=weight_g, skew=0, median=usual_g, spread=rules.expected_spread_share
    )


def _compound(ordered: Sequence[Weight], *, days: float) -> float | None:
    """Daily gain over the last `days` or a little more; None without weights for it."""
    last = ordered[-1]
    earlier = [
        w for w in ordered if days - 0.25 <= days_between(w.at, last.at) <= 2 * days
    ]
    if not earlier:
        return None
    span = days_between(earlier[-1].at, last.at)
    return float((last.weight_g / earlier[-1].weight_g) ** (1 / span) - 1)


def _warning(flag: GrowthFlag, code: str, figure: float) -> GrowthWarning:
    return GrowthWarning(flag=flag, code=code, figure=figure)
