"""The curve of one answer, and the sentences beside it."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from kennelward.desk.pages.shell.curve import ChanceCurve, ChanceOnDay, chance_curve
from kennelward.desk.pages.shell.templatetags.shell import day as day_words
from kennelward.evidence import DayWorth, in_hundred
from kennelward.rounds import KitAnswer

EVERY_DAYS = 7  # rows of the table


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthRow:
    """One row of the table."""

    day: int
    on: date
    left: str  # in 100 after a negative
    between: str
    after_positive: str
    counts: bool
    is_today: bool


def negative_curve(answer: KitAnswer) -> ChanceCurve | None:
    """What a negative leaves, by day."""
    told = answer.timing
    says = (
        _("Today: a negative leaves %(n)s in 100.")
        if answer.today.negative_counts
        else _("Today: a negative does not count; it would leave %(n)s in 100.")
    )
    marks = [(answer.on, says % _n(answer.today))]
    if answer.counts_from > told.anchor:
        marks.append((answer.counts_from, _("From here a negative counts.")))
    if told.reaches is not None:
        first = _("The first day on which it reaches your level: %(n)s in 100.") % _n(
            told.reaches
        )
        marks.append((told.reaches.on, first))
    else:
        best = _("The best one strip can do: %(n)s in 100 left.") % _n(told.best)
        marks.append((told.best.on, best))
    if answer.retest_on != answer.on and not answer.is_positive:
        marks.append((answer.retest_on, _("Test (again).")))
    return chance_curve(
        [
            ChanceOnDay(
                on=one.on,
                low=one.if_negative.low,
                median=one.if_negative.median,
                high=one.if_negative.high,
            )
            for one in told.curve
        ],
        marks=marks,
        shaded_until=answer.counts_from if answer.counts_from > told.anchor else None,
        level=answer.worth,
    )


def _n(worth: DayWorth) -> dict[str, str]:
    return {"n": in_hundred(worth.if_negative.median)}


def curve_in_words(answer: KitAnswer) -> str:
    """The curve for someone who does not see it."""
    told = answer.timing
    first, last = told.curve[0], told.curve[-1]
    return _(
        "Of 100 dogs like this one, a negative leaves %(a)s on %(day_a)s and %(b)s on "
        "%(day_b)s; today %(now)s. Every day stands in the table below."
    ) % {
        "a": in_hundred(first.if_negative.median),
        "day_a": day_words(first.on),
        "b": in_hundred(last.if_negative.median),
        "day_b": day_words(last.on),
        "now": in_hundred(answer.today.if_negative.median),
    }


def worth_rows(answer: KitAnswer) -> list[WorthRow]:
    """A day a week, today, and the days on which something changes."""
    told = answer.timing
    wanted = {answer.on, answer.counts_from, told.best.on, answer.retest_on}
    if told.reaches is not None:
        wanted.add(told.reaches.on)
    return [
        WorthRow(
            day=one.day,
            on=one.on,
            left=in_hundred(one.if_negative.median),
            between=_("%(low)s to %(high)s")
            % {
                "low": in_hundred(one.if_negative.low),
                "high": in_hundred(one.if_negative.high),
            },
            after_positive=in_hundred(one.if_positive.median)
            if one.positive_counts
            else "",
            counts=one.negative_counts,
            is_today=one.on == answer.on,
        )
        for one in told.curve
        if one.day % EVERY_DAYS == 0 or one.on in wanted
    ]
