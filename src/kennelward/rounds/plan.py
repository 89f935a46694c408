"""The kennel's plan for a day: all actions by the rules, and the list they make."""

from dataclasses import dataclass
from datetime import date

from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.programme import Action, DueList, decide, due_list


@dataclass(frozen=True, slots=True, kw_only=True)
class KennelPlan:
    """Everything the rules ask for on a day."""

    on: date
    actions: tuple[Action, ...]
    due: DueList

    def about(self, subject: str) -> tuple[Action, ...]:
        """Actions about one dog, pen, litter or lot."""
        return tuple(action for action in self.actions if action.subject == subject)


def kennel_plan(*, book: Book, handbook: Handbook, on: date) -> KennelPlan:
    """Actions and due list of the whole kennel, from entries, handbook and date alone."""
    actions = decide(book=book, rules=handbook.programmes, on=on)
    return KennelPlan(on=on, actions=actions, due=due_list(actions, book=book, on=on))
