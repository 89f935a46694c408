"""The truth of a plain run: infections, contamination and the calendar.

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
    Happens,
    PlaceKind,
    Policy,
    Scenario,
)
from kennelward.spread.tables import detectability, from_table, normal

FLOOR = 1e-6  # contamination, or load of staff, below this is none
DEATH_AFTER_SIGNS = 4.0  # days; four of five deaths fall in the first five days
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
    starts: float = NEVER
    full_until: float = NEVER
    ends: float = NEVER
    signs_at: float = NEVER
    noticed_at: float = NEVER
    dies: bool = False
    known: bool = False
    act_on: float = NEVER
    release_on: float = NEVER
    test_on: list[float] = field(default_factory=lambda: [NEVER] * 3)
    result_on: float = NEVER
    result: bool = False


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
        self.closed = False
        self.noticed_on = NEVER
        self.cases = self.carried = self.deaths = self.tests = 0
        self.sick_days = self.apart_days = 0.0
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
            DogNow(index=i, uid=dog.uid, place=dog.home, here=False)
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
        again = self.course.again
        return given.susceptibility * (again if dog.spell > 0 else 1.0)

    def _new_spell(self, dog: DogNow, now: float) -> None:
        """A fresh resistance, on top of what the place has already done."""
        dog.status = SUSCEPTIBLE
        dog.sigma = self._sigma(dog, now)
        resistance = -log(self._u(Stream.RESISTANCE, dog.uid, dog.spell))
        dog.left = resistance / dog.sigma if dog.sigma else NEVER
        dog.entered = self.hazard[dog.place]

    def _enter(self, dog: DogNow, now: float, place: int) -> None:
        self._advance(place, now)
        dog.here, dog.place = True, place
        chance = self.given[dog.index].chance_infected
        if chance > 0 and self._u(Stream.CARRIED_IN, dog.uid, 0) < chance:
            self.carried += 1
            since = self._u(Stream.CARRIED_SINCE, dog.uid, 0)
            self._infect(dog, now - self.course.carried_days * since)
        else:
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

    def _advance_all(self, now: float) -> None:
        for place in range(len(self.dirt)):
            self._advance(place, now)

    def _advance(self, place: int, now: float) -> None:
        """Shedding, contamination and hazard of a place, from its last cut to `now`."""
        start = self.since[place]
        length = now - start
        if length <= 0:
            return
        self.since[place] = now
        shed = 0.0
        for dog in self.dogs:
            if dog.here and dog.place == place and dog.status == INFECTED:
                full = min(dog.full_until, now) - max(dog.starts, start)
                late = min(dog.ends, now) - max(dog.full_until, start)
                shed += max(full, 0.0) + self.course.tail * max(late, 0.0)
        if self.dirt[place] < FLOOR and shed == 0:
            self.dirt[place] = 0.0
            return
        self._meet(place, shed, start, length)

    def _meet(self, place: int, shed: float, start: float, length: float) -> None:
        rate = self.course.deposit * shed / length
        dirt = self.dirt[place]
        decay = self.scenario.places[place].decay * self.decay
        kept = exp(-decay * length)
        gone = (1.0 - kept) / decay if decay > 0 else length
        waiting = (length - gone) / decay if decay > 0 else length * length / 2
        self.dirt[place] = dirt * kept + rate * gone
        hazard = self.direct * shed + self.from_place * (dirt * gone + rate * waiting)
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

    # --- the calendar -------------------------------------------------------------

    def _is_apart(self, dog: DogNow) -> bool:
        kind = self.scenario.places[dog.place].kind
        return kind in (PlaceKind.QUARANTINE, PlaceKind.ISOLATION)

    def _apply(self, event: Event, now: float) -> None:
        match event.what:
            case Happens.MOVE:
                dog = self.by_uid[event.a]
                if dog.here and not self._is_apart(dog):
                    self._move(dog, event.b, now)
            case Happens.CLEAN:
                self._advance(event.a, now)
                works = self.scenario.places[event.a].cleaning_works
                logs = event.x * works * self.policy.cleaning_factor
                self._leave_dirt(event.a, self.dirt[event.a] * 10.0**-logs)
            case Happens.VISIT:
                self._visit(event.a, now)
            case Happens.WASH:
                self._carry(self.load * (event.x * self.policy.extra_hygiene))
            case Happens.MATE:
                self._mate(event, now)
            case Happens.BIRTH:
                self._birth(self.by_uid[event.a], now)
            case Happens.LEAVE:
                dog = self.by_uid[event.a]
                if dog.here:
                    self._advance(dog.place, now)
                    dog.here = False

    def _visit(self, place: int, now: float) -> None:
        self._advance(place, now)
        dropped = self.course.staff_drop * self.load
        picked = self.course.staff_pick * self.dirt[place]
        self._leave_dirt(place, self.dirt[place] + (dropped - picked))
        self._carry(self.load + (picked - dropped))

    def _leave_dirt(self, place: int, dirt: float) -> None:
        self.dirt[place] = dirt if dirt >= FLOOR else 0.0

    def _carry(self, load: float) -> None:
        self.load = load if load >= FLOOR else 0.0

    def _sheds(self, dog: DogNow, now: float) -> bool:
        return dog.here and dog.status == INFECTED and dog.starts <= now < dog.ends

    def _mate(self, event: Event, now: float) -> None:
        pair = self.by_uid[event.a], self.by_uid[event.b]
        if not (pair[0].here and pair[1].here):
            return
        for dog in pair:
            self._advance(dog.place, now)
        for one, two in (pair, pair[::-1]):
            if not self._sheds(two, now) or one.status != SUSCEPTIBLE:
                continue
            if self._u(Stream.MATING, one.uid, int(now)) < self.course.venereal:
                self._count_case(one, now)
                self._infect(one, now)
                return

    def _birth(self, dam: DogNow, now: float) -> None:
        if not self._sheds(dam, now):
            return
        self._advance(dam.place, now)
        self.dirt[dam.place] += self.course.birth_pulse
        for dog in self.dogs:
            exposed = dog.here and dog.place == dam.place
            if not exposed or dog.status != SUSCEPTIBLE:
                continue
            if self._u(Stream.BIRTH, dog.uid, int(now)) < self.course.birth_exposure:
                self._count_case(dog, now)
                self._infect(dog, now)


def weeks(days: int) -> int:
    """Weeks in a run, the last one perhaps short."""
    return (days + 6) // 7


def calendar(events: tuple[Event, ...]) -> list[Event]:
    """Events in the order they happen; equal times by kind, then by who."""
    return sorted(events, key=lambda e: (e.at, e.what, e.a, e.b))
