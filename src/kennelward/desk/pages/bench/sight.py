"""What a person can see on a strip, as drawings to tap, and the call each makes."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from kennelward.kennel.cards import MOST_CAUTIOUS_FIRST
from kennelward.terms import Call


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """One thing to see on a strip with a control and a test line."""

    code: str
    word: Any
    how: Any
    call: Call
    is_faint: bool = False
    control: str = "full"  # full | none, for the drawing
    test: str = "none"  # full | faint | none


TWO = Sight(
    code="two",
    word=_("Two lines"),
    how=_("C and T both there"),
    call=Call.POSITIVE,
    test="full",
)
FAINT = Sight(
    code="faint",
    word=_("C, and a very faint line at T"),
    how=_("However faint: it counts"),
    call=Call.POSITIVE,
    is_faint=True,
    test="faint",
)
ONE = Sight(
    code="one",
    word=_("One line, at C"),
    how=_("Nothing at T, held to the light"),
    call=Call.NEGATIVE,
)
T_ONLY = Sight(
    code="t-only",
    word=_("A line at T only"),
    how=_("No line at C: the test failed"),
    call=Call.INVALID,
    control="none",
    test="full",
)
NOTHING = Sight(
    code="none",
    word=_("No line at all"),
    how=_("The test failed"),
    call=Call.INVALID,
    control="none",
)
UNSURE = Sight(
    code="unsure",
    word=_("I cannot tell"),
    how=_("Smeared, flooded, too dark"),
    call=Call.UNREADABLE,
    control="unsure",
    test="unsure",
)
SIGHTS = (TWO, FAINT, ONE, T_ONLY, NOTHING, UNSURE)
BY_CODE = {sight.code: sight for sight in SIGHTS}
EARLY = (TWO, FAINT)  # what may be called before the time, where the leaflet says so


def is_more_cautious(new: Call, old: Call) -> bool:
    """True where `new` asks for more care than `old`."""
    order = MOST_CAUTIOUS_FIRST
    if new not in order:
        return False
    return old not in order or order.index(new) < order.index(old)


def sight_words(call: Call, *, is_faint: bool) -> str:
    """What was seen, from what was written down."""
    match call:
        case Call.POSITIVE:
            return str(FAINT.word if is_faint else TWO.word)
        case Call.NEGATIVE:
            return str(ONE.word)
        case Call.INVALID:
            return str(_("No line at C"))
        case Call.TRACE:
            return str(_("C, and a trace at T"))
    return str(UNSURE.word)
