"""Written rules turned into what to do: actions, each with its rule, source and reason.

Never: a chance, a drug, a stored due list, a clock. Rules come in as data; signs alone
are enough to set them going.
"""

from kennelward.programme.action import Action
from kennelward.programme.decide import decide
from kennelward.programme.due import (
    DAILY_WALK,
    OPEN_STATES,
    STATES,
    DueItem,
    DueList,
    due_list,
)
from kennelward.programme.explain import Explanation, explain
from kennelward.programme.litter_numbers import litter_numbers
from kennelward.programme.loss_pattern import LossPattern, LossSign, loss_pattern
from kennelward.programme.losses import dated_litters
from kennelward.programme.rules import (
    DatedValue,
    ProgrammeRules,
    Rule,
    ValueName,
    Word,
)

__all__ = [
    "DAILY_WALK",
    "Action",
    "DatedValue",
    "DueItem",
    "DueList",
    "Explanation",
    "LossPattern",
    "LossSign",
    "OPEN_STATES",
    "ProgrammeRules",
    "Rule",
    "STATES",
    "ValueName",
    "Word",
    "dated_litters",
    "decide",
    "due_list",
    "explain",
    "litter_numbers",
    "loss_pattern",
]
