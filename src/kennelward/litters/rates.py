"""Rare events counted over a time: exact limits, and how unusual a count is."""

from dataclasses import dataclass

from kennelward.terms import Interval, check_range


def chance_of_count(*, at_least: int, mean: float) -> float:
    """Chance that a Poisson count of `mean` is `at_least` or more. Returns 0 to 1."""
    check_range("count", at_least, low=0, high=100_000)
    check_range("mean count", mean, low=0, high=1e6)
    from scipy.special import pdtrc

    return 1.0 if at_least == 0 else float(pdtrc(at_least - 1, mean))


def count_limits(*, count: int, level: float = 0.90) -> Interval:
    """Exact limits of the mean behind a Poisson `count`.

    Source: Garwood F 1936, Biometrika 28:437-442.
    """
    check_range("count", count, low=0, high=100_000)
    check_range("level", level, low=0.5, high=0.999)
    from scipy.special import chdtri

    edge = (1 - level) / 2
    low = float(chdtri(2 * count, 1 - edge)) / 2 if count else 0.0
    return Interval(
        median=float(chdtri(2 * count + 1, 0.5)) / 2,
        low=low,
        high=float(chdtri(2 * count + 2, edge)) / 2,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LostPregnancies:
    """Pregnancies lost beside what is usual."""

    lost: int
    pregnancies: int  # that ended in the same time, lost or born
    expected: float  # at the published share
    chance: float  # of as many or more, at the published share
    years: float
    a_year: Interval  # 90 %


def lost_pregnancies(
    *, lost: int, pregnancies: int, share: float, years: float
) -> LostPregnancies:
    """How unusual it is to lose `lost` of `pregnancies` at a published `share`."""
    check_range("pregnancies lost", lost, low=0, high=pregnancies)
    check_range("years", years, low=0.01, high=100)
    limits = count_limits(count=lost)
    expected = share * pregnancies
    return LostPregnancies(
        lost=lost,
        pregnancies=pregnancies,
        expected=expected,
        chance=chance_of_count(at_least=lost, mean=expected),
        years=years,
        a_year=Interval(
            median=limits.median / years,
            low=limits.low / years,
            high=limits.high / years,
        ),
    )
