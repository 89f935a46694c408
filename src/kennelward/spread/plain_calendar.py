"""What the calendar does in a plain run: moves, cleanings, rounds, matings, births."""

from kennelward.spread.keyed import Stream
from kennelward.spread.meeting import sold
from kennelward.spread.model import (
    NEVER,
    Closes,
    Event,
    Happens,
    PlaceKind,
    Policy,
    Rule,
    Scenario,
)
from kennelward.spread.plain_truth import (
    INFECTED,
    SUSCEPTIBLE,
    DogNow,
    PlainTruth,
)

MINUTES = 1440  # of a day; a cleaning's luck is keyed by place and minute


class PlainCalendar(PlainTruth):
    """One run, with the calendar and what a closed or held kennel leaves out of it."""

    def __init__(
        self, scenario: Scenario, policy: Policy, *, seed: int, replicate: int
    ) -> None:
        super().__init__(scenario, policy, seed=seed, replicate=replicate)
        self.rules: tuple[Rule, ...] = policy.ordered
        self.closed = Closes(0)
        self.held = False
        self.logs, self.logs_spread = policy.cleaning_factor, policy.cleaning_spread
        self.keeps = policy.extra_hygiene
        self.sold = sold(scenario.events)
        self.apart_now = [0] * len(policy.rules)
        self.spent = [0.0] * len(policy.rules)

    def _is_apart(self, dog: DogNow) -> bool:
        kind = self.scenario.places[dog.place].kind
        return kind in (PlaceKind.QUARANTINE, PlaceKind.ISOLATION)

    def _apply(self, event: Event, now: float) -> None:
        match event.what:
            case Happens.MOVE:
                dog = self.by_uid[event.a]
                if dog.here and not self.held and not self._is_apart(dog):
                    self._move(dog, event.b, now)
            case Happens.CLEAN:
                self._advance(event.a, now)
                washed = 1.0 if event.b != 0 else self.course.unwashed
                logs = event.x * self.logs * washed
                self._clean(event.a, now, logs=logs, spread=self.logs_spread)
            case Happens.VISIT:
                self._visit(event.a, now)
            case Happens.WASH:
                self._carry(self.load * (event.x * self.keeps))
            case Happens.MATE:
                self._mate(event, now)
            case Happens.BIRTH:
                self._birth(self.by_uid[event.a], now)
            case Happens.LEAVE:
                self._would_leave(self.by_uid[event.a], now)

    def _clean(self, place: int, now: float, *, logs: float, spread: float) -> None:
        """Decimal logs off, drawn anew for each cleaning; the place is up to date."""
        took = logs * self.scenario.places[place].cleaning_works
        if spread > 0:
            luck = self._u(Stream.CLEANING, place, int(now * MINUTES))
            took *= 1.0 + spread * (2.0 * luck - 1.0)
        self._leave_dirt(place, self.dirt[place] * 10.0**-took)

    def _visit(self, place: int, now: float) -> None:
        self._advance(place, now)
        dropped = self.course.staff_drop * self.load
        picked = self.course.staff_pick * self.dirt[place]
        self._leave_dirt(place, self.dirt[place] + (dropped - picked))
        self._carry(self.load + (picked - dropped))

    def _leave_dirt(self, place: int, dirt: float) -> None:
        self.dirt[place] = dirt if dirt >= self.scenario.floor else 0.0

    def _carry(self, load: float) -> None:
        self.load = load if load >= self.scenario.floor else 0.0

    def _mate(self, event: Event, now: float) -> None:
        pair = self.by_uid[event.a], self.by_uid[event.b]
        if not (pair[0].here and pair[1].here) or self.closed & Closes.MATINGS:
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

    # --- coming, going, and going apart ---------------------------------------------

    def _would_leave(self, dog: DogNow, now: float) -> None:
        if not dog.here:
            return
        if dog.uid in self.sold and self.closed & Closes.SALES:
            dog.waits = True
            return
        self._leave(dog, now)

    def _leave(self, dog: DogNow, now: float) -> None:
        self._advance(dog.place, now)
        dog.here = dog.waits = False
        self._no_longer_apart(dog)

    def _no_longer_apart(self, dog: DogNow) -> None:
        if dog.apart_by >= 0:
            self.apart_now[dog.apart_by] -= 1
        dog.apart_by = -1

    def _put_apart(self, dog: DogNow, place: int, now: float, *, rule: int) -> None:
        """Into quarantine or isolation, for the days of this rule."""
        if dog.apart_by >= 0:
            self.apart_now[dog.apart_by] -= 1
        before = dog.release_on if dog.apart_by >= 0 and dog.place == place else 0.0
        dog.release_on = max(now + self.rules[rule].days, before)
        dog.apart_by = rule
        self.apart_now[rule] += 1
        if dog.place != place:
            if not self._is_apart(dog):
                dog.came_from = dog.place
            self._move(dog, place, now)

    def _let_back(self, dog: DogNow, now: float) -> None:
        dog.release_on = NEVER
        self._no_longer_apart(dog)
        if self._is_apart(dog):
            self._move(dog, self.given[dog.index].home, now)


def is_infected(dog: DogNow) -> bool:
    """True of a dog that is here and infected."""
    return dog.here and dog.status == INFECTED
