"""The curve of a dilution series: four-parameter logistic, fitted, read both ways.

No call is made from it: a strip is read for a line or none. It is for whoever measures
the lines of a dilution series of a kit and wants the amount at a contrast.
Source: Ritz, Streibig 2005, J Stat Softw 12(5):1-22.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from kennelward.terms import BadInput, check_range


class OffCurve(StrEnum):
    """A signal that no amount gives: the answer where there is no number."""

    BELOW = "below"  # at or under the lower end
    ABOVE = "above"  # at or over the upper end


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseCurve:
    """signal = low + (high - low) / (1 + (amount / middle) ** steepness).

    Falling where `steepness` is above 0, rising where it is below.
    """

    steepness: float
    low: float
    high: float
    middle: float  # the amount half way between

    def __post_init__(self) -> None:
        numbers = (self.steepness, self.low, self.high, self.middle)
        if not all(math.isfinite(number) for number in numbers):
            raise BadInput("a curve's four numbers must be finite")
        if self.steepness == 0 or self.middle <= 0 or self.low >= self.high:
            raise BadInput("a curve needs a slope, a middle above 0 and low below high")

    def signal_at(self, amount: float) -> float:
        """The signal at `amount`, 0 or more."""
        check_range("amount", amount, low=0)
        if amount == 0:
            return self.high if self.steepness > 0 else self.low
        power = self.steepness * math.log(amount / self.middle)
        if power > 0:  # the same quotient, written so that nothing overflows
            share = math.exp(-power) / (1 + math.exp(-power))
        else:
            share = 1 / (1 + math.exp(power))
        return self.low + (self.high - self.low) * share

    def amount_at(self, signal: float) -> float | OffCurve:
        """The amount that gives `signal`, or on which side no amount does."""
        if math.isnan(signal):
            raise BadInput("a signal must be a number")
        if signal <= self.low:
            return OffCurve.BELOW
        if signal >= self.high:
            return OffCurve.ABOVE
        odds = (self.high - signal) / (signal - self.low)
        if odds == 0:  # nearer to the end than numbers can tell
            return OffCurve.ABOVE
        return self.middle * math.exp(math.log(odds) / self.steepness)


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedCurve:
    """A curve through measured points, and how far they lie from it."""

    curve: DoseCurve
    squares: float  # sum of squared residuals
    residual_sd: float  # over points less the four parameters


def fit_dose_curve(amounts: Sequence[float], signals: Sequence[float]) -> FittedCurve:
    """Fit by ordinary least squares; amounts of 0 count.

    Raises BadInput below five points or four different amounts, or where the points
    make no curve.
    """
    from scipy.optimize import least_squares

    x, y = np.asarray(amounts, np.float64), np.asarray(signals, np.float64)
    if x.shape != y.shape or x.ndim != 1 or x.size < 5 or np.unique(x).size < 4:
        raise BadInput("a curve needs five points or more, of four amounts or more")
    if not (np.isfinite(x).all() and np.isfinite(y).all()) or (x < 0).any():
        raise BadInput("amounts must be 0 or more, and every number finite")
    if np.ptp(y) == 0:
        raise BadInput("all signals are alike: no curve to fit")

    def residuals(four: NDArray[np.float64]) -> NDArray[np.float64]:
        return _signals(four, x) - y

    found = least_squares(
        residuals, _start(x, y), method="lm", xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    steepness, low, high, log_middle = (float(value) for value in found.x)
    if low > high:  # the same curve, told from its other end
        steepness, low, high = -steepness, high, low
    squares = float(found.fun @ found.fun)
    return FittedCurve(
        curve=DoseCurve(
            steepness=steepness, low=low, high=high, middle=math.exp(log_middle)
        ),
        squares=squares,
        residual_sd=math.sqrt(squares / (x.size - 4)),
    )


def _signals(four: NDArray[np.float64], x: NDArray[np.float64]) -> NDArray[np.float64]:
    steepness, low, high, log_middle = four
    with np.errstate(divide="ignore"):
        power = steepness * (np.log(x) - log_middle)
    shares = 1 / (1 + np.exp(np.clip(power, -700, 700)))
    return np.asarray(low + (high - low) * shares, np.float64)


def _start(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Ends as measured; the slope's sign by where the signals of small amounts lie."""
    small = x <= np.median(x)
    is_falling = y[small].mean() > y[~small].mean() if (~small).any() else True
    middle = np.log(np.median(x[x > 0]))
    return np.array([1.0 if is_falling else -1.0, y.min(), y.max(), middle])
