"""Policies as data: what they may say, what they become, how plans are put together."""

import pytest

from kennelward.handbook import HandbookError, load_handbook
from kennelward.handbook.spread_policies import policies_from_text
from kennelward.rounds.plan_outbreak import plan_of, ready_policies
from kennelward.spread.compiled import compiled
from kennelward.spread.kennel_now import Habits
from kennelward.spread.model import NEVER, Action, Closes, Policy, Rule, Scope, Trigger
from kennelward.spread.policies import (
    ALLOWED,
    KINDS,
    Plan,
    PolicyRule,
    PolicyText,
    Prices,
    combined,
    fields_of,
    one_change,
    plan_id,
)
from kennelward.spread.policy_rules import FIELD_RANGES, PRICE_NAMES
from kennelward.terms import BadInput


def policy(kind, name, *rules):
    """A policy of one kind."""
    return PolicyText(id=name, kind=kind, says=name, rules=tuple(rules))


def rule(trigger, scope, action, **more):
    return PolicyRule(trigger=trigger, scope=scope, action=action, **more)


APART = rule("arrival", "dog", "quarantine", days=14)
TEST = rule("arrival", "dog", "test", after_days=11, price="test")


def test_a_plan_becomes_what_the_simulator_takes():
    plan = Plan(
        id="all",
        policies=(
            policy("arrivals", "a", APART, TEST),
            policy("visits", "v", rule("visit", "dog", "test", before=True)),
            policy(
                "sick",
                "s",
                rule("signs", "dog", "isolate", days=10, after_days=1),
                rule("signs", "dog", "test"),
                rule("positive", "dog", "isolate", days=28, capacity=3),
            ),
            policy(
                "outbreak",
                "o",
                rule("case", "all", "test"),
                rule("case", "all", "close"),
                rule("always", "all", "clean", product="bleach"),
                rule("always", "staff", "change-shoes"),
            ),
        ),
    )
    made = compiled(plan, isolation_room=2)
    assert made.policy == Policy(
        name="all",
        rules=(
            Rule(trigger=Trigger.ARRIVAL, action=Action.QUARANTINE, days=14),
            Rule(trigger=Trigger.ARRIVAL, action=Action.TEST, after=11),
            Rule(trigger=Trigger.VISIT, action=Action.TEST, before=True),
            Rule(trigger=Trigger.SIGNS, action=Action.ISOLATE, days=10, after=1),
            Rule(trigger=Trigger.SIGNS, action=Action.TEST),
            Rule(trigger=Trigger.POSITIVE, action=Action.ISOLATE, days=28),
            Rule(trigger=Trigger.CASES, action=Action.TEST, scope=Scope.ALL),
            Rule(
                trigger=Trigger.CASES,
                action=Action.CLOSE,
                scope=Scope.ALL,
                closes=int(Closes.ARRIVALS | Closes.VISITS),
            ),
        ),
        isolation_room=3,
    )
    assert made.habits == Habits(product="bleach", changes_shoes=True)
    assert made.prices == (
        "apart_day", "test", "test", "apart_day", "test", "apart_day", "test",
        "closed_day",
    )  # fmt: skip


def test_a_plan_that_does_nothing_does_nothing():
    made = compiled(Plan(id="nothing"), isolation_room=2)
    assert made.policy == Policy(name="nothing", isolation_room=2)
    assert made.habits == Habits()


def test_rounds_until_clear_end_what_has_no_days():
    """Closing without days ends with the rounds; closing for 30 days does not."""
    rounds = rule("cases", "all", "test", every_days=14, clear_rounds=2)
    closed = rule("case", "all", "close", what=("matings", "sales"))
    month = rule("case", "all", "hold", days=30)
    plan = Plan(id="x", policies=(policy("outbreak", "o", rounds, closed, month),))
    made = compiled(plan, isolation_room=1).policy.rules
    assert [one.until_clear for one in made] == [False, True, False]
    assert [one.days for one in made] == [NEVER, NEVER, 30]
    assert made[1].closes == Closes.MATINGS | Closes.SALES


NEEDED = {
    "product": "bleach", "order": "sick-last", "top": 3, "clears": 0.5,
}  # fmt: skip


def needed(trigger, scope, action):
    """What a rule of this kind cannot be without."""
    taken = fields_of(trigger, scope, action)
    given = {name: value for name, value in NEEDED.items() if name in taken}
    return {**given, **({"days": 5.0} if action == "quarantine" else {})}


def test_every_word_that_is_allowed_compiles():
    nothing = compiled(Plan(id="x"), isolation_room=1)
    for what in ALLOWED:
        one = rule(*what, **needed(*what))
        plan = Plan(id="x", policies=(policy("sick", "x", one),))
        assert compiled(plan, isolation_room=1) != nothing, what


def test_every_field_is_taken_where_the_table_says_so_and_nowhere_else():
    for what, taken in ALLOWED.items():
        given = needed(*what)
        for name, (_, high, _, _) in FIELD_RANGES.items():
            value = 1.0 if high == 1 else 3
            more = {"every_days": 7.0} if name == "clear_rounds" else {}
            tried = {**given, **more, name: value}
            if name in taken:
                assert getattr(rule(*what, **tried), name) == value
            else:
                with pytest.raises(BadInput, match="takes no"):
                    rule(*what, **tried)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"trigger": "full-moon", "scope": "dog", "action": "test"}, "Trigger, scope"),
        ({"trigger": "always", "scope": "all", "action": "isolate"}, "Trigger, scope"),
        ({"trigger": "cases", "scope": "traced", "action": "test"}, "needs top"),
        (
            {"trigger": "signs", "scope": "dog", "action": "test", "price": "gold"},
            "price must be",
        ),
        (
            {"trigger": "case", "scope": "all", "action": "close", "what": ("post",)},
            "closed must be",
        ),
        ({"trigger": "arrival", "scope": "dog", "action": "quarantine"}, "1 day"),
        (
            {"trigger": "case", "scope": "all", "action": "close", "capacity": 3},
            "takes no capacity",
        ),
        (
            {"trigger": "always", "scope": "all", "action": "clean", "product": "gin"},
            "bleach",
        ),
        (
            {"trigger": "signs", "scope": "dog", "action": "isolate", "days": -1},
            "from 0 to",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(given, message):
    with pytest.raises(BadInput, match=message):
        PolicyRule(**given)


def test_two_policies_of_one_kind_make_no_plan():
    with pytest.raises(BadInput, match="two policies of one kind"):
        Plan(id="x", policies=(policy("sick", "a"), policy("sick", "b")))


def test_combinations_keep_to_fifty():
    ready = [policy(kind, f"{kind}{n}", APART) for kind in KINDS for n in range(5)]
    plans = combined(ready, most=50)
    assert 20 < len(plans) <= 50
    assert len({plan.id for plan in plans}) == len(plans)
    fixed = combined(ready, fixed=[ready[0]], most=50)
    assert all(ready[0] in plan.policies for plan in fixed)


def test_one_change_at_a_time():
    ready = [policy("sick", "s1", APART), policy("sick", "s2", TEST)]
    now = Plan(id=plan_id(ready[:1]), policies=tuple(ready[:1]))
    plans = one_change(now, ready, infection="giardia")
    assert [plan.id for plan in plans] == ["s1", "s2"]


@pytest.mark.parametrize("infection", ["parvovirus", "giardia", "brucella"])
def test_the_ready_set_covers_every_kind_and_compiles(infection):
    ready = ready_policies(load_handbook(), infection)
    assert {one.kind for one in ready} == set(KINDS)
    for plan in combined(ready, most=1000):
        compiled(plan, isolation_room=2)
    assert plan_of(ready, (), infection=infection).policies


def test_a_lifelong_carrier_is_never_let_back_by_the_calendar():
    """Apart until the vet decides: no ready plan for Brucella ends it after days."""
    for one in ready_policies(load_handbook(), "brucella"):
        for each in one.rules:
            if each.action == "isolate":
                assert each.days >= 3650, one.id


def test_unknown_policies_are_named():
    ready = ready_policies(load_handbook(), "giardia")
    with pytest.raises(BadInput, match="no policy 'hope'"):
        plan_of(ready, ("hope",), infection="giardia")
    with pytest.raises(BadInput, match="one policy of each kind"):
        plan_of(ready, ("quarantine-7", "quarantine-14"), infection="giardia")


OWN = """
[[policies]]
id = "ten-days"
kind = "arrivals"
says = "Ten days apart, a test on day 8"
rules = [
  { trigger = "arrival", scope = "dog", action = "quarantine", days = 10 },
  { trigger = "arrival", scope = "dog", action = "test", after_days = 8 },
]
"""


def own(text):
    return policies_from_text(text, file="mine.toml", infections=("giardia",))


def test_the_users_own_file():
    (made,) = own(OWN)
    assert made.is_own
    assert made.rules[1].after_days == 8


@pytest.mark.parametrize(
    ("wrong", "right", "message"),
    [
        ('"arrivals"', '"picnics"', "Allowed are: arrivals"),
        ("days = 10", "days = -10", "Allowed is 0 to 3650"),
        ('"quarantine"', '"sing"', "Trigger, scope and action"),
        ("after_days", "afterdays", "not known"),
        ("says =", "say =", "says"),
    ],
)
def test_slips_in_it_name_file_and_fix(wrong, right, message):
    with pytest.raises(HandbookError, match=message) as refused:
        own(OWN.replace(wrong, right))
    assert "mine.toml" in str(refused.value)


def test_prices_are_not_negative():
    with pytest.raises(BadInput, match="each test"):
        Prices(test=-1)
    assert not Prices().is_said
    assert Prices(sick_day=100).is_said
    for name in PRICE_NAMES:
        assert getattr(Prices(**{name: 2.0}), name) == 2.0
