"""A policy's rules in a plain run: when they fire, whom they reach, what they switch."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kennelward.spread.meeting import chances_met, shares_together, yards_used
from kennelward.spread.model import (
    NEVER,
    Action,
    Closes,
    PlaceKind,
    Policy,
    Scenario,
    Scope,
    Trigger,
)
from kennelward.spread.plain_calendar import PlainCalendar
from kennelward.spread.plain_truth import DogNow, calendar
from kennelward.spread.rules import SWITCHES


@dataclass(slots=True)
class RuleNow:
    """One rule as it is now."""

    since: float = NEVER  # a switch: on from here
    until: float = -1.0  # to here
    next: float = NEVER  # day of the next round
    clear: int = 0  # rounds one after the other without a positive
    seen: int = -1  # positives before the last round; below 0: no round yet
    subject: int = -1
    place: int = -1

    def is_on(self, now: float) -> bool:
        return self.since <= now < self.until


class PlainRules(PlainCalendar):
    """One run, with rules that fire."""

    def __init__(
        self, scenario: Scenario, policy: Policy, *, seed: int, replicate: int
    ) -> None:
        super().__init__(scenario, policy, seed=seed, replicate=replicate)
        self.states = [
            RuleNow(next=rule.first if rule.trigger is Trigger.CALENDAR else NEVER)
            for rule in self.rules
        ]
        self.positives = 0
        self._fire(Trigger.ALWAYS, None, 0.0)

    # --- firing -------------------------------------------------------------------

    def _fire(self, trigger: Trigger, dog: DogNow | None, now: float) -> None:
        for number, rule in enumerate(self.rules):
            if rule.trigger is trigger and not rule.before:
                self._set_off(number, dog, now)

    def _set_off(self, number: int, dog: DogNow | None, now: float) -> None:
        rule, state = self.rules[number], self.states[number]
        if rule.action is Action.QUARANTINE:
            return  # done at the gate
        if rule.action in SWITCHES:
            if state.until <= now:
                state.since = now + rule.after
            state.until = max(state.until, now + rule.after + rule.days)
            self._switch(now)
            return
        subject = -1 if dog is None else dog.index
        place = -1 if dog is None else self._pen_of(dog)
        if rule.every > 0 and rule.trigger is not Trigger.CALENDAR:
            if state.next >= NEVER:
                state.next = now + max(rule.after, 1.0)
                state.clear, state.seen = 0, -1
                state.subject, state.place = subject, place
            return
        after = rule.after
        if rule.action is Action.TEST and rule.scope is not Scope.DOG:
            after = max(after, 1.0)
        self._ask(number, subject, place, now + after)

    def _pen_of(self, dog: DogNow) -> int:
        return dog.came_from if self._is_apart(dog) else dog.place

    def _ask(self, number: int, subject: int, place: int, on: float) -> None:
        for dog in self._reached(number, subject, place):
            dog.due[number] = min(dog.due[number], on)

    def _reached(self, number: int, subject: int, place: int) -> list[DogNow]:
        scope = self.rules[number].scope
        here = [dog for dog in self.dogs if dog.here]
        if scope is Scope.ALL:
            return here
        if scope is Scope.LITTER:
            return [dog for dog in here if self._is_litter(dog.index, subject)]
        if scope is Scope.PEN:
            return [d for d in here if d.index == subject or d.place == place]
        if scope is Scope.YARD:
            yards = self._meets[0]
            return [
                d for d in here if d.index == subject or yards[d.index] & yards[subject]
            ]
        if scope is Scope.TRACED:
            return self._traced(number, subject, here)
        return [dog for dog in here if dog.index == subject]

    def _is_litter(self, one: int, subject: int) -> bool:
        given = self.given
        if subject < 0:
            return given[one].litter >= 0
        first, other = given[one], given[subject]
        return one == subject or (
            (first.litter >= 0 and first.litter == other.litter)
            or first.uid == other.dam
            or first.dam == other.uid
        )

    def _traced(self, number: int, subject: int, here: list[DogNow]) -> list[DogNow]:
        rule, chance = self.rules[number], self._meets[1][subject]
        found = []
        for dog in here:
            own = chance[dog.index]
            if dog.index == subject or own <= 0:
                continue
            before = sum(
                chance[d.index] > own
                or (chance[d.index] == own and d.index < dog.index)
                for d in here
                if d.index != subject
            )
            if own >= rule.at_least or before < rule.top:
                found.append(dog)
        return found

    @cached_property
    def _meets(self) -> tuple[np.ndarray, np.ndarray]:
        scenario, events = self.scenario, calendar(self.scenario.events)
        shares = shares_together(self.given, events)
        return (
            yards_used(self.given, events, scenario.places),
            chances_met(shares, self.given, scenario),
        )

    # --- switches and rounds --------------------------------------------------------

    def _switch(self, now: float) -> None:
        """What is closed, held, cleaned and washed with, as of now."""
        policy = self.policy
        closed, held = Closes(0), False
        self.logs, self.logs_spread = policy.cleaning_factor, policy.cleaning_spread
        self.keeps = policy.extra_hygiene
        for rule, state in zip(self.rules, self.states, strict=True):
            if rule.action not in SWITCHES or not state.is_on(now):
                continue
            if rule.action is Action.CLOSE:
                closed |= Closes(rule.closes)
            elif rule.action is Action.HOLD:
                held = True
            elif rule.action is Action.HYGIENE:
                self.keeps = min(self.keeps, rule.amount)
            elif rule.amount > self.logs:
                self.logs, self.logs_spread = rule.amount, rule.spread
        if held and not self.held:
            self._clear_yards(now)
        opened = self.closed & Closes.SALES and not closed & Closes.SALES
        self.closed, self.held = closed, held
        if opened:
            for dog in self.dogs:
                if dog.waits and dog.here:
                    self._leave(dog, now)

    def _clear_yards(self, now: float) -> None:
        for dog in self.dogs:
            if dog.here and self.scenario.places[dog.place].kind is PlaceKind.YARD:
                self._move(dog, self.given[dog.index].home, now)

    def _count_switches(self, now: float) -> None:
        """Closed days are those on which something was closed that usually is not."""
        closed = False
        for number, (rule, state) in enumerate(
            zip(self.rules, self.states, strict=True)
        ):
            if rule.action in SWITCHES and state.is_on(now):
                self.spent[number] += 1
                usual = rule.trigger is Trigger.ALWAYS
                closed = closed or (rule.action is Action.CLOSE and not usual)
        self.closed_days += closed

    def _rounds(self, now: float) -> None:
        for number, rule in enumerate(self.rules):
            state = self.states[number]
            if state.next > now:
                continue
            if rule.trigger is Trigger.CALENDAR:
                self._ask(number, -1, -1, now + rule.after)
                state.next = state.next + rule.every if rule.every > 0 else NEVER
                continue
            if state.seen >= 0:
                found = self.positives > state.seen
                state.clear = 0 if found else state.clear + 1
            if state.clear >= rule.clear_rounds:
                state.next, state.clear, state.seen = NEVER, 0, -1
                self._all_clear(now)
                continue
            state.seen, state.next = self.positives, now + rule.every
            self._ask(number, state.subject, state.place, now)

    def _all_clear(self, now: float) -> None:
        for rule, state in zip(self.rules, self.states, strict=True):
            if rule.until_clear and state.until > now:
                state.until = now
        self._switch(now)
