"""The call: a pure table. Nothing here is learned, nothing looks at pixels."""

from kennelward.reading import tuning
from kennelward.reading.refusals import refuse
from kennelward.reading.signals import (
    CallCutoffs,
    Direction,
    LineSignal,
    StripCall,
    StripSignals,
)
from kennelward.terms import MAY_BE_A_LINE, Call, Unreadable


def call_strip(
    signals: StripSignals, *, cutoffs: CallCutoffs
) -> StripCall | Unreadable:
    """Call the strip, or say why it cannot be called.

    | control | a test line | direction | answer |
    |---|---|---|---|
    | seen | clear | any | positive, faint below `faint_od` |
    | seen | seen, surely below `doubtful_od` | known | trace |
    | seen | none | known | negative, if it could have been seen |
    | one line, either | | assumed, from a cut picture | as control, and said so |
    | one line, either | | assumed, and the window is cut off | ask for the whole photo |
    | seen | perhaps, or barely | any | ask for another photo |
    | none | none | any | invalid, if a control could have been seen |
    | none | none, in a window darker than any membrane | any | say it may be empty |
    | none | seen | known | invalid, if a control could have been seen |
    | one line, between both places | | known | ask for a photo from above |
    | one line, either | | unsure | ask for the sample well |
    | any absence, and the window's place is unsure | | | ask for its corners |
    | any | any | unsure, and so is the window's place | ask for its corners |

    Refusal is one-sided: a line whose lower limit passes `clear_od` is called on any
    photo, an absence only where the photo could have shown the line.
    Source: control line and any test line as on every strip of this kind; the cutoffs
    and their sources stand in the handbook.
    """
    if signals.extra_lines:
        return refuse("too-many-lines")
    control, *tests = signals.lines
    has_control = _is_line(control, least=cutoffs.control_od)
    seen = [line for line in tests if line.is_seen]
    if signals.direction is Direction.UNSURE:
        return _without_direction(signals, cutoffs)
    if not (has_control and seen):
        if signals.is_window_unsure:
            return refuse("window-unsure")
        if signals.is_cut and (has_control or seen):
            return refuse("one-line-in-a-cut")
        if signals.is_between:
            return refuse("line-between")
    if not has_control:
        return _no_control(signals, control, seen, cutoffs)
    if seen:
        return _with_test_line(signals, seen, cutoffs)
    return _absence(signals, cutoffs)


def _is_line(line: LineSignal, *, least: float) -> bool:
    return line.is_seen and line.contrast >= least


def _without_direction(
    signals: StripSignals, cutoffs: CallCutoffs
) -> StripCall | Unreadable:
    """Two lines are positive whichever way round; one is asked; none may be no strip.

    Nothing on the housing and nothing on the membrane: a plain rectangle looks so too.
    Nothing on the housing and corners that wander, or a picture that hardly shows a
    line: anything with two dark places does, such as small print.
    """
    if signals.is_window_unsure:
        return refuse("window-unsure")
    if signals.could_see > tuning.UNDIRECTED_SEES:
        return refuse(signals.quality.worst or "window-unsure")
    seen = [line for line in signals.lines if line.is_seen]
    strong = [line for line in seen if line.contrast >= cutoffs.control_od]
    if len(seen) == len(signals.lines) and strong:
        weakest = min(seen, key=lambda line: line.contrast)
        return _with_test_line(signals, [weakest], cutoffs)
    if not seen:
        return refuse("window-unsure")
    return refuse("direction-unsure")


def _no_control(
    signals: StripSignals,
    control: LineSignal,
    seen: list[LineSignal],
    cutoffs: CallCutoffs,
) -> StripCall | Unreadable:
    if not seen and not signals.is_housing_clear:
        return refuse("window-unsure")  # a card with an empty box looks so too
    if not seen and signals.is_window_dark:
        return refuse("empty-window")
    if signals.could_see > cutoffs.control_od or (
        not seen and control.high > 2 * cutoffs.control_od
    ):
        return refuse(signals.quality.worst or "cannot-see-faint")
    return StripCall(
        call=Call.INVALID,
        could_see=signals.could_see,
        reasons=("test-line-alone",) if seen else ("no-control-line",),
    )


def _with_test_line(
    signals: StripSignals, seen: list[LineSignal], cutoffs: CallCutoffs
) -> StripCall | Unreadable:
    if not signals.is_housing_clear and signals.could_see > tuning.UNDIRECTED_SEES:
        return refuse(signals.quality.worst or "window-unsure")
    if all(line.is_maybe for line in seen):
        return refuse(MAY_BE_A_LINE)
    strongest = max(seen, key=lambda line: line.low)
    if strongest.is_grey:
        return refuse("grey-line")
    if strongest.high < cutoffs.doubtful_od:
        return StripCall(
            call=Call.TRACE,
            could_see=signals.could_see,
            reasons=("below-what-a-person-sees",),
        )
    is_clear = strongest.low >= cutoffs.clear_od
    if not is_clear and signals.could_see > cutoffs.negative_needs_od:
        return refuse(signals.quality.worst or "cannot-see-faint")
    return StripCall(
        call=Call.POSITIVE,
        is_faint=strongest.contrast < cutoffs.faint_od,
        could_see=signals.could_see,
        reasons=() if is_clear else ("look-again",),
    )


def _absence(signals: StripSignals, cutoffs: CallCutoffs) -> StripCall | Unreadable:
    if signals.could_see > cutoffs.negative_needs_od:
        return refuse(signals.quality.worst or "cannot-see-faint")
    if any(line.is_maybe for line in signals.lines[1:]):
        return refuse(MAY_BE_A_LINE)
    is_assumed = signals.direction is Direction.ASSUMED
    return StripCall(
        call=Call.NEGATIVE,
        could_see=signals.could_see,
        reasons=("control-assumed",) if is_assumed else (),
    )
