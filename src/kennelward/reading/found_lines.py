"""Lines on a straightened strip by network, and what a line could have been found."""

from dataclasses import dataclass

import numpy as np

from kennelward.reading.networks import BINS, STRIP, Floats, Networks, run
from kennelward.reading.planes import painted_over

_BIN_PX = STRIP[0] // BINS
_APART = 20 / STRIP[0]  # share of the length; two lines lie farther apart
_ENDS = 0.04  # share of the length at each end that is no line's centre


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundLine:
    """One place where a line may be."""

    place: float  # share of the length from the start of the strip
    logit: float  # of a line being there, as the network gives it
    od: float  # peak optical density in linear green, if it is one
    log_sd: float  # of the natural logarithm of `od`

    def from_other_end(self) -> "FoundLine":
        """The same with the strip turned round."""
        return FoundLine(
            place=1 - self.place, logit=self.logit, od=self.od, log_sd=self.log_sd
        )


def find_lines(planes: Floats, nets: Networks, *, most: int = 6) -> list[FoundLine]:
    """Places where a line may be, the likeliest first, well apart from each other.

    The strip is looked at from both ends and the answers are averaged, so that they
    cannot depend on how the photo was held.
    """
    (answers,) = run(nets.lines, _both_ways(planes))
    answers = answers.astype(np.float64)
    answers[1] = answers[1, :, ::-1]
    answers[1, 1] *= -1  # offsets point the other way
    logit, offset, od, log_sd = answers.mean(axis=0)
    centre = ((np.arange(BINS) + 0.5) * _BIN_PX + np.clip(offset, -4, 4)) / STRIP[0]
    found: list[FoundLine] = []
    for i in np.argsort(-logit):
        place = float(centre[i])
        near = any(abs(place - other.place) < _APART for other in found)
        if near or not _ENDS < place < 1 - _ENDS:
            continue
        found.append(
            FoundLine(
                place=place,
                logit=float(logit[i]),
                od=float(np.exp(np.clip(od[i], -9, 1))),
                log_sd=float(np.exp(np.clip(log_sd[i], -9, 1))),
            )
        )
        if len(found) == most:
            break
    return found


def could_find(
    planes: Floats, lines: list[FoundLine], nets: Networks, *, aspect: float
) -> float:
    """Optical density of a line that this strip would have shown 95 times in 100.

    `aspect`: length over width of the window.

    The two strongest places are painted over first, line or no line: what is measured
    is the photo and the membrane, and never the line that is to be judged.
    """
    centres = tuple(line.place * STRIP[0] for line in lines[:2])
    (log_lod,) = run(
        nets.quality, _both_ways(painted_over(planes, centres, aspect=aspect))
    )
    return float(np.exp(np.clip(np.ravel(log_lod).astype(np.float64).mean(), -9, 1)))


def _both_ways(planes: Floats) -> Floats:
    """As it is, and turned round."""
    return np.stack([planes, planes[:, ::-1, ::-1]])
