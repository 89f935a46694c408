"""The truth of a plain run: infections and contamination.

Each place is followed on its own from one of its cut points to the next: the start of a
day, a visit, a cleaning, a dog that comes or goes. In between its hazard is integrated
exactly, and a dog is infected when what it has met exceeds its resistance, one draw from
Exp(1) a susceptible spell (Sellke 1983, J Applied Probability 20:390-394). A dog infected
between two cut points of its place cannot shed before the second.
"""

from dataclasses import dataclass, field
from math import ceil, exp, floor, log

from kennelward.spread.keyed import Stream, uniform
from kennelward.spread.model import (
    NEVER,
    Course,
    Event,
    Policy,
    Scenario,
)
from kennelward.spread.tables import detectability, from_table, normal

DEATH_AFTER_SIGNS = 4.0  # days; four of five deaths fall in the first five days
SPELLS = 256  # of one dog, told apart in the key of its blocks of shedding
SUSCEPTIBLE, INFECTED, IMMUNE, GONE = range(4)


@dataclass(slots=True)
class DogNow:
    """One dog as it is now."""

    index: int
    uid: int
    place: int
    here: bool
    status: int = SUSCEPTIBLE
    spell: int = 0
    sigma: float = 1.0
    left: float = NEVER  # resistance left when it came into its place
    entered: float = 0.0  # the place's hazard then
    infected_at: float = NEVER
    let_in_on: float = NEVER  # when it meets the infection outside the log
    starts: float = NEVER
    full_until: float = NEVER
    ends: float = NEVER
    signs_at: float = NEVER
    noticed_at: float = NEVER
    dies: bool = False
    known: bool = False
    known_on: float = NEVER  # the last time that it became known
    due: list[float] = field(default_factory=list)  # by rule, when it is to be done
    apart_by: int = -1  # the rule that put it apart
    came_from: int = -1  # the place it was in before it went apart
    release_on: float = NEVER
    result_on: float = NEVER
    result: bool = False
    vaccine_on: float = NEVER  # when a vaccination begins to protect
    vaccinated: bool = False
    waits: bool = False  # would have left, but sales are closed


class PlainTruth:
    """One run: who is infected, what is contaminated, what the calendar does."""

    def __init__(
        self, scenario: Scenario, policy: Policy, *, seed: int, replicate: int
    ) -> None:
        self.scenario, self.policy = scenario, policy
        self.course: Course = scenario.course
        self.seed, self.replicate = seed, replicate
        count = len(scenario.places)
        self.hazard = [0.0] * count  # of each place, cumulative
        self.since = [0.0] * count  # each place is known up to here
        dirt = list(scenario.start_contamination) + [0.0] * count
        self.dirt = dirt[:count]
        self.load = 0.0
        self.today = 0
        self.noticed_on = NEVER
        self.cases = self.carried = self.deaths = self.tests = 0
        self.visits = self.refused = self.vaccinated = self.treated = 0
        self.sick_days = self.apart_days = self.closed_days = 0.0
        self.litters: set[int] = set()
        self.weekly = [0] * weeks(scenario.days)
        self.direct = self.course.direct * self._vary(
            Stream.VARY_DIRECT, self.course.vary_direct
        )
        self.from_place = self.course.from_place * self._vary(
            Stream.VARY_PLACE, self.course.vary_place
        )
        self.decay = self._vary(Stream.VARY_DECAY, self.course.vary_decay)
        ordered = sorted(scenario.dogs, key=lambda dog: dog.uid)
        self.given = ordered
        self.dogs = [
            DogNow(
                index=i,
                uid=dog.uid,
                place=dog.home,
                here=False,
                due=[NEVER] * len(policy.rules),
            )
            for i, dog in enumerate(ordered)
        ]
        self.by_uid = {dog.uid: dog for dog in self.dogs}
        self.effect = [
            detectability(mean=mean, correlation=scenario.test.correlation)
            for mean in (
                scenario.test.sensitivity_silent,
                scenario.test.sensitivity_sick,
            )
        ]

    # --- luck ---------------------------------------------------------------------

    def _u(self, stream: Stream, who: int, which: int) -> float:
        return uniform(
            seed=self.seed,
            replicate=self.replicate,
            stream=stream,
            who=who,
            which=which,
        )

    def _vary(self, stream: Stream, sd: float) -> float:
        if sd == 0:
            return 1.0
        return exp(sd * normal(self._u(stream, 0, 0)))

    # --- truth --------------------------------------------------------------------

    def _sigma(self, dog: DogNow, now: float) -> float:
        given = self.given[dog.index]
        if now < given.protected_until:
            return 0.0
        sigma = given.susceptibility
        if dog.vaccinated:
            sigma = min(sigma, self.course.vaccine_keeps)
        return sigma * (self.course.again if dog.spell > 0 else 1.0)

    def _new_spell(self, dog: DogNow, now: float) -> None:
        """A fresh resistance, on top of what the place has already done."""
        dog.status = SUSCEPTIBLE
        dog.sigma = self._sigma(dog, now)
        resistance = -log(self._u(Stream.RESISTANCE, dog.uid, dog.spell))
        dog.left = resistance / dog.sigma if dog.sigma else NEVER
        dog.entered = self.hazard[dog.place]

    def _enter(self, dog: DogNow, now: float, place: int) -> None:
        self._advance(place, now)
        dog.here, dog.place, dog.came_from = True, place, place
        takes = self.course.takes_on(self.given[dog.index])
        if takes <= now:
            dog.vaccinated = True
        else:
            dog.vaccine_on = takes
        chance = self.given[dog.index].chance_infected
        if chance > 0 and self._u(Stream.CARRIED_IN, dog.uid, 0) < chance:
            self.carried += 1
            since = self._u(Stream.CARRIED_SINCE, dog.uid, 0)
            self._infect(dog, now - self.course.carried_days * since)
        else:
            rate = self.given[dog.index].from_outside
            if rate > 0:
                luck = self._u(Stream.LET_IN, dog.uid, 0)
                dog.let_in_on = now - log(luck) / rate
            self._new_spell(dog, now)

    def _infect(self, dog: DogNow, at: float) -> None:
        course, uid, spell = self.course, dog.uid, dog.spell
        dog.status, dog.infected_at, dog.left = INFECTED, at, NEVER
        dog.starts = at + from_table(
            course.latency, self._u(Stream.LATENCY, uid, spell)
        )
        length = from_table(course.shedding, self._u(Stream.SHEDDING, uid, spell))
        dog.full_until = dog.starts + length * course.full_share
        dog.ends = dog.starts + length
        if course.is_chronic:
            dog.full_until = dog.ends = NEVER
        dog.signs_at = dog.noticed_at = NEVER
        dog.dies = False
        if self._u(Stream.CLINICAL, uid, spell) < course.chance_clinical:
            delay = from_table(
                course.sign_delay, self._u(Stream.SIGN_DELAY, uid, spell)
            )
            dog.signs_at = dog.starts + delay
            dog.dies = self._u(Stream.DEATH, uid, spell) < course.chance_death
            if dog.dies:
                dog.ends = dog.signs_at + DEATH_AFTER_SIGNS
                dog.full_until = min(dog.full_until, dog.ends)
            wait = self._days_unnoticed(uid, spell)
            noticed = ceil(dog.signs_at) + wait
            dog.noticed_at = noticed if noticed < dog.ends else NEVER

    def _days_unnoticed(self, uid: int, spell: int) -> float:
        notice = self.course.notice
        if notice >= 1:
            return 0.0
        if notice <= 0:
            return NEVER
        return float(floor(log(self._u(Stream.NOTICE, uid, spell)) / log(1 - notice)))

    def _on(self, dog: DogNow, day: int) -> float:
        """1 through a block of days in which it sheds, 0 through one in which not."""
        course = self.course
        if course.on_share >= 1:
            return 1.0
        block = day // course.on_days
        luck = self._u(Stream.SHEDS, dog.uid, block * SPELLS + dog.spell % SPELLS)
        return 1.0 if luck < course.on_share else 0.0

    def _advance_all(self, now: float) -> None:
        if self.course.from_air > 0:
            self._advance_together(now)
            return
        for place in range(len(self.dirt)):
            self._advance(place, now)

    def _advance_together(self, now: float) -> None:
        """Air joins the places: all have one cut, and shed before anybody is infected."""
        start = self.since[0]
        if now <= start:
            return
        shed = [self._shed(place, start, now) for place in range(len(self.dirt))]
        for place, held in enumerate(self.scenario.places):
            self.since[place] = now
            air = 0.0
            for other in held.near:
                air += shed[other]
            self._meet(place, shed[place], air, start, now - start)

    def _advance(self, place: int, now: float) -> None:
        """Shedding, contamination and hazard of a place, from its last cut to `now`."""
        if self.course.from_air > 0:
            self._advance_together(now)
            return
        start = self.since[place]
        if now <= start:
            return
        self.since[place] = now
        self._meet(place, self._shed(place, start, now), 0.0, start, now - start)

    def _shed(self, place: int, start: float, now: float) -> float:
        """What is shed there, in days of full shedding; never past the end of a day."""
        shed = 0.0
        for dog in self.dogs:
            if dog.here and dog.place == place and dog.status == INFECTED:
                full = min(dog.full_until, now) - max(dog.starts, start)
                late = min(dog.ends, now) - max(dog.full_until, start)
                amount = max(full, 0.0) + self.course.tail * max(late, 0.0)
                shed += amount * self._on(dog, int(start))
        return shed

    def _meet(
        self, place: int, shed: float, air: float, start: float, length: float
    ) -> None:
        if self.dirt[place] < self.scenario.floor and shed == 0:
            self.dirt[place] = 0.0
            if air == 0:
                return
        rate = self.course.deposit * shed / length
        dirt = self.dirt[place]
        decay = self.scenario.places[place].decay * self.decay
        kept = exp(-decay * length)
        gone = (1.0 - kept) / decay if decay > 0 else length
        waiting = (length - gone) / decay if decay > 0 else length * length / 2
        self.dirt[place] = dirt * kept + rate * gone
        met = dirt * gone + rate * waiting
        hazard = self.direct * shed + self.from_place * met + self.course.from_air * air
        if hazard <= 0:
            return
        before = self.hazard[place]
        after = before + hazard
        self.hazard[place] = after
        for dog in self.dogs:
            if dog.here and dog.place == place and dog.entered + dog.left <= after:
                share = (dog.entered + dog.left - before) / hazard
                self._count_case(dog, start + length * share)
                self._infect(dog, start + length * share)

    def _count_case(self, dog: DogNow, at: float) -> None:
        self.cases += 1
        self.weekly[min(int(at) // 7, len(self.weekly) - 1)] += 1
        litter = self.given[dog.index].litter
        if litter >= 0:
            self.litters.add(litter)

    def _move(self, dog: DogNow, place: int, now: float) -> None:
        self._advance(dog.place, now)
        self._advance(place, now)
        if dog.left < NEVER:
            dog.left -= self.hazard[dog.place] - dog.entered
        dog.entered = self.hazard[place]
        dog.place = place

    def _sheds(self, dog: DogNow, now: float) -> bool:
        sheds = dog.here and dog.status == INFECTED and dog.starts <= now < dog.ends
        return sheds and self._on(dog, int(now)) > 0


def weeks(days: int) -> int:
    """Weeks in a run, the last one perhaps short."""
    return (days + 6) // 7


def calendar(events: tuple[Event, ...]) -> list[Event]:
    """Events in the order they happen; equal times by kind, then by who."""
    return sorted(events, key=lambda e: (e.at, e.what, e.a, e.b))
