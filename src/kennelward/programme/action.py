"""What there is to do: one action, with the rule and the reason."""

from dataclasses import dataclass

from kennelward.terms import DateWindow, Phrase, RuleRef


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing to do, about one subject, in a window of days."""

    rule: RuleRef
    subject: str  # id of a dog, pen, litter, lot, or of the kennel
    subject_kind: str  # "dog" | "pen" | "litter" | "lot" | "kennel"
    what: str  # code, such as "keep-apart", "call-vet", "test"
    says: Phrase
    because: Phrase
    window: DateWindow
    urgency: str  # "now" | "planned"
    cautions: tuple[str, ...] = ()  # handbook caution ids
    kit: str = ""
    anchor: str = ""  # entry that set it going
    occurrence: int = 1

    @property
    def key(self) -> str:
        """What done, put off and declined are written against."""
        return f"{self.rule.rule}|{self.subject}|{self.anchor}|{self.occurrence}"
