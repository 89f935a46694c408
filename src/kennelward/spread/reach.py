"""Who could have infected whom: paths through shared places that respect time.

A contact after an infection counts, one before it never does. A place stays
contaminated for a while after an infected dog has left, until it is cleaned well enough.
This is a hard filter: it says what is possible, never how likely.
"""

import heapq
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from kennelward.terms import BadInput, check_range


@dataclass(frozen=True, slots=True, kw_only=True)
class Presence:
    """A dog in a place from `since` to `until`, in days on one clock (inf: still there)."""

    dog: str
    place: str
    since: float
    until: float = inf
    entry: str = ""  # what to show as the reason

    def __post_init__(self) -> None:
        if not self.until >= self.since:
            raise BadInput(
                f"{self.dog} leaves {self.place} on day {self.until:g}, before it came "
                f"on day {self.since:g}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectiveCleaning:
    """A cleaning that ends the contamination of a place."""

    place: str
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """How an infection could have come to a dog: from whom, where and when."""

    dog: str
    by: str
    place: str
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactLog:
    """Presences and cleanings of a kennel, and how long places stay contaminated."""

    presences: tuple[Presence, ...]
    cleanings: tuple[EffectiveCleaning, ...] = ()
    survival_days: float = 0.0

    def __post_init__(self) -> None:
        check_range("survival", self.survival_days, low=0, high=3700, unit="days")

    def contaminated_until(self, presence: Presence) -> float:
        """When a place is harmless again after an infected dog's presence in it."""
        end = presence.until + self.survival_days
        later = [
            c.at
            for c in self.cleanings
            if c.place == presence.place and presence.until <= c.at < end
        ]
        return min(later, default=end)


def could_be_infected(
    log: ContactLog, *, source: str, since: float, until: float = inf
) -> Mapping[str, Step]:
    """Dogs that `source`, infected at `since`, could have infected by `until`.

    One step a dog: the earliest possible infection. The source is not in the result.
    """
    by_dog, by_place = _indexed(log.presences)
    earliest: dict[str, float] = {source: since}
    steps: dict[str, Step] = {}
    queue = [(since, source)]
    while queue:
        at, dog = heapq.heappop(queue)
        if at > earliest[dog]:
            continue
        for presence in by_dog[dog]:
            if presence.until < at:
                continue
            begins = max(at, presence.since)
            ends = log.contaminated_until(presence)
            for other in by_place[presence.place]:
                caught = max(begins, other.since)
                if other.dog == dog or caught > min(ends, other.until, until):
                    continue
                if caught < earliest.get(other.dog, inf):
                    earliest[other.dog] = caught
                    steps[other.dog] = Step(
                        dog=other.dog, by=dog, place=presence.place, at=caught
                    )
                    heapq.heappush(queue, (caught, other.dog))
    steps.pop(source, None)
    return steps


def could_be_source(
    log: ContactLog, *, found_in: str, at: float, since: float = -inf
) -> Mapping[str, float]:
    """Dogs whose infection could have reached `found_in` by `at`.

    Gives for each the latest moment at which it must have been infected to do so.
    `since`: nothing before it counts. `found_in` itself is not in the result.
    """
    by_dog, by_place = _indexed(log.presences)
    latest: dict[str, float] = {found_in: at}
    queue = [(-at, found_in)]
    while queue:
        minus, dog = heapq.heappop(queue)
        by = -minus
        if by < latest[dog]:
            continue
        for presence in by_dog[dog]:
            if presence.since > by:
                continue
            for other in by_place[presence.place]:
                if other.dog == dog:
                    continue
                # The dog must be there at some moment up to `by` while the place is
                # infectious from the other's stay.
                last = min(by, presence.until)
                ends = log.contaminated_until(other)
                if other.since > last or presence.since > ends:
                    continue
                needed = min(last, other.until)
                if needed >= since and needed > latest.get(other.dog, -inf):
                    latest[other.dog] = needed
                    heapq.heappush(queue, (-needed, other.dog))
    latest.pop(found_in)
    return latest


def _indexed(
    presences: Iterable[Presence],
) -> tuple[dict[str, list[Presence]], dict[str, list[Presence]]]:
    by_dog: dict[str, list[Presence]] = defaultdict(list)
    by_place: dict[str, list[Presence]] = defaultdict(list)
    for presence in presences:
        by_dog[presence.dog].append(presence)
        by_place[presence.place].append(presence)
    return by_dog, by_place


def path_to(steps: Mapping[str, Step], dog: str) -> Sequence[Step]:
    """The steps by which the infection could have come to `dog`, first one first."""
    path: list[Step] = []
    while dog in steps:
        path.append(steps[dog])
        dog = steps[dog].by
    return path[::-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogProblem:
    """Something in the log that cannot be: which entries, and what is wrong."""

    entries: tuple[str, ...]
    says: str


def log_problems(presences: Sequence[Presence]) -> tuple[LogProblem, ...]:
    """Dogs in two places at once. Tracing goes on without the later entry."""
    problems = []
    by_dog, _ = _indexed(presences)
    for dog, stays in by_dog.items():
        ordered = sorted(stays, key=lambda p: (p.since, p.until))
        for first, second in pairwise(ordered):
            if second.since < first.until and second.place != first.place:
                problems.append(
                    LogProblem(
                        entries=(first.entry, second.entry),
                        says=(
                            f"{dog} is in {first.place} and in {second.place} on day "
                            f"{second.since:g}"
                        ),
                    )
                )
    return tuple(problems)
