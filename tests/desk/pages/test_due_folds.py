"""What presses stands open on the due list; chores fold into one line a pen."""

from dataclasses import replace
from datetime import date

from kennelward.desk.pages.due.lines import DueLine, Group
from kennelward.terms import Phrase

LINE = DueLine(
    key="k", query="", entry="", says=Phrase("Do it."), because=Phrase("So."),
    state="today", shows_on=date(2026, 3, 2), until=date(2026, 3, 2), is_urgent=False,
    is_open=True, is_daily_walk=False, subject="d", name="Moss", url="", bench_url="",
    note="",
)  # fmt: skip


def group(*lines: DueLine) -> Group:
    return Group(heading="Pen", lines=lines)


def test_urgent_and_overdue_never_fold():
    urgent = replace(LINE, is_urgent=True, is_daily_walk=False)
    late = replace(LINE, state="overdue")
    found = group(urgent, late, LINE, LINE)
    assert found.first == (urgent, late)
    assert found.folded == (LINE, LINE)
    assert found.folded_names == "Moss"


def test_a_single_thing_that_can_wait_is_shown_at_once():
    assert group(LINE).first == (LINE,)
    assert group(LINE).folded == ()


def test_the_daily_walk_folds_apart():
    walk = replace(LINE, is_daily_walk=True)
    found = group(walk, LINE)
    assert found.walk == (walk,)
    assert found.first == (LINE,)


def test_every_line_is_somewhere_once():
    lines = [
        replace(
            LINE,
            key=str(n),
            is_urgent=n % 2 == 0,
            is_daily_walk=n % 3 == 0,
            state=state,
        )
        for n in range(6)
        for state in ("overdue", "today", "this-week", "done", "put-off")
    ]
    found = group(*lines)
    shown = [*found.first, *found.folded, *found.walk]
    assert len(shown) == len(lines)
