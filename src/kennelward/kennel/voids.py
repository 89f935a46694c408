"""Why a strip's result does not count.

A void result never reassures, clears a dog or moves a chance, and never lifts a
precaution.
"""

from dataclasses import replace
from datetime import date

from kennelward.kennel.cards import TestCard
from kennelward.kennel.facts import LeafletConfirmed
from kennelward.terms import Call

EXPIRED = "expired"  # started after the printed date of its lot
NO_LEAFLET = "no-leaflet"  # the leaflet's minutes were never confirmed
READ_EARLY = "read-early"
READ_LATE = "read-late"
NO_CONTROL_LINE = "no-control-line"
UNREADABLE = "unreadable"
DISAGREE = "disagree"  # person and reader differ about a pregnancy
WRONG_SAMPLE = "wrong-sample"  # not a sample the leaflet allows

VOID_REASONS = (
    EXPIRED,
    NO_LEAFLET,
    READ_EARLY,
    READ_LATE,
    NO_CONTROL_LINE,
    UNREADABLE,
    DISAGREE,
    WRONG_SAMPLE,
)


def void_reasons(
    card: TestCard,
    *,
    leaflet: LeafletConfirmed | None,
    expires_on: date | None,
    started_on: date,
) -> TestCard:
    """The card with its reasons filled in, in the order of `VOID_REASONS`.

    A running test has only the reasons that hold already (an expired lot, a wrong
    sample). A positive may count before the window opens where the leaflet says so.
    """
    found = []
    if expires_on is not None and started_on > expires_on:
        found.append(EXPIRED)
    if leaflet is not None and card.sample not in leaflet.samples:
        found.append(WRONG_SAMPLE)
    if card.state == "read":
        found.extend(_reading_reasons(card, leaflet))
    return replace(card, void_reasons=tuple(r for r in VOID_REASONS if r in found))


def _reading_reasons(card: TestCard, leaflet: LeafletConfirmed | None) -> list[str]:
    found = []
    if card.call is Call.INVALID:
        found.append(NO_CONTROL_LINE)
    if card.kit == "relaxin" and card.disagree:
        found.append(DISAGREE)
    elif card.call is Call.UNREADABLE:
        found.append(UNREADABLE)
    if leaflet is None:
        return [*found, NO_LEAFLET]
    minutes = card.minutes
    if minutes is None:
        return found
    may_be_early = leaflet.positive_may_be_called_early and card.call is Call.POSITIVE
    if minutes < leaflet.read_from_minutes and not may_be_early:
        found.append(READ_EARLY)
    if minutes > leaflet.read_until_minutes:
        found.append(READ_LATE)
    return found
