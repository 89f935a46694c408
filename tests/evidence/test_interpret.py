"""What results are worth together: twins, properties, and what does not count."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kennelward.evidence import (
    INDEPENDENT,
    BetaChance,
    Circumstances,
    Condition,
    Dependence,
    ReaderError,
    TestPerformance,
    UninformativeWindow,
    beta_chance,
    interpret,
    known_chance,
    post_test,
    prior,
    result_seen,
)
from kennelward.terms import BadInput, Call, OutOfRange, stream

POSITIVE, NEGATIVE = Call.POSITIVE, Call.NEGATIVE
FAECES = "giardia in faeces"


def a_test(
    se: BetaChance, sp: BetaChance, test: str = "strip", sees: str = FAECES
) -> TestPerformance:
    """A test."""
    return TestPerformance(test=test, sees=sees, sensitivity=se, specificity=sp)


STRIP = a_test(beta_chance(44, 11), beta_chance(57, 3))
FLOTATION = a_test(beta_chance(28, 28), beta_chance(99, 1), test="flotation")
HALF = {FAECES: Dependence(repeats=known_chance(0.5), kinds=known_chance(0.3))}
PUPPY = prior(beta_chance(8, 12), says="A puppy starts at about {n} in 100.")


def chance(results, *, before=PUPPY, dependence=HALF, **kwargs):
    """Median chance after results."""
    told = interpret(prior=before, results=results, dependence=dependence, **kwargs)
    return told.chance.median


def seen(call: Call, performance: TestPerformance = STRIP, **kwargs):
    """A result that counts unless told otherwise."""
    return result_seen(call, performance=performance, **kwargs)


def test_one_exact_result_is_bayes() -> None:
    """With exact figures the median is the closed form."""
    figures = a_test(known_chance(0.8), known_chance(0.95))
    for call in (POSITIVE, NEGATIVE):
        want = post_test(0.4, sensitivity=0.8, specificity=0.95, result=call)
        found = chance([seen(call, figures)], before=prior(known_chance(0.4)))
        assert found == pytest.approx(want, abs=1e-12)


def test_lattice_and_random_draws_agree() -> None:
    """The fixed lattice against 400 000 random draws of the same Betas."""
    results = [seen(NEGATIVE, FLOTATION), seen(POSITIVE)]
    fixed = interpret(prior=PUPPY, results=results, dependence=HALF)
    drawn = interpret(
        prior=PUPPY,
        results=results,
        dependence=HALF,
        rng=stream(1, "tests.interpret"),
        draws=400_000,
    )
    for name in ("low", "median", "high"):
        assert getattr(fixed.chance, name) == pytest.approx(
            getattr(drawn.chance, name), abs=0.004
        )


def test_the_plain_formula_done_by_hand() -> None:
    """Independent kinds with uncertain figures: a NumPy twin, draw by draw."""
    rng = np.random.default_rng(5)
    n = 400_000
    before = rng.beta(8, 12, n)
    se1, sp1 = rng.beta(28, 28, n), rng.beta(99, 1, n)
    se2, sp2 = rng.beta(44, 11, n), rng.beta(57, 3, n)
    odds = before / (1 - before) * (1 - se1) / sp1 * se2 / (1 - sp2)
    want = np.quantile(odds / (1 + odds), (0.05, 0.5, 0.95))
    told = interpret(
        prior=PUPPY,
        results=[seen(NEGATIVE, FLOTATION), seen(POSITIVE)],
        dependence={FAECES: INDEPENDENT},
    )
    found = (told.chance.low, told.chance.median, told.chance.high)
    assert found == pytest.approx(want, abs=0.004)


def hidden_state_twin(
    results, *, before: float, tests, repeats: float, kinds: float
) -> float:
    """The obvious way: every hidden state of every test is listed and summed.

    `tests`: name -> (se, sp); `results`: (name, is_positive).
    """
    names = list(dict.fromkeys(name for name, _ in results))

    def joint(infected: bool) -> float:
        shows = {
            t: (1 - repeats * (1 - tests[t][0]), repeats * (1 - tests[t][1]))
            for t in names
        }
        v1 = 1 - kinds * min(1 - shows[t][0] for t in names)
        v0 = kinds * min(shows[t][1] for t in names)
        total = 0.0
        for v in (True, False):
            weight_v = (v1 if infected else v0) if v else 1 - (v1 if infected else v0)
            for states in product((True, False), repeat=len(names)):
                weight = weight_v
                for t, w in zip(names, states, strict=True):
                    upper, lower = solve(shows[t], (v1, v0))
                    shown = upper if v else lower
                    weight *= shown if w else 1 - shown
                for name, is_positive in results:
                    se, sp = tests[name]
                    upper, lower = solve((se, 1 - sp), shows[name])
                    there = upper if states[names.index(name)] else lower
                    weight *= there if is_positive else 1 - there
                total += weight
        return total

    return before * joint(True) / (before * joint(True) + (1 - before) * joint(False))


def solve(margins, state) -> tuple[float, float]:
    """s and f with s v1 + f (1 - v1) and s v0 + f (1 - v0) equal to the margins."""
    (a, b), (v1, v0) = margins, state
    s, f = np.linalg.solve([[v1, 1 - v1], [v0, 1 - v0]], [a, b])
    assert -1e-9 <= f <= 1 + 1e-9
    assert -1e-9 <= s <= 1 + 1e-9
    return float(s), float(f)


figures = st.floats(0.55, 0.98)


@settings(max_examples=60, deadline=None)
@given(
    results=st.lists(
        st.tuples(st.sampled_from("ab"), st.booleans()), min_size=1, max_size=4
    ),
    a=st.tuples(figures, figures),
    b=st.tuples(figures, figures),
    before=st.floats(0.02, 0.9),
    repeats=st.floats(0, 0.95),
    kinds=st.floats(0, 0.95),
)
def test_dependence_against_a_listing_of_hidden_states(
    results, a, b, before, repeats, kinds
) -> None:
    """The chance is the same as summing every hidden state in turn."""
    tests = {"a": a, "b": b}
    want = hidden_state_twin(
        results, before=before, tests=tests, repeats=repeats, kinds=kinds
    )
    performances = {
        t: a_test(known_chance(se), known_chance(sp), test=t)
        for t, (se, sp) in tests.items()
    }
    found = chance(
        [seen(POSITIVE if p else NEGATIVE, performances[t]) for t, p in results],
        before=prior(known_chance(before)),
        dependence={
            FAECES: Dependence(repeats=known_chance(repeats), kinds=known_chance(kinds))
        },
    )
    assert found == pytest.approx(want, abs=1e-9)


def test_dependence_against_simulated_dogs() -> None:
    """Two million dogs with hidden states, tested twice with each of two tests."""
    rng = np.random.default_rng(7)
    n, before, repeats, kinds = 2_000_000, 0.3, 0.6, 0.4
    tests = {"a": (0.8, 0.9), "b": (0.6, 0.95)}
    infected = rng.random(n) < before
    shows = {
        t: (1 - repeats * (1 - se), repeats * (1 - sp)) for t, (se, sp) in tests.items()
    }
    v1 = 1 - kinds * min(1 - s[0] for s in shows.values())
    v0 = kinds * min(s[1] for s in shows.values())
    there = rng.random(n) < np.where(infected, v1, v0)
    read = {}
    for t, (se, sp) in tests.items():
        upper, lower = solve(shows[t], (v1, v0))
        state = rng.random(n) < np.where(there, upper, lower)
        upper, lower = solve((se, 1 - sp), shows[t])
        for k in (1, 2):
            read[t, k] = rng.random(n) < np.where(state, upper, lower)
        # Each test keeps its own sensitivity and specificity.
        assert read[t, 1][infected].mean() == pytest.approx(se, abs=0.002)
        assert read[t, 1][~infected].mean() == pytest.approx(1 - sp, abs=0.002)
    performances = {
        t: a_test(known_chance(se), known_chance(sp), test=t)
        for t, (se, sp) in tests.items()
    }
    for pattern in product((True, False), repeat=3):
        a1, a2, b1 = pattern
        kept = (read["a", 1] == a1) & (read["a", 2] == a2) & (read["b", 1] == b1)
        found = chance(
            [
                seen(POSITIVE if p else NEGATIVE, performances[t])
                for t, p in zip("aab", pattern, strict=True)
            ],
            before=prior(known_chance(before)),
            dependence={
                FAECES: Dependence(
                    repeats=known_chance(repeats), kinds=known_chance(kinds)
                )
            },
        )
        assert found == pytest.approx(float(infected[kept].mean()), abs=0.01)


def test_full_dependence_makes_a_repeat_worthless() -> None:
    """The same strip again adds nothing at dependence 1, all at 0."""
    whole = {FAECES: Dependence(repeats=known_chance(1.0), kinds=known_chance(0.0))}
    for call in (POSITIVE, NEGATIVE):
        once = chance([seen(call)], dependence=whole)
        assert chance([seen(call)] * 3, dependence=whole) == pytest.approx(once)
        twice = chance([seen(call)] * 2, dependence={FAECES: INDEPENDENT})
        half = chance([seen(call)] * 2, dependence=HALF)
        assert min(once, twice) < half < max(once, twice)


def test_repeats_never_prove_more_than_that_the_antibody_is_there() -> None:
    """Twenty negatives with dependence stop at a floor well above none."""
    found = [chance([seen(NEGATIVE)] * n) for n in (1, 2, 5, 20, 40)]
    assert found == sorted(found, reverse=True)
    assert found[-1] > 0.03
    assert found[-2] == pytest.approx(found[-1], abs=0.002)


chances = st.sampled_from([beta_chance(*ab) for ab in ((2, 60), (8, 12), (30, 5))])
good = st.sampled_from(
    [beta_chance(*ab) for ab in ((20, 15), (30, 2), (90, 1), (40, 10), (25, 25))]
)


@settings(max_examples=150, deadline=None)
@given(
    base=chances,
    se=good,
    sp=good,
    se2=good,
    sp2=good,
    calls=st.lists(st.tuples(st.booleans(), st.booleans()), max_size=4),
    repeats=st.floats(0, 1),
    kinds=st.floats(0, 1),
    of_second=st.booleans(),
)
def test_a_negative_never_raises_and_a_positive_never_lowers(
    base, se, sp, se2, sp2, calls, repeats, kinds, of_second
) -> None:
    """After any history; median and both ends of the interval."""
    first = a_test(se, sp, test="a")
    second = a_test(se2, sp2, test="b")
    dependence = {
        FAECES: Dependence(repeats=known_chance(repeats), kinds=known_chance(kinds))
    }
    history = [
        seen(POSITIVE if is_positive else NEGATIVE, second if other else first)
        for is_positive, other in [(True, False), (False, True), *calls]
    ]
    more = second if of_second else first

    def told(results):
        return interpret(
            prior=prior(base), results=results, dependence=dependence
        ).chance

    now = told(history)
    down, up = (
        told([*history, seen(NEGATIVE, more)]),
        told([*history, seen(POSITIVE, more)]),
    )
    for name in ("low", "median", "high"):
        assert getattr(down, name) <= getattr(now, name) + 1e-9
        assert getattr(up, name) >= getattr(now, name) - 1e-9


@settings(max_examples=150, deadline=None)
@given(
    tests=st.lists(st.tuples(good, good), min_size=4, max_size=4),
    calls=st.lists(st.tuples(st.integers(0, 2), st.booleans()), max_size=5),
    repeats=st.floats(0, 1),
    kinds=st.floats(0, 1),
)
def test_the_same_holds_for_many_kinds_that_are_named_beforehand(
    tests, calls, repeats, kinds
) -> None:
    """Four kinds that see one thing; the fourth comes last."""
    kinds_of_test = tuple(
        a_test(se, sp, test=f"test {i}") for i, (se, sp) in enumerate(tests)
    )
    dependence = {
        FAECES: Dependence(
            repeats=known_chance(repeats),
            kinds=known_chance(kinds),
            tests=kinds_of_test,
        )
    }
    history = [
        seen(POSITIVE if is_positive else NEGATIVE, kinds_of_test[i])
        for i, is_positive in calls
    ]
    told = interpret(
        prior=PUPPY,
        results=history,
        dependence=dependence,
        if_tested=kinds_of_test[3],
    )
    for name in ("low", "median", "high"):
        now = getattr(told.chance, name)
        assert getattr(told.chance_if_negative, name) <= now + 1e-9
        assert getattr(told.chance_if_positive, name) >= now - 1e-9


@settings(max_examples=40, deadline=None)
@given(
    calls=st.permutations([(POSITIVE, STRIP), (NEGATIVE, STRIP), (NEGATIVE, FLOTATION)])
)
def test_order_does_not_matter(calls) -> None:
    """Exact figures: any order of the same results gives the same chance."""
    fixed = {
        "strip": a_test(known_chance(0.8), known_chance(0.95)),
        "flotation": a_test(known_chance(0.5), known_chance(0.99), test="flotation"),
    }
    found = chance(
        [seen(call, fixed[p.test]) for call, p in calls],
        before=prior(known_chance(0.4)),
    )
    want = chance(
        [
            seen(POSITIVE, fixed["strip"]),
            seen(NEGATIVE, fixed["strip"]),
            seen(NEGATIVE, fixed["flotation"]),
        ],
        before=prior(known_chance(0.4)),
    )
    assert found == pytest.approx(want, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(base=chances, se=good, sp=good, narrow=st.floats(0.05, 0.94))
def test_intervals_nest(base, se, sp, narrow) -> None:
    """A narrower level lies inside a wider one."""
    result = [seen(POSITIVE, a_test(se, sp))]
    inner = interpret(prior=prior(base), results=result, level=narrow).chance
    outer = interpret(prior=prior(base), results=result, level=0.95).chance
    assert outer.low <= inner.low <= inner.median <= inner.high <= outer.high


def test_a_prior_of_0_stays_0_and_a_positive_is_then_an_error() -> None:
    """Nothing that was said to be impossible becomes possible."""
    none = prior(known_chance(0.0))
    assert chance([seen(NEGATIVE)], before=none) == 0
    with pytest.raises(OutOfRange, match=r"must be more than 0 .* got 0"):
        chance([seen(POSITIVE)], before=none)
    with pytest.raises(OutOfRange, match=r"must be less than 1 .* got 1"):
        chance([seen(NEGATIVE)], before=prior(known_chance(1.0)))


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


def test_results_of_one_kind_need_a_dependence() -> None:
    """Independence is never assumed in silence."""
    with pytest.raises(BadInput, match="not independent; give a dependence"):
        chance([seen(NEGATIVE)] * 2, dependence={})


def test_what_the_other_answer_would_have_left() -> None:
    """For the latest result, and for a test that might be done."""
    told = interpret(prior=PUPPY, results=[seen(POSITIVE)], dependence=HALF)
    other = interpret(prior=PUPPY, results=[seen(NEGATIVE)], dependence=HALF)
    assert told.chance_if_positive == told.chance
    assert told.chance_if_negative == other.chance
    asked = interpret(
        prior=PUPPY, results=[seen(POSITIVE)], dependence=HALF, if_tested=FLOTATION
    )
    assert asked.chance_if_negative.median < told.chance.median
    assert asked.chance_if_positive.median > told.chance.median


def test_words_are_counts_of_dogs_and_never_a_verdict() -> None:
    """Natural frequencies; Brucella is worded as suspicion."""
    told = interpret(prior=PUPPY, results=[seen(POSITIVE)])
    words = str(told.in_words)
    assert words.startswith(f"Of 100 dogs like this one, about {told.frequency.after} ")
    assert "infected dog" not in words
    suspect = interpret(
        prior=prior(beta_chance(1, 199)),
        results=[seen(POSITIVE)],
        condition=Condition.BRUCELLA,
    )
    assert "second method" in str(suspect.in_words)
    assert suspect.frequency.of == 1000
    assert "positive dog" not in str(suspect.in_words)
    bitch = interpret(
        prior=prior(known_chance(0.878)),
        results=[seen(POSITIVE)],
        condition=Condition.PREGNANT,
    )
    assert "pregnant" in str(bitch.in_words)
    assert not bitch.act_as_suspect


def test_rounding_never_says_none_or_all() -> None:
    """A chance of 99.99 % is not shown as all of them."""
    told = interpret(
        prior=prior(known_chance(0.9)),
        results=[seen(POSITIVE, a_test(known_chance(0.99), known_chance(0.999)))],
    )
    f = told.frequency
    assert 0 < f.after < f.of
    assert f.high < f.of


def test_perfect_tests_that_contradict_are_refused() -> None:
    """Bayes has no answer to the impossible."""
    perfect = a_test(known_chance(1.0), known_chance(1.0))
    with pytest.raises(BadInput, match="contradict"):
        chance(
            [seen(POSITIVE, perfect), seen(NEGATIVE, perfect)],
            dependence={FAECES: INDEPENDENT},
        )


def test_same_answer_every_time() -> None:
    """Without a generator there is no luck at all."""
    results = [seen(POSITIVE), seen(NEGATIVE, FLOTATION)]
    first = interpret(prior=PUPPY, results=results, dependence=HALF)
    assert first == interpret(prior=PUPPY, results=results, dependence=HALF)
    one = interpret(prior=PUPPY, results=results, dependence=HALF, rng=stream(3, "x"))
    two = interpret(prior=PUPPY, results=results, dependence=HALF, rng=stream(3, "x"))
    assert one == two
