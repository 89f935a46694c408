"""What counts, what does not, and who read it."""

import pytest

from kennelward.evidence import (
    Circumstances,
    ReaderError,
    UninformativeWindow,
    interpret,
    known_chance,
    prior,
)
from kennelward.terms import Call
from tests.evidence.one_dog import (
    NEGATIVE,
    POSITIVE,
    PUPPY,
    a_test,
    chance,
    seen,
)


@pytest.mark.parametrize("call", list(Call))
@pytest.mark.parametrize("reason", ["expired", "read-late", "no-leaflet", "unreadable"])
def test_void_results_move_nothing_and_say_why(call: Call, reason: str) -> None:
    """Whatever the strip says."""
    told = interpret(prior=PUPPY, results=[seen(call, void_reasons=[reason])])
    assert told.chance == told.chance_before
    assert not told.informative
    assert told.not_counted[0].why_not is not None
    assert str(told.not_counted[0].why_not) in map(str, told.reasons)
    assert "No result counts yet" in str(told.in_words)


def test_invalid_and_unreadable_strips_need_no_code() -> None:
    """The call itself says why."""
    for call, words in (
        (Call.INVALID, "control line"),
        (Call.UNREADABLE, "not be read"),
    ):
        result = seen(call)
        assert not result.counts
        assert words in str(result.why_not)


def test_a_trace_acts_as_suspect_and_moves_no_chance() -> None:
    """Until the repeat."""
    told = interpret(prior=PUPPY, results=[seen(Call.TRACE)])
    assert told.chance == told.chance_before
    assert told.act_as_suspect
    assert any("act as for a suspect" in str(reason) for reason in told.reasons)
    assert not interpret(prior=PUPPY, results=[seen(NEGATIVE)]).act_as_suspect


LEFTOVER = UninformativeWindow(
    test="strip",
    call=POSITIVE,
    event="course-end",
    first=0,
    last=30,
    effect="no-information",
    says="Antigen can stay for weeks after a cure: ask for a test that sees cysts.",
)
VACCINE = UninformativeWindow(
    test="strip",
    call=POSITIVE,
    event="live-vaccine",
    first=3,
    last=12,
    effect="flag",
    says="This may be the vaccine. Treat it as real until a vet says otherwise.",
)


@pytest.mark.parametrize(
    ("days", "counts"), [(0, False), (30, False), (31, True), (400, True)]
)
def test_antigen_after_a_course_is_uninformative(days: int, counts: bool) -> None:
    """Both ends of the window belong to it."""
    case = Circumstances(days_since={"course-end": days})
    result = seen(POSITIVE, case=case, windows=[LEFTOVER])
    assert result.counts is counts
    told = interpret(prior=PUPPY, results=[result])
    assert told.informative is counts
    assert (told.chance == told.chance_before) is not counts
    assert told.act_as_suspect  # a line is there, whatever it is worth
    negative = seen(NEGATIVE, case=case, windows=[LEFTOVER])
    assert negative.counts


@pytest.mark.parametrize(("days", "flagged"), [(2, 0), (3, 1), (12, 1), (13, 0)])
def test_antigen_after_live_vaccine_is_flagged_and_counts(
    days: int, flagged: int
) -> None:
    """The chance moves all the same."""
    case = Circumstances(days_since={"live-vaccine": days})
    result = seen(POSITIVE, case=case, windows=[VACCINE])
    assert result.counts
    assert len(result.flags) == flagged
    told = interpret(prior=PUPPY, results=[result])
    assert told.chance.median > told.chance_before.median
    assert ("vaccine" in " ".join(map(str, told.reasons))) is bool(flagged)


def test_reader_error_pulls_the_chance_back() -> None:
    """A reader that misses lines makes a negative worth less, and so on."""
    sloppy = ReaderError(line_missed=0.2, line_imagined=0.1)
    for call in (POSITIVE, NEGATIVE):
        sharp = chance([seen(call)])
        blurred = chance([seen(call, reader=sloppy)])
        before = interpret(prior=PUPPY).chance.median
        assert abs(blurred - before) < abs(sharp - before)
    figures_ = a_test(known_chance(0.8), known_chance(0.95))
    found = chance(
        [seen(NEGATIVE, figures_, reader=sloppy)], before=prior(known_chance(0.4))
    )
    # By hand: a line shows in .8 and .05; read as none: .2 * .9 + .8 * .2 = .34 and
    # .95 * .9 + .05 * .2 = .865; .4 * .34 / (.4 * .34 + .6 * .865).
    assert found == pytest.approx(0.136 / (0.136 + 0.519), abs=1e-12)
