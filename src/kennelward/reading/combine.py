"""Several photos of one strip taken together."""

import math
from collections.abc import Sequence
from dataclasses import replace

from kennelward.reading import tuning
from kennelward.reading.call import call_strip
from kennelward.reading.refusals import refuse
from kennelward.reading.signals import (
    CallCutoffs,
    Direction,
    LineSignal,
    StripCall,
    StripSignals,
)
from kennelward.reading.strip_signals import chance_of
from kennelward.terms import Call, Unreadable

# Photos of one strip share its membrane: what is uneven there stays. However many
# photos, no line becomes surer than this share of the best single one.
_LEAST_SHARE = 0.7
_KNOWN = (Direction.HOUSING, Direction.USER)


def combine_signals(photos: Sequence[StripSignals]) -> StripSignals | Unreadable:
    """One set of signals from photos of the same strip, the same kit.

    Photos whose direction is known are taken where there are any. Contrast is the mean
    weighted by each photo's own interval, log odds of a line are averaged and never
    added up, since one stain shows in every photo.
    """
    if not photos:
        return refuse("no-window")
    best = min(photos, key=lambda photo: photo.could_see)
    known = [photo for photo in photos if photo.direction in _KNOWN]
    if not known:
        return best
    if len(known) == 1:
        return known[0]
    lines = tuple(
        _together([photo.lines[i] for photo in known])
        for i in range(len(known[0].lines))
    )
    chosen = min(known, key=lambda photo: photo.could_see)
    return replace(
        chosen,
        lines=lines,
        extra_lines=min(photo.extra_lines for photo in known),
    )


def call_together(
    photos: Sequence[StripSignals], *, cutoffs: CallCutoffs
) -> StripCall | Unreadable:
    """The call of all photos together.

    Where one photo alone gives a positive that the whole does not, the positive stays,
    to be looked at again, and a trace stays before a negative: more photos never talk a
    line away.
    """
    together = combine_signals(photos)
    if isinstance(together, Unreadable):
        return together
    made = call_strip(together, cutoffs=cutoffs)
    if isinstance(made, StripCall) and made.call is Call.POSITIVE:
        return made
    if isinstance(made, StripCall) and made.call is Call.TRACE:
        kept: tuple[Call, ...] = (Call.POSITIVE,)
    else:
        kept = (Call.POSITIVE, Call.TRACE)
    each = [call_strip(photo, cutoffs=cutoffs) for photo in photos]
    for call in kept:
        for alone in each:
            if isinstance(alone, StripCall) and alone.call is call:
                return replace(alone, reasons=("photos-differ", "look-again"))
    return made


def photos_differ(photos: Sequence[StripSignals], *, cutoffs: CallCutoffs) -> bool:
    """Photos of one strip, each by itself, give more than one call.

    What cannot be called contradicts nothing.
    """
    alone = (call_strip(photo, cutoffs=cutoffs) for photo in photos)
    return len({made.call for made in alone if isinstance(made, StripCall)}) > 1


def _together(lines: list[LineSignal]) -> LineSignal:
    weights = [1 / max(line.noise_sd, 1e-4) ** 2 for line in lines]
    total = sum(weights)
    contrast = sum(w * line.contrast for w, line in zip(weights, lines, strict=True))
    contrast /= total
    least = min(line.noise_sd for line in lines)
    sd = max(math.sqrt(1 / total), _LEAST_SHARE * least)
    odds = sum(_log_odds(line.chance_line) for line in lines) / len(lines)
    # barely there in every photo: more than chance, so it counts, to be looked at again
    is_steady = len(lines) > 1 and all(line.is_maybe for line in lines)
    seen = len(lines) if is_steady else sum(line.is_seen for line in lines)
    is_seen = 2 * seen > len(lines) or (2 * seen == len(lines) and odds > 0)
    is_sure = any(line.is_seen and not line.is_maybe for line in lines)
    is_likely = is_seen or odds > _log_odds(chance_of(tuning.MAYBE_LOGIT))
    strongest = max(lines, key=lambda line: line.chance_line)
    return replace(
        strongest,
        contrast=contrast,
        low=contrast - 1.96 * sd,
        high=contrast + 1.96 * sd,
        noise_sd=sd,
        chance_line=1 / (1 + math.exp(-odds)),
        is_seen=is_seen,
        is_maybe=any(line.is_maybe for line in lines)
        and is_likely
        and not (is_steady or is_sure),
        is_grey=all(line.is_grey for line in lines if line.is_seen) and seen > 0,
    )


def _log_odds(chance: float) -> float:
    bounded = min(max(chance, 1e-4), 1 - 1e-4)
    return math.log(bounded / (1 - bounded))
