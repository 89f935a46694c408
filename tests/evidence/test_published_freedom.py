"""Risk groups and freedom as published; inputs, values and sources in published/."""

import pytest

from kennelward.evidence import (
    adjusted_risks,
    chance_free,
    component_sensitivity,
    equilibrium_chance_free,
    group_sensitivity,
    n_risk_based,
    passive_sensitivity,
    posterior_infected,
    two_stage_sensitivity,
)
from tests.evidence.published_checks import checks

CHECKS = checks("freedom")


def test_f18_two_stages() -> None:
    """Herds first, animals within herds second."""
    check = CHECKS["F18"]
    i = check.inputs
    by_kennel, whole = two_stage_sensitivity(
        kennels=i["H"],
        group_sizes=i["N"],
        tested=i["n"],
        kennel_prevalence=i["pstar_c"],
        dog_prevalence=i["pstar_u"],
        sensitivity=i["se"],
    )
    check.same(list(by_kennel), check.expected["seh"])
    check.same(whole, check.expected["sse"])
    mean = sum(by_kennel) / len(by_kennel)
    exact = group_sensitivity(
        group_size=i["H"],
        infected=round(i["H"] * i["pstar_c"]),
        tested=len(by_kennel),
        sensitivity=mean,
    )
    check.same(exact, check.expected["sse_exact_hypergeometric_same_mean"])


def test_f20_groups_at_different_risk() -> None:
    """Adjusted risks and the sensitivity of a surveillance component."""
    check = CHECKS["F20"]
    i, want = check.inputs, check.expected
    two = adjusted_risks([5, 1], [0.1, 0.9])
    check.same(list(two), want["two_groups"])
    three = adjusted_risks(i["rr"], i["ppr"])
    check.same(list(three), want["three_groups"])
    chances = [i["pstar"] * risk for risk in three]
    check.same(chances, want["epi"])
    kwargs = {
        "infection_chances": chances,
        "tested": i["n"],
        "sensitivity": i["se"],
    }
    check.same(component_sensitivity(**kwargs), want["sse_binomial"])
    finite = component_sensitivity(group_sizes=i["N"], **kwargs)
    check.same(finite, want["sse_hypergeometric_fractional_D"])
    up = component_sensitivity(group_sizes=i["N"], round_infected_up=True, **kwargs)
    check.same(up, want["sse_hypergeometric_ceil_D"])


def test_f21_risk_based_sample_size() -> None:
    """Total and split, the last group taking the remainder."""
    check = CHECKS["F21"]
    i, want = check.inputs, check.expected
    found = n_risk_based(
        design_prevalence=i["pstar"],
        relative_risks=i["rr"],
        population_shares=i["ppr"],
        sample_shares=i["spr"],
        sensitivity=i["se"],
    )
    check.exactly(found.total, want["n_total"])
    check.exactly(list(found.by_group), want["split_ceil_ceil_remainder"])
    check.same(found.unrounded, want["fractional"])


def test_f22_waiting_for_signs() -> None:
    """Passive surveillance."""
    check = CHECKS["F22"]
    i = check.inputs
    one, whole = passive_sensitivity(
        steps=i["steps"],
        chance_infected_tested=i["p_inf"],
        tested=i["n"],
        sensitivity=i["se"],
        kennels=i["N"],
        kennel_prevalence=i["pstar"],
    )
    check.same(one, check.expected["seh"])
    check.same(whole, check.expected["sse"])


def test_f24_twenty_periods() -> None:
    """Posterior and discounted prior by period, and where they settle."""
    check = CHECKS["F24"]
    i, want = check.inputs, check.expected
    n = i["periods"]
    found = chance_free(
        i["prior"], sensitivities=[i["sse"]] * n, introductions=[i["p_intro"]] * n
    )
    check.same([p.after_tests for p in found], want["posterior"])
    check.same([p.discounted for p in found], want["discounted_prior"])
    settled = equilibrium_chance_free(sensitivity=i["sse"], introduction=i["p_intro"])
    check.same(settled.after_tests, want["equilibrium_posterior"])
    check.same(settled.discounted, want["equilibrium_discounted_prior"])
    first = next(k for k, p in enumerate(found, 1) if p.after_tests >= 0.986)
    check.exactly(first, want["first_period_at_0p986"])
    hopeless = equilibrium_chance_free(sensitivity=0.02, introduction=0.02)
    assert hopeless.after_tests == 0, check.source


def test_f25_periods_that_differ() -> None:
    """Each period is discounted by its own introduction, not by the one before."""
    check = CHECKS["F25"]
    i, want = check.inputs, check.expected
    found = chance_free(i["prior"], sensitivities=i["sse"], introductions=i["p_intro"])
    check.same([p.after_tests for p in found], want["posterior"])
    assert found[1].after_tests != pytest.approx(
        want["epiR_variant_posterior"][1], abs=1e-4
    )
    (one,) = chance_free(0.5, sensitivities=[0.8], introductions=[0.05])
    step = want["one_step_sse80_pi05"]
    check.same(
        [one.discounted, one.after_tests], [step["discounted_prior"], step["posterior"]]
    )


def test_f28_how_many_are_infected() -> None:
    """Posterior on the number infected in a kennel of twelve."""
    check = CHECKS["F28"]
    i, want = check.inputs, check.expected
    prior = [eval_fraction(i["prior"][k]) for k in "0123"]
    negative = posterior_infected(
        prior, group_size=i["N"], tested=8, sensitivity=i["se"]
    )
    check.same(list(negative), want["all_8_of_8_negative"]["decimal"])
    one = posterior_infected(
        prior,
        group_size=i["N"],
        tested=12,
        positive=1,
        sensitivity=i["se"],
        specificity=i["sp_case2"],
    )
    check.same(list(one), want["one_positive_of_12"]["decimal"])


def eval_fraction(text: str) -> float:
    """ "1/6" as a number."""
    top, bottom = text.split("/")
    return int(top) / int(bottom)
