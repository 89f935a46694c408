"""Words every room shares: calls, intervals, date windows, phrases, rule references.

Never: a clock, a random seed, a file, a rule about dogs.
"""

from kennelward.terms.answers import MAY_BE_A_LINE, Call, Unreadable
from kennelward.terms.days import DateWindow
from kennelward.terms.intervals import Interval
from kennelward.terms.phrases import Phrase
from kennelward.terms.ranges import (
    BadInput,
    OutOfRange,
    check_range,
    check_text,
)
from kennelward.terms.rules import Provenance, RuleRef, Sourced
from kennelward.terms.streams import stream

__all__ = [
    "MAY_BE_A_LINE",
    "BadInput",
    "Call",
    "DateWindow",
    "Interval",
    "OutOfRange",
    "Phrase",
    "Provenance",
    "RuleRef",
    "Sourced",
    "Unreadable",
    "check_range",
    "check_text",
    "stream",
]
