"""Whelping night: what happened, how long ago, and when the vet is called.

Thresholds take the safe side of published lists that differ; a vet should approve them
for the kennel. Never a medicine, never an instruction to pull or to wait on.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum


class Sign(StrEnum):
    """What the person at the box sees."""

    TEMPERATURE_DROP = "temperature-drop"
    STAGE_ONE = "stage-one"  # restless, panting, nesting, no straining
    HARD_STRAINING = "hard-straining"
    WEAK_STRAINING = "weak-straining"
    RESTING = "resting"
    GREEN_DISCHARGE = "green-discharge"
    HEAVY_BLEEDING = "heavy-bleeding"
    PUPPY_STUCK = "puppy-stuck"
    COLLAPSE = "collapse"
    PUPPY = "puppy"  # born, alive or not
    PLACENTA = "placenta"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One thing seen, and when (aware)."""

    at: datetime
    sign: Sign


class Urgency(StrEnum):
    """What to do about it."""

    AMBER = "call and ask"
    RED = "call the vet now"


@dataclass(frozen=True, slots=True, kw_only=True)
class Alert:
    """A rule that holds now, or will hold at `at` if nothing changes."""

    rule: str
    urgency: Urgency
    at: datetime  # when it began to hold, or will
    since: datetime  # the start of the clock


@dataclass(frozen=True, slots=True, kw_only=True)
class WhelpingRules:
    """Minutes until the vet is asked (amber) or called (red); named as in the handbook."""

    hard_straining_minutes: float
    weak_straining_amber_minutes: float
    weak_straining_red_minutes: float
    gap_amber_minutes: float
    gap_red_minutes: float
    stage_one_amber_minutes: float
    stage_one_red_minutes: float
    after_drop_red_minutes: float
    long_amber_minutes: float


AT_ONCE = {
    Sign.HEAVY_BLEEDING: "heavy-bleeding",
    Sign.PUPPY_STUCK: "puppy-stuck",
    Sign.COLLAPSE: "collapse",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Night:
    """How the night stands."""

    puppies: int
    placentas: int
    last_puppy_at: datetime | None
    alerts: tuple[Alert, ...]  # hold now, red first
    coming: tuple[Alert, ...]  # will hold later if nothing changes, soonest first


def night(
    seen: Sequence[Seen],
    *,
    now: datetime,
    rules: WhelpingRules,
    more_expected: bool = True,
) -> Night:
    """Alerts now and clocks running, from what was seen up to `now`.

    `more_expected`: puppies are thought to be left. Times across midnight and clock
    changes are right because moments carry their zone.
    """
    past = sorted((s for s in seen if s.at <= now), key=lambda s: s.at)
    puppies = [s for s in past if s.sign is Sign.PUPPY]
    last_puppy = puppies[-1].at if puppies else None
    found = [
        *_at_once(past, first_puppy=puppies[0].at if puppies else None),
        *_straining(past, rules=rules),
        *_stages(past, any_puppy=bool(puppies), rules=rules),
    ]
    if last_puppy is not None and more_expected:
        found.append(_clock("gap", Urgency.AMBER, last_puppy, rules.gap_amber_minutes))
        found.append(_clock("gap", Urgency.RED, last_puppy, rules.gap_red_minutes))
    if more_expected:
        found.extend(_long(past, rules=rules))
    holds = [alert for alert in found if alert.at <= now]
    return Night(
        puppies=len(puppies),
        placentas=sum(s.sign is Sign.PLACENTA for s in past),
        last_puppy_at=last_puppy,
        alerts=_worst_each(holds),
        coming=tuple(sorted((a for a in found if a.at > now), key=lambda a: a.at)),
    )


def _worst_each(holds: Sequence[Alert]) -> tuple[Alert, ...]:
    """One alert a rule: red before amber, then the longest running."""
    worst: dict[str, Alert] = {}
    for alert in sorted(holds, key=lambda a: (a.urgency is not Urgency.RED, a.at)):
        worst.setdefault(alert.rule, alert)
    return tuple(worst.values())


def _clock(rule: str, urgency: Urgency, since: datetime, minutes: float) -> Alert:
    return Alert(
        rule=rule, urgency=urgency, at=since + timedelta(minutes=minutes), since=since
    )


def _at_once(past: Sequence[Seen], *, first_puppy: datetime | None) -> list[Alert]:
    found = [
        Alert(rule=AT_ONCE[s.sign], urgency=Urgency.RED, at=s.at, since=s.at)
        for s in past
        if s.sign in AT_ONCE
    ]
    # Green before the first puppy is an emergency; after puppies have begun it is normal.
    found.extend(
        Alert(rule="green-before-puppy", urgency=Urgency.RED, at=s.at, since=s.at)
        for s in past
        if s.sign is Sign.GREEN_DISCHARGE
        and (first_puppy is None or s.at < first_puppy)
    )
    return found


def _straining(past: Sequence[Seen], *, rules: WhelpingRules) -> list[Alert]:
    """The clock of the present run of straining; a puppy or rest stops it."""
    began: datetime | None = None
    kind = Sign.RESTING
    for s in past:
        if s.sign in (Sign.PUPPY, Sign.RESTING):
            began, kind = None, Sign.RESTING
        elif (
            s.sign in (Sign.HARD_STRAINING, Sign.WEAK_STRAINING) and s.sign is not kind
        ):
            began, kind = s.at, s.sign
    if began is None:
        return []
    if kind is Sign.HARD_STRAINING:
        return [
            _clock("hard-straining", Urgency.RED, began, rules.hard_straining_minutes)
        ]
    return [
        _clock(
            "weak-straining", Urgency.AMBER, began, rules.weak_straining_amber_minutes
        ),
        _clock("weak-straining", Urgency.RED, began, rules.weak_straining_red_minutes),
    ]


def _long(past: Sequence[Seen], *, rules: WhelpingRules) -> list[Alert]:
    """The clock of the whole labour, from the first straining or puppy."""
    signs = (Sign.HARD_STRAINING, Sign.WEAK_STRAINING, Sign.PUPPY)
    began = next((s.at for s in past if s.sign in signs), None)
    if began is None:
        return []
    return [_clock("long", Urgency.AMBER, began, rules.long_amber_minutes)]


def _stages(
    past: Sequence[Seen], *, any_puppy: bool, rules: WhelpingRules
) -> list[Alert]:
    if any_puppy:
        return []
    found = []
    straining = (Sign.HARD_STRAINING, Sign.WEAK_STRAINING)
    in_labour = any(s.sign in straining for s in past)
    stage_one = next((s.at for s in past if s.sign is Sign.STAGE_ONE), None)
    if stage_one is not None and not in_labour:
        found.append(
            _clock("stage-one", Urgency.AMBER, stage_one, rules.stage_one_amber_minutes)
        )
        found.append(
            _clock("stage-one", Urgency.RED, stage_one, rules.stage_one_red_minutes)
        )
    drop = next((s.at for s in past if s.sign is Sign.TEMPERATURE_DROP), None)
    if drop is not None and not in_labour and stage_one is None:
        found.append(
            _clock("after-drop", Urgency.RED, drop, rules.after_drop_red_minutes)
        )
    return found
