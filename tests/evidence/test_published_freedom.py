"""Group testing and freedom as published; inputs, values and sources in published/."""

import pytest

from kennelward.evidence import (
    CutPointDesign,
    NotReachable,
    adjusted_risks,
    chance_free,
    component_sensitivity,
    design_prevalence_upper,
    equilibrium_chance_free,
    freecalc_design,
    group_sensitivity,
    group_sensitivity_large,
    group_sensitivity_macdiarmid,
    group_sensitivity_pooled,
    group_specificity,
    herd_pooled,
    infected_at,
    n_detect_cannon_roe,
    n_detect_exact,
    n_detect_macdiarmid,
    n_risk_based,
    passive_sensitivity,
    pool_sensitivity_by_infected,
    pools_needed,
    posterior_infected,
    two_stage_sensitivity,
    zero_numerator_upper,
)
from tests.evidence.published_checks import checks

CHECKS = checks("freedom")


def numbers(key: str) -> dict[str, str]:
    """ "N=10,D=5" as a mapping."""
    return dict(part.split("=") for part in key.split(","))


def test_f01_cannon_and_roe_and_exact_sizes() -> None:
    """The printed table, the exact counts, and where the two differ."""
    check = CHECKS["F01"]
    differ = {}
    for key, want in check.expected["formula"].items():
        size, infected = (int(numbers(key)[k]) for k in "ND")
        found = n_detect_cannon_roe(group_size=size, infected=infected)
        check.exactly(found, want, what=key)
        exact = n_detect_exact(group_size=size, infected=infected, sensitivity=1.0)
        if key in check.expected["exact_hypergeometric"]:
            check.exactly(exact, check.expected["exact_hypergeometric"][key], what=key)
            if exact != found:
                differ[key] = [found, exact]
    check.exactly(differ, check.expected["where_formula_and_exact_differ"])
    for key, want in check.expected["infinite"].items():
        found = n_detect_cannon_roe(group_size=None, prevalence=float(key))
        check.exactly(found, want, what=key)


def test_f03_small_kennels_with_an_imperfect_test() -> None:
    """Where testing every dog is not enough, that is the answer, not a number."""
    check = CHECKS["F03"]
    for key, want in check.expected.items():
        k = numbers(key)
        found = n_detect_exact(
            group_size=int(k["N"]), infected=int(k["D"]), sensitivity=float(k["se"])
        )
        if want is None:
            assert isinstance(found, NotReachable), f"F03 {key}: {check.source}"
        else:
            check.exactly(found, want, what=key)


def test_f04_exact_fractions_and_the_approximation() -> None:
    """Exact group sensitivity; MacDiarmid is never above it."""
    check = CHECKS["F04"]
    for key, want in check.expected.items():
        k = numbers(key)
        top, bottom = map(int, k["se"].split("/"))
        size, infected, tested = (int(k[name]) for name in "NDn")
        exact = group_sensitivity(
            group_size=size, infected=infected, tested=tested, sensitivity=top / bottom
        )
        check.same(exact, want["decimal"], what=key)
        near = group_sensitivity_macdiarmid(
            group_size=size, infected=infected, tested=tested, sensitivity=top / bottom
        )
        check.same(near, want["macdiarmid_approx"], what=key)
        assert near <= exact + 1e-12, check.source


def test_f06_one_infected_is_implied() -> None:
    """Small groups at a low design prevalence hold one infected animal."""
    check = CHECKS["F06"]
    i = check.inputs
    found = [
        group_sensitivity(
            group_size=size,
            infected=infected_at(group_size=size, prevalence=i["pstar"]),
            tested=i["n"],
            sensitivity=i["se"],
        )
        for size in i["N"]
    ]
    check.same(found, check.expected["sep"])


def test_f07_fractional_and_whole_numbers_infected() -> None:
    """Whether the number infected is rounded must be said: both are here."""
    check = CHECKS["F07"]
    i = check.inputs

    def found(infected: float) -> float:
        return group_sensitivity_macdiarmid(
            group_size=i["N"], infected=infected, tested=i["n"], sensitivity=i["se"]
        )

    check.same(found(i["N"] * i["pstar"][0]), check.expected["sep_100_per_1e5"])
    check.same(found(20), check.expected["sep_10_per_1e5_D20"])
    check.same(found(19.3), check.expected["sep_10_per_1e5_D19_3"])


def test_f09_more_sample_sizes() -> None:
    """MacDiarmid's inverse beside the exact number."""
    check = CHECKS["F09"]
    want = [
        check.expected[k] for k in ("n_5000", "n_200", "n_193000_D20", "n_193000_D19_3")
    ]
    for (size, infected, se), n in zip(check.inputs["cases"], want, strict=True):
        found = n_detect_macdiarmid(group_size=size, infected=infected, sensitivity=se)
        check.exactly(found, n)
    for (size, infected, se), key in zip(
        check.inputs["cases"][:2], ("n_5000_exact", "n_200_exact"), strict=True
    ):
        exact = n_detect_exact(group_size=size, infected=infected, sensitivity=se)
        check.exactly(exact, check.expected[key])


def test_f10_prevalence_that_negatives_leave_possible() -> None:
    """Endless and finite groups."""
    check = CHECKS["F10"]
    cases = {
        "inf_n280_se98": (None, 280, 0.98),
        "N100_n30_se98": (100, 30, 0.98),
        "N500": (500, 30, 0.98),
        "N1000": (1000, 30, 0.98),
        "N5000": (5000, 30, 0.98),
        "N1000_n474_se95": (1000, 474, 0.95),
        "N193000": (193000, 7764, 0.85),
    }
    for key, want in check.expected.items():
        size, tested, se = cases[key]
        found = design_prevalence_upper(tested=tested, sensitivity=se, group_size=size)
        check.same(found, want, what=key)


def test_f11_rule_of_three() -> None:
    """Four upper limits for 0 of n."""
    check = CHECKS["F11"]
    for n, want in check.expected.items():
        found = zero_numerator_upper(int(n))
        check.same(list(found.values()), [want[k] for k in found], what=n)


def test_f12_cut_point_with_an_imperfect_test() -> None:
    """Finite and endless populations, and the group specificity."""
    check = CHECKS["F12"]
    i = check.inputs
    found = group_sensitivity(
        group_size=i["N"],
        infected=i["D"],
        tested=i["n"],
        sensitivity=i["se"],
        specificity=i["sp"],
        cut_point=i["c"],
    )
    check.same(found, check.expected["N150"])
    large = group_sensitivity_large(
        prevalence=i["D"] / i["N"],
        tested=i["n"],
        sensitivity=i["se"],
        specificity=i["sp"],
        cut_point=i["c"],
    )
    check.same(large, check.expected["infinite"])
    clean = group_specificity(tested=i["n"], specificity=i["sp"], cut_point=i["c"])
    check.same(clean, check.expected["spH_binomial"])


def test_f13_design_with_a_cut_point() -> None:
    """Eight positives mean infected; the documented "7 or more" is off by one."""
    check = CHECKS["F13"]
    i, want = check.inputs, check.expected
    found = freecalc_design(
        group_size=i["N"],
        infected=i["D"],
        sensitivity=i["se"],
        specificity=i["sp"],
        group_sensitivity_wanted=i["target_se"],
        group_specificity_wanted=i["target_sp"],
    )
    assert isinstance(found, CutPointDesign), check.source
    check.exactly(found.tested, want["n"])
    check.exactly(
        found.positives_that_mean_infected, want["positives_needed_to_call_infected"]
    )
    check.exactly(
        found.positives_that_mean_infected - 1, want["max_positives_still_free"]
    )
    check.same(found.sensitivity, want["se"])
    check.same(found.specificity, want["sp"])
    kwargs = {
        "group_size": i["N"],
        "infected": i["D"],
        "sensitivity": i["se"],
        "specificity": i["sp"],
    }
    check.same(
        group_sensitivity(tested=194, cut_point=7, **kwargs), want["se_if_cut_is_7"]
    )
    clean = group_specificity(tested=194, specificity=i["sp"], cut_point=7)
    check.same(clean, want["sp_if_cut_is_7"])
    check.same(group_sensitivity(tested=193, cut_point=8, **kwargs), want["n193_se"])


def test_f14_two_meanings_of_group_specificity() -> None:
    """Independent false positives, or dogs that always cross-react."""
    check = CHECKS["F14"]
    i = check.inputs
    for cut in i["c"]:
        apart = group_specificity(tested=i["n"], specificity=i["sp"], cut_point=cut)
        check.same(apart, check.expected[f"binomial_c{cut}"])
        fixed = group_specificity(
            tested=i["n"], specificity=i["sp"], cut_point=cut, group_size=i["N"]
        )
        check.same(fixed, check.expected[f"hypergeometric_c{cut}"])


def test_f15_pools_from_a_large_population() -> None:
    """Pools of five."""
    check = CHECKS["F15"]
    i, want = check.inputs, check.expected
    for (pools, se, sp), key in zip(
        i["cases"], ("r60", "r60_se90", "r70_se90"), strict=True
    ):
        found = group_sensitivity_pooled(
            pools=pools,
            pool_size=i["k"],
            prevalence=i["pstar"],
            pool_sensitivity=se,
            pool_specificity=sp,
        )
        check.same(found, want[key])
    needed = pools_needed(
        pool_size=i["k"],
        prevalence=i["pstar"],
        pool_sensitivity=0.90,
        pool_specificity=0.95,
    )
    check.same(needed, want["n_pools_fractional"])
    check.exactly(int(-(-needed // 1)), want["n_pools_psp95"])


def test_f16_six_pools_of_five() -> None:
    """Both models of the pool's sensitivity."""
    check = CHECKS["F16"]
    i, want = check.inputs, check.expected
    kwargs = {
        "sensitivity": i["se"],
        "specificity": i["sp"],
        "prevalence": i["P"],
        "pool_size": i["m"],
        "pools": i["r"],
    }
    found, clean = herd_pooled(**kwargs)
    check.same(found, want["hse"])
    check.same(clean, want["hsp"])
    check.same(i["sp"] ** i["m"], want["pool_sp"])
    helped, _ = herd_pooled(more_infected_help=True, **kwargs)
    check.same(helped, want["hse_j_positive_model"])
    mean = pool_sensitivity_by_infected(
        sensitivity=i["se"], prevalence=i["P"], pool_size=i["m"]
    )
    check.same(mean, want["pool_se_j_positive_model"])


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
