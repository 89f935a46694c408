"""Sentences of the whelping night, their minutes taken from the rules in force."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from kennelward.litters import Night, Urgency, WhelpingRules

MINUTES_SAID_AS_MINUTES = 90  # up to here; above, whole hours where it is whole hours

# A rule of the night with its urgency -> its sentence; %(t)s is the time by the rule.
SAID: dict[str, Callable[[], str]] = {
    "heavy-bleeding.red": lambda: _("Heavy bleeding: call the vet now"),
    "puppy-stuck.red": lambda: _("A puppy is stuck: call the vet now"),
    "collapse.red": lambda: _("She has collapsed: call the vet now"),
    "green-before-puppy.red": lambda: _(
        "Green discharge before the first puppy: call the vet now"
    ),
    "hard-straining.red": lambda: _(
        "Hard straining for %(t)s and no puppy: call the vet now"
    ),
    "weak-straining.amber": lambda: _(
        "Weak straining for %(t)s and no puppy: call and ask"
    ),
    "weak-straining.red": lambda: _(
        "Weak straining for %(t)s and no puppy: call the vet now"
    ),
    "gap.amber": lambda: _("%(t)s since the last puppy: call and ask"),
    "gap.red": lambda: _("%(t)s since the last puppy: call the vet now"),
    "stage-one.amber": lambda: _("Restless for %(t)s without straining: call and ask"),
    "stage-one.red": lambda: _(
        "Restless for %(t)s without straining: call the vet now"
    ),
    "after-drop.red": lambda: _(
        "%(t)s since her temperature fell and no labour: call the vet now"
    ),
    "long.amber": lambda: _("%(t)s since labour began: call and ask"),
}
CLOCKS: dict[str, Callable[[], str]] = {  # what a running clock counts
    "hard-straining": lambda: _("Straining hard"),
    "weak-straining": lambda: _("Straining weakly"),
    "gap": lambda: _("Since the last puppy"),
    "stage-one": lambda: _("Restless, no straining"),
    "after-drop": lambda: _("Since her temperature fell"),
    "long": lambda: _("Since labour began"),
}


def duration(minutes: float) -> str:
    """Minutes as a person says them: "20 minutes", "4 hours"."""
    whole = round(minutes)
    if whole > MINUTES_SAID_AS_MINUTES and whole % 60 == 0:
        hours = whole // 60
        return ngettext("%(n)d hour", "%(n)d hours", hours) % {"n": hours}
    return ngettext("%(n)d minute", "%(n)d minutes", whole) % {"n": whole}


def minutes_of(rules: WhelpingRules) -> dict[str, float]:
    """The minutes of each rule and urgency that runs on a clock."""
    return {
        "hard-straining.red": rules.hard_straining_minutes,
        "weak-straining.amber": rules.weak_straining_amber_minutes,
        "weak-straining.red": rules.weak_straining_red_minutes,
        "gap.amber": rules.gap_amber_minutes,
        "gap.red": rules.gap_red_minutes,
        "stage-one.amber": rules.stage_one_amber_minutes,
        "stage-one.red": rules.stage_one_red_minutes,
        "after-drop.red": rules.after_drop_red_minutes,
        "long.amber": rules.long_amber_minutes,
    }


def sentences(rules: WhelpingRules) -> dict[str, str]:
    """Every alert as a sentence with the minutes of these rules."""
    minutes = minutes_of(rules)
    return {
        code: say() % {"t": duration(minutes[code])} if code in minutes else say()
        for code, say in SAID.items()
    }


def clock_words() -> dict[str, str]:
    """What each running clock counts."""
    return {rule: say() for rule, say in CLOCKS.items()}


def shortcut(urgency: Urgency) -> str:
    """`red` or `amber`, as styles and scripts name it."""
    return "red" if urgency is Urgency.RED else "amber"


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidAlert:
    """One alert of the night in words."""

    is_red: bool
    says: str


def alerts_in_words(night: Night | None, rules: WhelpingRules) -> list[SaidAlert]:
    """The alerts that hold, as the page says them where no script runs."""
    if night is None:
        return []
    said = sentences(rules)
    return [
        SaidAlert(
            is_red=alert.urgency is Urgency.RED,
            says=said[f"{alert.rule}.{shortcut(alert.urgency)}"],
        )
        for alert in night.alerts
    ]
