"""The slow, plain simulator: every dog, every place, every segment, nothing skipped.

The fast engine must give the same outcome in every run; this one is written to be read.
"""

from math import ceil

from kennelward.spread.keyed import Stream
from kennelward.spread.model import NEVER, Outcome, Policy, Scenario
from kennelward.spread.plain_truth import (
    GONE,
    IMMUNE,
    INFECTED,
    SUSCEPTIBLE,
    DogNow,
    PlainTruth,
    calendar,
)
from kennelward.spread.tables import from_table


class PlainRun(PlainTruth):
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
        )

    # --- once a day: what staff see and do ----------------------------------------

    def _daily(self, now: float) -> None:
        self._arrivals(now)
        for dog in self.dogs:
            if dog.here:
                self._age(dog, now)
        for dog in self.dogs:
            if dog.here:
                self._count_day(dog, now)
        for dog in self.dogs:
            if dog.here:
                self._notice(dog, now)
        for dog in self.dogs:
            if dog.here:
                self._sample(dog, now)
        for dog in self.dogs:
            if dog.here:
                self._act(dog, now)

    def _arrivals(self, now: float) -> None:
        policy, scenario = self.policy, self.scenario
        for dog, given in zip(self.dogs, self.given, strict=True):
            due = given.arrives_on >= 0 and ceil(given.arrives_on) == now
            if not due or (self.closed and not given.is_born):
                continue
            if given.is_born:
                self._enter(dog, now, given.home)
                continue
            apart = policy.quarantine_days > 0 and scenario.quarantine_place >= 0
            self._enter(dog, now, scenario.quarantine_place if apart else given.home)
            dog.release_on = now + policy.quarantine_days if apart else NEVER
            for number, after in enumerate(policy.arrival_tests):
                dog.test_on[number] = now + after

    def _age(self, dog: DogNow, now: float) -> None:
        """Recover, die, lose protection."""
        if dog.status == INFECTED and dog.ends <= now:
            if dog.dies:
                self.deaths += 1
                dog.here, dog.status = False, GONE
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

    def _count_day(self, dog: DogNow, now: float) -> None:
        if dog.status == INFECTED and dog.signs_at <= now:
            self.sick_days += 1
        if self._is_apart(dog):
            self.apart_days += 1

    def _notice(self, dog: DogNow, now: float) -> None:
        """Signs noticed."""
        policy = self.policy
        noticed = dog.status == INFECTED and dog.noticed_at <= now
        if noticed and not dog.known:
            dog.known = True
            self._case_known(now)
            if policy.isolate_noticed:
                dog.act_on = now + policy.act_after_days
            if policy.test_noticed:
                dog.test_on[2] = now

    def _sample(self, dog: DogNow, now: float) -> None:
        """Tests taken, results back."""
        for number, day in enumerate(dog.test_on):
            if day <= now:
                dog.test_on[number] = NEVER
                self._test(dog, now)
        if dog.result_on <= now:
            dog.result_on = NEVER
            if dog.result and not dog.known:
                dog.known = True
                self._case_known(now)
            if dog.result and self.policy.isolate_positive:
                dog.act_on = now + self.policy.act_after_days

    def _case_known(self, now: float) -> None:
        if self.noticed_on < NEVER:
            return
        self.noticed_on = now
        self.closed = self.policy.close_after_case
        if self.policy.test_all_after_case:
            for dog in self.dogs:
                if dog.here:
                    dog.test_on[2] = now + 1 + self.policy.act_after_days

    def _test(self, dog: DogNow, now: float) -> None:
        self.tests += 1
        luck = self._u(Stream.TEST, dog.uid, int(now))
        dog.result = luck < self._chance_positive(dog, now)
        dog.result_on = now + self.scenario.test.delay_days

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
        if not dog.starts <= now < dog.ends:
            return false
        return max(found, false)

    def _act(self, dog: DogNow, now: float) -> None:
        policy, scenario = self.policy, self.scenario
        if dog.act_on <= now:
            dog.act_on = NEVER
            if scenario.isolation_place >= 0 and self._room():
                self._move(dog, scenario.isolation_place, now)
                dog.release_on = now + policy.isolation_days
        elif dog.release_on <= now:
            dog.release_on = NEVER
            if self._is_apart(dog):
                self._move(dog, self.given[dog.index].home, now)

    def _room(self) -> bool:
        inside = sum(
            dog.here and dog.place == self.scenario.isolation_place for dog in self.dogs
        )
        return inside < self.policy.isolation_room


def run_plain(
    scenario: Scenario, policy: Policy, *, seed: int, replicate: int
) -> Outcome:
    """One run, slowly."""
    return PlainRun(scenario, policy, seed=seed, replicate=replicate).outcome()
