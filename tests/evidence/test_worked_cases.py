"""Worked cases of published studies of gut infections, Brucella and pregnancy.

Percentages to 0.05 unless the source printed fewer digits. Each case names its source.
"""

from datetime import date, timedelta

import pytest

from kennelward.evidence import (
    INDEPENDENT,
    Condition,
    DayPoint,
    SensitivityByDay,
    TestPerformance,
    TestTiming,
    chance_of_false_alarm,
    group_sensitivity,
    interpret,
    known_chance,
    post_test,
    predictive_values,
    prior,
    proportion_ci,
    repeated_sensitivity,
    result_seen,
    rogan_gladen,
    timing,
    true_prevalence,
    two_by_two,
    zero_numerator_upper,
)
from kennelward.terms import Call

PERCENT = 0.0005  # half of the last printed digit of a percentage with one decimal
SYMEONIDOU = "Symeonidou et al. 2020, Parasit Vectors 13:544"
DECARO = "Decaro et al. 2013, Vet J 198:504-507"
SHIMA = "Shima et al. 2021, Top Companion Anim Med"
RING = "ring study of 56 sera, 2025, figshare 28702763"


def near(value: float, digits: float = PERCENT):
    """The printed value to half its last digit."""
    return pytest.approx(value, abs=digits)


def test_c01_giardia_strip() -> None:
    """50 found, 8 missed, none of 42 wrongly."""
    table = two_by_two(50, 0, 8, 42)
    wilson = two_by_two(50, 0, 8, 42, method="wilson")
    assert table.sensitivity.value == near(0.8621), SYMEONIDOU
    assert (wilson.sensitivity.low, wilson.sensitivity.high) == near((0.7507, 0.9284))
    assert (table.sensitivity.low, table.sensitivity.high) == near((0.7462, 0.9385))
    assert (wilson.specificity.low, wilson.specificity.high) == near((0.9162, 1.0))
    assert (table.specificity.low, table.specificity.high) == near((0.9159, 1.0))
    assert table.negative_predictive.value == near(0.84), SYMEONIDOU
    assert table.kappa == near(0.840), SYMEONIDOU


def test_c02_flotation_on_the_same_samples() -> None:
    """34 found, 24 missed."""
    table = two_by_two(34, 0, 24, 42, method="wilson")
    assert table.sensitivity.value == near(0.5862), SYMEONIDOU
    assert (table.sensitivity.low, table.sensitivity.high) == near((0.4580, 0.7037))
    assert table.kappa == near(0.5434, 0.00005), SYMEONIDOU


def test_c03_parvovirus_strip_against_pcr() -> None:
    """66 found, 35 missed."""
    table = two_by_two(66, 0, 35, 49, method="wilson")
    assert table.sensitivity.value == near(0.6535), DECARO
    assert (table.sensitivity.low, table.sensitivity.high) == near((0.5566, 0.7391))
    exact = proportion_ci(49, 49)
    assert (exact.low, exact.high) == near((0.9275, 1.0)), DECARO
    assert table.kappa == near(0.5520, 0.00005), DECARO


def test_c04_parvovirus_strip_against_haemagglutination() -> None:
    """63 found, 10 missed, 3 wrong."""
    table = two_by_two(63, 3, 10, 74)
    assert table.sensitivity.value == near(0.8630), DECARO
    assert table.specificity.value == near(0.9610), DECARO
    assert table.kappa == near(0.8261, 0.00005), DECARO


def test_c05_every_figure_of_one_study() -> None:
    """The likelihood ratio of a negative was printed .07; the counts give .0648."""
    table = two_by_two(103, 2, 5, 5)
    assert table.sensitivity.value == near(0.9537), SHIMA
    assert table.specificity.value == near(0.7143), SHIMA
    assert table.positive_predictive.value == near(0.9810), SHIMA
    assert table.negative_predictive.value == near(0.50), SHIMA
    assert table.accuracy.value == near(0.9391), SHIMA
    assert table.lr_positive.value == near(3.338), SHIMA
    assert table.lr_negative.value == near(0.0648, 0.00005), SHIMA
    assert table.kappa == near(0.5565, 0.00005), SHIMA
    assert (table.specificity.low, table.specificity.high) == near((0.2904, 0.9633))


def test_c06_antigen_immunoassay_in_brazil() -> None:
    """44 found, 13 missed of 112."""
    table = two_by_two(44, 0, 13, 55)
    source = "Arq Bras Med Vet Zootec, 112 diarrhoeic pups, agreement 99/112"
    assert table.sensitivity.value == near(0.7719), source
    assert table.accuracy.value == near(0.8839), source
    assert table.kappa == near(0.7687, 0.00005), source


def test_c07_false_negatives_in_hospital_dogs() -> None:
    """39 of 80 found."""
    source = "Proksch et al. 2015, Vet J 204, doi 10.1016/j.tvjl.2015.03.009"
    found = proportion_ci(39, 80, method="wilson")
    assert found.value == near(0.4875), source
    assert (found.low, found.high) == near((0.3811, 0.5951)), source
    assert 1 - found.value == near(0.5125), source


@pytest.mark.parametrize(
    ("prevalence", "positive", "negative"),
    [
        (0.04, 0.4089, 0.9926),
        (0.093, 0.6299, 0.9820),
        (0.152, 0.7485, 0.9689),
        (0.439, 0.9285, 0.8772),
    ],
)
def test_c08_predictive_values_of_a_giardia_strip(
    prevalence: float, positive: float, negative: float
) -> None:
    """Sensitivity .83, specificity .95: Saleh et al. 2019, J Vet Intern Med 33:1272."""
    found = predictive_values(prevalence, sensitivity=0.83, specificity=0.95)
    assert found == near((positive, negative), 0.00005)


@pytest.mark.parametrize(
    ("sensitivity", "values"),
    [(0.586, (0.5860, 0.8286, 0.9290)), (0.482, (0.4820, 0.7317, 0.8610))],
)
def test_c09_flotation_on_several_days(sensitivity: float, values: tuple) -> None:
    """Independent samples, an upper bound; sensitivities of C02 and Uiterwijk 2018."""
    found = tuple(repeated_sensitivity(sensitivity, k) for k in (1, 2, 3))
    assert found == near(values, 0.00005)


@pytest.mark.parametrize(
    ("prevalence", "positive", "negative"),
    [(0.01, 0.2016, 0.9949), (0.05, 0.5682, 0.9738), (0.50, 0.9615, 0.6622)],
)
def test_c10_predictive_values_of_a_parvovirus_strip(
    prevalence: float, positive: float, negative: float
) -> None:
    """Sensitivity .50, specificity .98: a third of negatives in sick pups are wrong."""
    found = predictive_values(prevalence, sensitivity=0.50, specificity=0.98)
    assert found == near((positive, negative), 0.00005)
    told = interpret(
        prior=prior(known_chance(prevalence)),
        if_tested=strip(sensitivity=0.50, specificity=0.98),
    )
    assert told.chance_if_positive.median == pytest.approx(found[0], abs=1e-12)
    assert told.chance_if_negative.median == pytest.approx(1 - found[1], abs=1e-12)


def test_c11_true_prevalence() -> None:
    """Epe: 24.78 % apparent; 4 % apparent leaves the range and is shown so."""
    source = "Rogan & Gladen 1978, Am J Epidemiol 107:71-76, by hand"
    assert rogan_gladen(0.2478, sensitivity=0.83, specificity=0.95) == near(
        0.2536, 0.00005
    )
    found = true_prevalence(4, 100, sensitivity=0.83, specificity=0.95)
    assert found.true.value == near(-0.0128, 0.00005), source
    assert found.clipped.value == 0
    assert found.is_outside
    assert found.caution is not None
    assert "-1.3 in 100" in str(found.caution)


def test_c12_none_of_279() -> None:
    """0 of 279 vaccinated pups in classes."""
    source = "Clopper & Pearson 1934; Wilson 1927; Hanley & Lippman-Hand 1983"
    assert proportion_ci(0, 279).high == near(0.0131, 0.00005), source
    assert proportion_ci(0, 279, method="wilson").high == near(0.0136, 0.00005)
    assert zero_numerator_upper(279)["three_over_n"] == near(0.0108, 0.00005)


def strip(
    *, sensitivity: float, specificity: float, sees: str = "brucella antibody"
) -> TestPerformance:
    """A test whose figures are taken as exact."""
    return TestPerformance(
        test="strip",
        sees=sees,
        sensitivity=known_chance(sensitivity),
        specificity=known_chance(specificity),
    )


@pytest.mark.parametrize(
    ("prevalence", "se", "sp", "ppv", "npv"),
    [
        (0.004, 0.906, 0.958, 0.0797, 0.99961),
        (0.02, 0.906, 0.958, 0.3057, 0.9980),
        (0.118, 0.906, 0.958, 0.7427, 0.9870),
        (0.35, 0.906, 0.958, 0.9207, 0.9498),
        (0.004, 0.92, 0.99, 0.2698, 0.99968),
        (0.118, 0.92, 0.99, 0.9249, None),
    ],
)
def test_brucella_predictive_values(prevalence, se, sp, ppv, npv) -> None:
    """A positive in a home kennel is wrong nine times in ten."""
    found = predictive_values(prevalence, sensitivity=se, specificity=sp)
    assert found[0] == near(ppv, 0.00005), RING
    if npv is not None:
        assert found[1] == near(npv, 0.00005), RING


@pytest.mark.parametrize(
    ("before", "after"),
    [(0.118, (0.01296, 0.001286, 0.000126)), (0.35, (0.05018, 0.00516, 0.00051))],
)
def test_brucella_repeated_negatives_if_they_were_independent(before, after) -> None:
    """One, two, three negatives; the same strip again is NOT independent."""
    seen = result_seen(
        Call.NEGATIVE, performance=strip(sensitivity=0.906, specificity=0.958)
    )
    for n, want in enumerate(after, 1):
        told = interpret(
            prior=prior(known_chance(before)),
            results=[seen] * n,
            dependence={"brucella antibody": INDEPENDENT},
        )
        assert told.chance.median == near(want, 0.000005 if want < 0.01 else 0.00001)


def test_brucella_kennel_round() -> None:
    """Two infected of any number tested; false alarms among twenty clean dogs."""
    found = group_sensitivity(group_size=20, infected=2, tested=20, sensitivity=0.906)
    assert found == pytest.approx(0.991164, abs=1e-9), RING
    assert chance_of_false_alarm([0.958] * 20) == near(0.5761, 0.00005), RING
    assert near(0.84) == 20 * (1 - 0.958)
    assert chance_of_false_alarm([0.99] * 20) == near(0.1821, 0.00005)


def test_brucella_true_prevalence() -> None:
    """Ontario 127 of 1 080 by two tests; South Dakota."""
    weese = "Weese et al. 2020, Emerg Infect Dis 26(12)"
    apparent = 127 / 1080
    assert apparent == near(0.117593, 5e-7), weese
    found = rogan_gladen(apparent, sensitivity=0.906, specificity=0.958)
    assert found == near(0.08749, 5e-6), weese
    found = rogan_gladen(apparent, sensitivity=0.3176, specificity=1.0)
    assert found == near(0.37025, 5e-6), weese
    assert rogan_gladen(0.068, sensitivity=0.2313, specificity=1.0) == near(0.294)


@pytest.mark.parametrize(
    ("before", "se", "one", "two"),
    [
        (0.878, 0.80, 0.5901, 0.2235),
        (0.71, 0.80, 0.3287, 0.0892),
        (0.878, 0.95, 0.2646, None),
    ],
)
def test_relaxin_negative(before, se, one, two) -> None:
    """What a negative leaves: Chastant-Maillard 2017 for the prior, maker's .80."""
    source = "doi 10.1111/rda.12845; data sheet of a lateral-flow relaxin test"
    seen = result_seen(
        Call.NEGATIVE,
        performance=strip(sensitivity=se, specificity=1.0, sees="relaxin"),
    )
    for n, want in ((1, one), (2, two)):
        if want is None:
            continue
        told = interpret(
            prior=prior(known_chance(before)),
            results=[seen] * n,
            dependence={"relaxin": INDEPENDENT},
            condition=Condition.PREGNANT,
        )
        assert told.chance.median == near(want, 0.00005), source


@pytest.mark.parametrize(
    ("k", "n", "low", "high", "digits"),
    [
        (24, 27, 0.7084, 0.9765, 0.00005),  # often rounded up to .977
        (17, 17, 0.805, 1, 0.0005),
        (0, 15, 0, 0.218, 0.0005),
        (127, 1080, 0.0990, 0.1383, 0.00005),
        (571, 2629, 0.2016, 0.2335, 0.00005),
        (0, 300, 0, 0.0122, 0.00005),
    ],
)
def test_exact_intervals(k, n, low, high, digits) -> None:
    """Clopper-Pearson of published counts: Wanke 2012, Holst 2012, Weese 2020."""
    found = proportion_ci(k, n)
    assert (found.low, found.high) == near((low, high), digits)


def relaxin_timing() -> TestTiming:
    """Relaxin by days from the LH surge: Steinetz 1987; maker's data sheet."""
    points = (
        DayPoint(day=20, sensitivity=known_chance(0.80)),
        DayPoint(day=29, sensitivity=known_chance(0.90)),
        DayPoint(day=31, sensitivity=known_chance(0.98)),
    )
    return TestTiming(
        performance=strip(sensitivity=0.98, specificity=0.98, sees="relaxin"),
        by_day=SensitivityByDay(event="lh", points=points),
        negative_counts_from={"lh": 31},
        repeat_after=7,
    )


def test_relaxin_days_from_the_surge() -> None:
    """LH on 1 March: nothing before the 21st, a negative counts from 1 April."""
    surge = date(2025, 3, 1)
    told = timing(
        prior=prior(known_chance(0.878)),
        test=relaxin_timing(),
        event="lh",
        anchor=surge,
        on=surge + timedelta(days=24),
        days=range(15, 45),
        worth=0.15,
        dependence={"relaxin": INDEPENDENT},
        condition=Condition.PREGNANT,
    )
    before = told.on(date(2025, 3, 20))
    assert before.if_negative.median == pytest.approx(0.878, abs=1e-12)
    assert before.if_positive.median == pytest.approx(0.878, abs=1e-12)
    assert told.on(date(2025, 3, 21)).sensitivity == pytest.approx(0.80)
    assert not told.on(date(2025, 3, 31)).negative_counts
    assert told.reaches is not None
    assert told.reaches.on == date(2025, 4, 1)


def test_brucella_second_test_and_clearing_dates() -> None:
    """Entry 6 January 2025: day 56 is 3 March, day 84 is 31 March."""
    entry = date(2025, 1, 6)
    assert entry + timedelta(days=56) == date(2025, 3, 3)
    for counts_from, first in ((84, date(2025, 3, 31)), (56, date(2025, 3, 3))):
        told = timing(
            prior=prior(known_chance(0.118)),
            test=TestTiming(
                performance=strip(sensitivity=0.906, specificity=0.958),
                by_day=SensitivityByDay(
                    event="exposure",
                    points=(DayPoint(day=35, sensitivity=known_chance(0.906)),),
                ),
                negative_counts_from={"exposure": counts_from},
                repeat_after=30,
            ),
            event="exposure",
            anchor=entry,
            on=entry,
            days=range(120),
            dependence={"brucella antibody": INDEPENDENT},
            condition=Condition.BRUCELLA,
        )
        assert told.reaches is not None
        assert told.reaches.on == first
        assert told.retest_on(entry) == first


def test_one_test_of_a_litter() -> None:
    """Six pups tested once, two infected: .83 misses both 2.9 %, .50 25 %."""
    for se, want in ((0.83, 0.0289), (0.50, 0.25)):
        found = group_sensitivity(group_size=6, infected=2, tested=6, sensitivity=se)
        assert 1 - found == near(want, 0.00005)
    assert post_test(
        0.5, sensitivity=0.5, specificity=0.98, result=Call.NEGATIVE
    ) == near(0.3378, 0.00005)
