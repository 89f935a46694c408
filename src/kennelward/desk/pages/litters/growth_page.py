"""What a litter's page says of each puppy: its line, its warnings and where they come from."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward.desk.pages.handbook_page.listing import NumberLine, number_line
from kennelward.desk.pages.litters.ask import growth_of, numbers_of
from kennelward.desk.pages.litters.pictures import GrowthPanel, growth_panels
from kennelward.desk.pages.shell.here import Here
from kennelward.desk.pages.shell.templatetags.shell import grams
from kennelward.kennel import DogCard, LitterCard
from kennelward.litters import GrowthRules, GrowthWarning, check_weight_unit
from kennelward.rounds import PuppyGrowth, usual_weight_g

NEAR = timedelta(days=4)  # no puppy grows fivefold in so few days
NOT_GAINING = "weaned-not-gaining"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidWarning:
    """One warning in words, with the number behind it and where to go."""

    is_red: bool
    says: str
    number: NumberLine | None
    due_url: str  # of the task the programme makes of it, or empty


@dataclass(frozen=True, slots=True, kw_only=True)
class PuppyLine:
    """One puppy on the page."""

    card: DogCard
    growth: PuppyGrowth
    panel: GrowthPanel | None
    warnings: tuple[SaidWarning, ...]
    last: str  # its last weight and how long ago, or empty
    in_words: str  # the picture in a sentence
    typed: str
    doubt: str


def puppy_lines(
    place: Here,
    card: LitterCard,
    *,
    typed: dict[str, str],
    doubts: dict[str, str],
) -> list[PuppyLine]:
    """Every puppy of the litter that is here, in the litter's order."""
    growths = growth_of(place, card.litter)
    panels = growth_panels(growths, born_at=card.whelped.happened_at)
    return [
        PuppyLine(
            card=place.book.dogs[growth.dog],
            growth=growth,
            panel=panel,
            warnings=tuple(_said(place, growth, one) for one in growth.warnings),
            last=_last(growth, at=place.at),
            in_words=_in_words(growth, born_at=card.whelped.happened_at),
            typed=typed.get(growth.dog, ""),
            doubt=doubts.get(growth.dog, ""),
        )
        for growth, panel in zip(growths, panels, strict=True)
        if place.book.dogs[growth.dog].is_here
    ]


def weight_doubt(
    place: Here, growth: PuppyGrowth, card: LitterCard, *, weight_g: float, at: datetime
) -> str:
    """A question about the unit, or empty.

    A weighing written down late is held against the one nearest in time.
    """
    if growth.weights and at < max(weight.at for weight in growth.weights):
        nearest = min(growth.weights, key=lambda weight: abs(weight.at - at))
        if abs(nearest.at - at) <= NEAR:
            return check_weight_unit(weight_g=weight_g, expected_g=nearest.weight_g)
        growth = replace(growth, trend=None)
    usual = usual_weight_g(
        growth=growth,
        numbers=numbers_of(place),
        born_at=card.whelped.happened_at,
        at=at,
    )
    if usual is None:
        return ""
    return check_weight_unit(weight_g=weight_g, expected_g=usual)


def _said(place: Here, growth: PuppyGrowth, warning: GrowthWarning) -> SaidWarning:
    value = place.handbook.programmes.values.get(warning.value)
    return SaidWarning(
        is_red=warning.flag.value == "call the vet",
        says=warning_words(warning, rules=numbers_of(place).growth.rules),
        number=number_line(warning.value, value.latest) if value else None,
        due_url=f"{reverse('due:index')}?dog={growth.dog}"
        if warning.code == NOT_GAINING
        else "",
    )


def warning_words(warning: GrowthWarning, *, rules: GrowthRules) -> str:
    """Why a puppy is to be looked at, its own figure first."""
    share = f"{abs(100 * warning.figure):.1f}"
    match warning.code:
        case "very-low-birth":
            return _(
                "Very light at birth for its breed or size (%(w)s): high risk. "
                "Vet, and watch that it sucks."
            ) % {"w": grams(warning.figure)}
        case "early-loss":
            return _(
                "Lost %(n)s %% since birth: high risk. Vet and colostrum today."
            ) % {"n": share}
        case "losing":
            return _("Lost weight at two weighings in a row (%(n)s %%).") % {"n": share}
        case "not-doubled":
            return _(
                "Weighs %(n)s times its birth weight; by day %(d)d it should have "
                "doubled."
            ) % {"n": f"{warning.figure:.1f}", "d": round(rules.doubled_by_days)}
        case "no-gain":
            return _("No gain in %(h)d hours.") % {"h": round(rules.no_gain_hours)}
        case "slow":
            return _("Gains %(n)s %% a day; %(least)d %% is the least.") % {
                "n": f"{100 * warning.figure:.1f}",
                "least": round(100 * rules.daily_gain_share),
            }
        case "crossed-bands":
            return _("Has fallen across %(n)d lines of what is expected.") % {
                "n": round(warning.figure)
            }
        case "weaned-not-gaining":
            return _(
                "Weaned, and no gain in %(d)d days although it eats: a sign of gut "
                "infection such as Giardia."
            ) % {"d": round(warning.figure)}
    return warning.code  # a code without words breaks no page  # fmt: skip


def _last(growth: PuppyGrowth, *, at: datetime) -> str:
    if not growth.weights:
        return ""
    last = max(growth.weights, key=lambda weight: weight.at)
    hours = (at - last.at).total_seconds() / 3600
    if hours < 48:
        ago = ngettext("%(n)d hour ago", "%(n)d hours ago", round(hours)) % {
            "n": round(hours)
        }
    else:
        days = round(hours / 24)
        ago = ngettext("%(n)d day ago", "%(n)d days ago", days) % {"n": days}
    return f"{grams(last.weight_g)}, {ago}"


def _in_words(growth: PuppyGrowth, *, born_at: datetime) -> str:
    """What the picture shows: first and last weight, and what was expected then."""
    if not growth.weights:
        return ""
    ordered = sorted(growth.weights, key=lambda weight: weight.at)
    first, last = ordered[0], ordered[-1]
    day = (last.at - born_at).days
    said = [
        _("%(w)s on day %(d)d.") % {"w": grams(last.weight_g), "d": max(0, day)}
        if first == last
        else _("%(a)s on day %(x)d, %(b)s on day %(y)d.")
        % {
            "a": grams(first.weight_g),
            "x": max(0, (first.at - born_at).days),
            "b": grams(last.weight_g),
            "y": max(0, day),
        }
    ]
    band = next((band for band in growth.bands if band.day == day), None)
    if band is not None:
        said.append(
            _("Expected then: %(low)s to %(high)s.")
            % {"low": grams(band.low_g), "high": grams(band.high_g)}
        )
    return " ".join(said)
