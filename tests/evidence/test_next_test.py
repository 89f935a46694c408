"""Thresholds, the value of a test, and the ranked list."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    ACT,
    CARRY_ON,
    INDEPENDENT,
    KEEP_APART,
    NO_TEST,
    Harms,
    TestOffered,
    TestPerformance,
    best_step,
    beta_chance,
    evsi_beta_binomial,
    known_chance,
    net_benefit,
    next_steps,
    post_test,
    prior,
    result_seen,
    step_thresholds,
    thresholds,
    value_of_test,
)
from kennelward.terms import BadInput, Call, OutOfRange

HARMS = Harms(
    missed_infected=100_000,
    apart_clean=3_000,
    apart_infected=20_000,
    act_clean=12_000,
    act_infected=10_000,
)


def offered(test: str, se: float, sp: float, price: int) -> TestOffered:
    """A test with exact figures."""
    performance = TestPerformance(
        test=test, sees=test, sensitivity=known_chance(se), specificity=known_chance(sp)
    )
    return TestOffered(performance=performance, name=test, price_cents=price)


STRIP = offered("strip", 0.8, 0.95, 900)
PCR = offered("pcr", 0.97, 0.9, 6_000)


def by_hand(chance: float, offer: TestOffered) -> float:
    """Expected harm now less expected harm with the test, less its price."""

    def least(c: float) -> float:
        return min(
            c * 100_000,
            c * 20_000 + (1 - c) * 3_000,
            c * 10_000 + (1 - c) * 12_000,
        )

    p = offer.performance
    se, sp = p.sensitivity.mean, p.specificity.mean
    positive = chance * se + (1 - chance) * (1 - sp)
    after = [
        post_test(chance, sensitivity=se, specificity=sp, result=call)
        for call in (Call.POSITIVE, Call.NEGATIVE)
    ]
    harm = positive * least(after[0]) + (1 - positive) * least(after[1])
    return least(chance) - harm - offer.price_cents


@settings(max_examples=50, deadline=None)
@given(chance=st.floats(0.001, 0.999))
def test_the_worth_of_a_test_by_hand(chance: float) -> None:
    """At any chance, two tests; the list is in order of worth."""
    found = next_steps(
        prior=prior(known_chance(chance)), offered=[STRIP, PCR], harms=HARMS
    )
    worth = {step.test: step.worth_cents for step in found}
    for offer in (STRIP, PCR):
        assert worth[offer.performance.test] == pytest.approx(
            by_hand(chance, offer), abs=1e-6
        )
    assert worth[NO_TEST] == 0
    ordered = [step.worth_cents for step in found]
    assert ordered == sorted(ordered, reverse=True)


def test_sure_either_way_no_test_is_worth_it() -> None:
    """Nearly none and nearly all: the first of the list is no test."""
    for chance, step in ((0.0005, CARRY_ON), (0.995, ACT)):
        found = next_steps(
            prior=prior(known_chance(chance)), offered=[STRIP, PCR], harms=HARMS
        )
        assert found[0].test == NO_TEST
        assert found[0].then_if_positive == step


def test_a_result_never_lowers_what_signs_ask_for() -> None:
    """With "keep apart" as the least, a negative does not end isolation."""
    found = next_steps(
        prior=prior(beta_chance(10, 10)),
        offered=[STRIP, PCR],
        harms=HARMS,
        at_least=KEEP_APART,
    )
    for step in found:
        assert step.then_if_negative in (KEEP_APART, ACT)
        assert step.then_if_positive in (KEEP_APART, ACT)


def test_words_recommend_no_drug() -> None:
    """The vet is asked; nothing is given."""
    found = next_steps(
        prior=prior(beta_chance(10, 10)), offered=[STRIP, PCR], harms=HARMS
    )
    words = " ".join(str(step.says) for step in found).lower()
    assert "ask the vet" in words or "keep the dog apart" in words
    for word in ("treat", "dose", "drug", "antibiotic", "tablet"):
        assert word not in words


def test_earlier_results_are_weighed_in() -> None:
    """After a positive strip, another strip is worth less than before."""
    seen = result_seen(Call.POSITIVE, performance=STRIP.performance)
    kwargs = {
        "prior": prior(beta_chance(8, 12)),
        "offered": [STRIP],
        "harms": HARMS,
        "dependence": {"strip": INDEPENDENT},
    }
    before = {s.test: s.worth_cents for s in next_steps(**kwargs)}
    after = {s.test: s.worth_cents for s in next_steps(results=[seen], **kwargs)}
    assert after["strip"] < before["strip"]


@settings(max_examples=60, deadline=None)
@given(chance=st.floats(0, 1))
def test_thresholds_are_where_the_best_step_changes(chance: float) -> None:
    """Pauker and Kassirer's crossing, step by step."""
    found = step_thresholds(HARMS)
    step = best_step(HARMS, chance)
    if chance < found.keep_apart_from - 1e-9:
        assert step == CARRY_ON
    elif found.keep_apart_from + 1e-9 < chance < found.act_from - 1e-9:
        assert step == KEEP_APART
    elif chance > found.act_from + 1e-9:
        assert step == ACT


def test_threshold_values_by_hand() -> None:
    """3 000 / (3 000 + 80 000) and 9 000 / (9 000 + 10 000)."""
    found = step_thresholds(HARMS)
    assert found.keep_apart_from == pytest.approx(3 / 83)
    assert found.act_from == pytest.approx(9 / 19)


def test_where_keeping_apart_is_never_best() -> None:
    """One threshold remains: between carrying on and acting."""
    found = step_thresholds(
        Harms(
            missed_infected=50_000,
            apart_clean=9_000,
            apart_infected=30_000,
            act_clean=10_000,
            act_infected=10_000,
        )
    )
    assert found.keep_apart_from == found.act_from == pytest.approx(10 / 50)


@settings(max_examples=60, deadline=None)
@given(
    chance=st.floats(0, 1),
    se=st.floats(0, 1),
    sp=st.floats(0, 1),
    benefit=st.floats(0.1, 100),
    harm=st.floats(0.1, 100),
)
def test_no_test_is_worth_more_than_knowing(chance, se, sp, benefit, harm) -> None:
    """0 <= value of the test <= value of perfect knowledge."""
    found = value_of_test(
        chance, sensitivity=se, specificity=sp, benefit=benefit, harm=harm
    )
    assert -1e-9 <= found.this_test <= found.perfect + 1e-9


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: thresholds(sensitivity=1.2, specificity=0.9, benefit=1, harm=1),
            "sensitivity must be from 0 to 1, got 1.2",
        ),
        (
            lambda: thresholds(sensitivity=0.9, specificity=0.9, benefit=0, harm=1),
            "benefit must be 1e-12 or more, got 0",
        ),
        (
            lambda: net_benefit(
                true_positives=8, false_positives=5, total=10, threshold=0.2
            ),
            "false_positives must be from 0 to 2, got 5",
        ),
        (
            lambda: evsi_beta_binomial(0, 1, threshold=0.2, dogs=3),
            "a must be 1e-09 or more, got 0",
        ),
        (
            lambda: Harms(
                missed_infected=-1,
                apart_clean=0,
                apart_infected=0,
                act_clean=0,
                act_infected=0,
            ),
            "missed_infected must be 0 or more cents, got -1 cents",
        ),
        (
            lambda: best_step(HARMS, 0.5, at_least="panic"),
            "at_least must be one of carry-on, keep-apart, act-as-infected: 'panic'",
        ),
    ],
)
def test_bad_input_names_value_and_range(call, words) -> None:
    """Clear errors."""
    with pytest.raises((BadInput, OutOfRange)) as caught:
        call()
    assert words in str(caught.value)


def test_a_positive_leads_to_no_less_than_it_is_told_to_and_is_priced_so() -> None:
    """At 0.1 % a positive leaves 1.6 %: by the prices carry on, by the rule act."""
    chance = 0.001
    free = next_steps(prior=prior(known_chance(chance)), offered=[STRIP], harms=HARMS)
    held = next_steps(
        prior=prior(known_chance(chance)),
        offered=[STRIP],
        harms=HARMS,
        if_positive=ACT,
    )
    by_price = next(s for s in free if s.test == "strip")
    by_rule = next(s for s in held if s.test == "strip")
    assert by_price.then_if_positive == CARRY_ON
    assert (by_rule.then_if_positive, by_rule.then_if_negative) == (ACT, CARRY_ON)
    after = by_rule.chance_if_positive
    more = after * 10_000 + (1 - after) * 12_000 - after * 100_000
    assert by_price.worth_cents - by_rule.worth_cents == pytest.approx(
        by_rule.chance_positive * more
    )
