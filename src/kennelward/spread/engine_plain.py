"""The slow, plain simulator: every dog, every place, every segment, nothing skipped.

The fast engine must give the same outcome in every run; this one is written to be read.
"""

from math import ceil

from kennelward.spread.keyed import Stream
from kennelward.spread.model import (
    NEVER,
    Action,
    Closes,
    Dog,
    Outcome,
    Policy,
    Scenario,
    Trigger,
)
from kennelward.spread.plain_rules import PlainRules
from kennelward.spread.plain_truth import (
    GONE,
    IMMUNE,
    INFECTED,
    SUSCEPTIBLE,
    DogNow,
    calendar,
)
from kennelward.spread.tables import from_table


class PlainRun(PlainRules):
    """One run of a scenario under a policy, with what staff see and do."""

    def outcome(self) -> Outcome:
        """Run to the end."""
        for dog, given in zip(self.dogs, self.given, strict=True):
            if given.arrives_on < 0:
                self._enter(dog, 0.0, given.home)
        events = calendar(self.scenario.events)
        at = 0
        for day in range(self.scenario.days):
            self._advance_all(float(day))
            self._daily(float(day))
            while at < len(events) and events[at].at < day + 1:
                self._apply(events[at], events[at].at)
                at += 1
        self._advance_all(float(self.scenario.days))
        return self._outcome()

    def _outcome(self) -> Outcome:
        policy = self.policy
        cost = (
            self.tests * self.scenario.test.price
            + self.apart_days * policy.price_apart_day
            + self.sick_days * policy.price_sick_day
            + self.deaths * policy.price_death
        )
        return Outcome(
            cases=self.cases,
            carried_in=self.carried,
            sick_days=self.sick_days,
            apart_days=self.apart_days,
            deaths=self.deaths,
            litters=len(self.litters),
            tests=self.tests,
            cost=cost,
            noticed_on=self.noticed_on,
            infected_at_end=sum(
                dog.here and dog.status == INFECTED for dog in self.dogs
            ),
            closed_days=self.closed_days,
            visits=self.visits,
            refused=self.refused,
            vaccinated=self.vaccinated,
            treated=self.treated,
            spent=tuple(
                self.spent[policy.order.index(k)] for k in range(len(policy.rules))
            ),
        )

    # --- once a day: what staff see and do ----------------------------------------

    def _daily(self, now: float) -> None:
        self.today = 0
        self._switch(now)
        self._arrivals(now)
        self._let_in(now)
        for dog in self.dogs:
            if dog.here:
                self._age(dog, now)
        for dog in self.dogs:
            if dog.here:
                self._count_day(dog, now)
        for number, apart in enumerate(self.apart_now):
            self.spent[number] += apart
        self._count_switches(now)
        for dog in self.dogs:
            if dog.here:
                self._notice(dog, now)
        self._rounds(now)
        for dog in self.dogs:
            if dog.here:
                self._sample(dog, now)
        for dog in self.dogs:
            if dog.here:
                self._act(dog, now)

    def _arrivals(self, now: float) -> None:
        for dog, given in zip(self.dogs, self.given, strict=True):
            if given.arrives_on < 0 or ceil(given.arrives_on) != now:
                continue
            if given.is_born:
                self._enter(dog, now, given.home)
                continue
            gate = Closes.VISITS if given.is_visitor else Closes.ARRIVALS
            if self.closed & gate:
                self.refused += 1
            else:
                self._come(dog, given, now)

    def _come(self, dog: DogNow, given: Dog, now: float) -> None:
        """By the gate: perhaps tested there, perhaps to quarantine."""
        trigger = Trigger.VISIT if given.is_visitor else Trigger.ARRIVAL
        apart, tested = -1, -1
        for number, rule in enumerate(self.rules):
            if rule.trigger is trigger and rule.action is Action.QUARANTINE:
                apart = number
            if rule.trigger is trigger and rule.before:
                tested = number
        if self.scenario.quarantine_place < 0:
            apart = -1
        place = given.home if apart < 0 else self.scenario.quarantine_place
        self._enter(dog, now, place)
        if tested >= 0:
            self.spent[tested] += 1
            self.tests += 1
            luck = self._u(Stream.TEST, dog.uid, int(now))
            if luck < self._chance_positive(dog, now):
                self.refused += 1
                self.carried -= dog.status == INFECTED
                self._leave(dog, now)
                return
        self.visits += given.is_visitor
        if apart >= 0:
            dog.came_from = given.home
            self._put_apart(dog, place, now, rule=apart)
        self._fire(trigger, dog, now)

    def _let_in(self, now: float) -> None:
        """Dogs that met the infection outside the log since yesterday."""
        for dog in self.dogs:
            if dog.here and dog.let_in_on <= now:
                at, dog.let_in_on = dog.let_in_on, NEVER
                if dog.status == SUSCEPTIBLE:
                    self.carried += 1
                    self._infect(dog, at)

    def _age(self, dog: DogNow, now: float) -> None:
        """Vaccines take, dogs recover, die, lose protection."""
        if dog.vaccine_on <= now:
            self._vaccine_takes(dog, now)
        if dog.status == INFECTED and dog.ends <= now:
            if dog.dies:
                self.deaths += 1
                dog.here, dog.status = False, GONE
                self._no_longer_apart(dog)
            elif self.course.again < 0:
                dog.status = IMMUNE
            else:
                dog.spell += 1
                dog.known = False
                self._new_spell(dog, now)
        elif (
            dog.status == SUSCEPTIBLE
            and dog.sigma == 0
            and self.given[dog.index].protected_until <= now
        ):
            self._new_spell(dog, now)

    def _vaccine_takes(self, dog: DogNow, now: float) -> None:
        """What is left of its resistance counts for more from here."""
        dog.vaccine_on, dog.vaccinated = NEVER, True
        if dog.status != SUSCEPTIBLE or dog.sigma == 0:
            return
        sigma, hazard = self._sigma(dog, now), self.hazard[dog.place]
        left = (dog.left - (hazard - dog.entered)) * dog.sigma
        dog.left = left / sigma if sigma > 0 else NEVER
        dog.entered, dog.sigma = hazard, sigma

    def _count_day(self, dog: DogNow, now: float) -> None:
        if dog.status == INFECTED and dog.signs_at <= now:
            self.sick_days += 1
        if self._is_apart(dog):
            self.apart_days += 1

    def _notice(self, dog: DogNow, now: float) -> None:
        """Signs noticed."""
        if dog.status != INFECTED or dog.noticed_at > now:
            return
        dog.noticed_at = NEVER
        if not dog.known:
            self._case_known(dog, now)
        self._fire(Trigger.SIGNS, dog, now)

    def _sample(self, dog: DogNow, now: float) -> None:
        """Tests taken, results back."""
        for number, rule in enumerate(self.rules):
            if rule.action is Action.TEST and dog.due[number] <= now:
                self._test(dog, number, now)
        if dog.result_on <= now:
            dog.result_on = NEVER
            if dog.result:
                self.positives += 1
                if not dog.known:
                    self._case_known(dog, now)
                self._fire(Trigger.POSITIVE, dog, now)

    def _test(self, dog: DogNow, number: int, now: float) -> None:
        """Where a result is awaited, that one answers; over the day's limit, tomorrow."""
        if dog.result_on < NEVER:
            dog.due[number] = NEVER
            return
        if 0 < self.policy.tests_a_day <= self.today:
            return
        dog.due[number] = NEVER
        self.today += 1
        self.tests += 1
        self.spent[number] += 1
        luck = self._u(Stream.TEST, dog.uid, int(now))
        dog.result = luck < self._chance_positive(dog, now)
        dog.result_on = now + self.scenario.test.delay_days

    def _case_known(self, dog: DogNow, now: float) -> None:
        dog.known, dog.known_on = True, NEVER
        self.noticed_on = min(self.noticed_on, now)
        for number, rule in enumerate(self.rules):
            if rule.trigger is not Trigger.CASES:
                continue
            before = sum(
                other.known_on < NEVER and other.known_on > now - rule.within
                for other in self.dogs
            )
            if before + 1 == rule.cases:
                self._set_off(number, dog, now)
        dog.known_on = now
        if dog.here and dog.place == self.scenario.quarantine_place:
            self._extend(now)

    def _extend(self, now: float) -> None:
        """A case in quarantine: its mates there stay longer, where a rule says so."""
        for dog in self.dogs:
            inside = dog.here and dog.place == self.scenario.quarantine_place
            if inside and dog.apart_by >= 0:
                extend = self.rules[dog.apart_by].extend
                if extend > 0:
                    dog.release_on = max(dog.release_on, now + extend)

    def _chance_positive(self, dog: DogNow, now: float) -> float:
        test = self.scenario.test
        false = 1.0 - test.specificity
        if dog.status != INFECTED:
            return false
        sick = 1 if dog.signs_at <= now else 0
        found = from_table(
            self.effect[sick], self._u(Stream.DETECTABLE, dog.uid, dog.spell)
        )
        if test.antibody_from >= 0:
            since = now - dog.infected_at
            if since < test.antibody_from:
                return false
            if since < test.antibody_full:
                span = test.antibody_full - test.antibody_from
                found *= (since - test.antibody_from) / span
            return max(found, false)
        if not self._sheds(dog, now):
            return false
        return max(found, false)

    def _act(self, dog: DogNow, now: float) -> None:
        """What is due today, rule by rule; then back to the pen where days are over."""
        moved = False
        for number, rule in enumerate(self.rules):
            if rule.action is Action.TEST or dog.due[number] > now:
                continue
            if rule.action is Action.ISOLATE:
                moved = self._isolate(dog, number, now) or moved
                continue
            dog.due[number] = NEVER
            if rule.action is Action.VACCINATE:
                self._vaccinate(dog, number, now)
            elif rule.action is Action.TREAT:
                self._treat(dog, number, now)
            elif rule.action is Action.CLEAN:
                self.spent[number] += 1
                place = self._pen_of(dog)
                self._advance(place, now)
                self._clean(place, now, logs=rule.amount, spread=rule.spread)
        if not moved and dog.release_on <= now:
            self._let_back(dog, now)

    def _isolate(self, dog: DogNow, number: int, now: float) -> bool:
        """Where there is no room it waits, as long as it would have been apart."""
        place = self.scenario.isolation_place
        if place < 0:
            dog.due[number] = NEVER
            return False
        if dog.place != place and not self._has_room():
            if now >= dog.due[number] + self.rules[number].days:
                dog.due[number] = NEVER
            return False
        dog.due[number] = NEVER
        self._put_apart(dog, place, now, rule=number)
        return True

    def _has_room(self) -> bool:
        inside = sum(
            dog.here and dog.place == self.scenario.isolation_place for dog in self.dogs
        )
        return inside < self.policy.isolation_room

    def _vaccinate(self, dog: DogNow, number: int, now: float) -> None:
        """A dog that a vaccine protects already gets none; it may be too young for it."""
        given, course = self.given[dog.index], self.course
        if dog.vaccinated or given.susceptibility <= course.vaccine_keeps:
            return
        self.spent[number] += 1
        self.vaccinated += 1
        if now >= given.blocked_until:
            dog.vaccine_on = min(dog.vaccine_on, now + course.vaccine_days)

    def _treat(self, dog: DogNow, number: int, now: float) -> None:
        """As the vet planned: it clears, perhaps, and some days later."""
        rule = self.rules[number]
        self.spent[number] += 1
        self.treated += 1
        if dog.status != INFECTED or dog.dies:
            return
        end = now + rule.clears_after
        if self._u(Stream.TREATMENT, dog.uid, dog.spell) >= rule.clears:
            return
        dog.ends = min(dog.ends, end)
        dog.full_until = min(dog.full_until, dog.ends)
        if dog.noticed_at >= dog.ends:
            dog.noticed_at = NEVER


def run_plain(
    scenario: Scenario, policy: Policy, *, seed: int, replicate: int
) -> Outcome:
    """One run, slowly."""
    return PlainRun(scenario, policy, seed=seed, replicate=replicate).outcome()
