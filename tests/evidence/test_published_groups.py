"""Group testing and sample sizes as published; inputs, values and sources in published/."""

from kennelward.evidence import (
    CutPointDesign,
    NotReachable,
    design_prevalence_upper,
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
    pool_sensitivity_by_infected,
    pools_needed,
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
