"""Words for one action: what, by when, why, by which rule, from which source."""

from dataclasses import dataclass
from datetime import date

from kennelward.programme.action import Action
from kennelward.terms import Phrase, Provenance

PROVENANCE_SAYS = {
    Provenance.PUBLISHED: "Published.",
    Provenance.COMMON_PRACTICE: "Common practice; there is no source.",
    Provenance.FROM_MEMORY: "From memory; have your vet check it.",
    Provenance.USER: "Your kennel's own, or your vet's.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Everything that stands behind one action."""

    says: Phrase
    because: Phrase
    by_rule: Phrase
    source: str
    trust: Phrase
    since: date
    overlaid_by: str

    @property
    def sentences(self) -> tuple[Phrase, ...]:
        """All of it in reading order."""
        return (
            self.says,
            self.because,
            self.by_rule,
            Phrase("Source: {source}", {"source": self.source}),
            self.trust,
        )


def explain(action: Action) -> Explanation:
    """What stands behind an action."""
    rule = action.rule
    values = {
        "rule": rule.rule,
        "programme": rule.programme,
        "since": rule.since.isoformat(),
        "by": rule.overlaid_by,
    }
    template = (
        "Rule {rule} of {programme}, in force since {since}, with values set by {by}."
        if rule.overlaid_by
        else "Rule {rule} of {programme}, in force since {since}."
    )
    return Explanation(
        says=action.says,
        because=action.because,
        by_rule=Phrase(template, values),
        source=rule.source,
        trust=Phrase(PROVENANCE_SAYS[rule.provenance]),
        since=rule.since,
        overlaid_by=rule.overlaid_by,
    )
