"""The day's plan of a kennel, kept until the book, the handbook or the day changes.

A projection that may be thrown away at any time: it is made again from entries,
handbook and date, and nothing else.
"""

import threading
from collections import OrderedDict
from datetime import date
from typing import TYPE_CHECKING

from kennelward.desk.own_handbook import handbook
from kennelward.desk.records.queries import up_to_date

if TYPE_CHECKING:
    from kennelward.rounds import KennelPlan

KEPT = 16  # plans; a desk has one or two kennels and shows today, sometimes another day
Key = tuple[str, str, str, date]  # kennel, head of its chain, handbook, day

_kept: "OrderedDict[Key, KennelPlan]" = OrderedDict()
_lock = threading.Lock()


def plan(kennel: str, on: date) -> "KennelPlan":
    """What is due in a kennel on a day, by the book as it is now."""
    from kennelward.rounds import kennel_plan

    held, rules = up_to_date(kennel), handbook(kennel)
    key = (kennel, held.head.hash, rules.hash, on)
    with _lock:
        found = _kept.get(key)
        if found is not None:
            _kept.move_to_end(key)
            return found
    made = kennel_plan(book=held.book, handbook=rules, on=on)
    with _lock:
        _kept[key] = made
        while len(_kept) > KEPT:
            _kept.popitem(last=False)
    return made
