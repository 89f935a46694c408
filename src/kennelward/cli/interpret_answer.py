"""The answer of `kennelward interpret`, for a program and for a person."""

from typing import TYPE_CHECKING, Any

from kennelward.cli.shared_options import console
from kennelward.cli.words import hang, in_hundred
from kennelward.terms import Call

if TYPE_CHECKING:
    from kennelward.evidence import Interpretation, NextStep
    from kennelward.rounds import DogInterpretation, NextStepAdvice, StoryStep

NO_TEST = "no-test"
STEP_WORDS = {
    "carry-on": "nothing more on its account; what is due for the dog stands",
    "keep-apart": "keep apart",
    "act-as-infected": "keep apart and ask the vet",
}
SHOWN = 3  # tests named on the terminal; JSON has all


def as_plain(
    found: "DogInterpretation",
    *,
    story: "tuple[StoryStep, ...]",
    advice: "NextStepAdvice | None",
) -> dict[str, Any]:
    """The whole answer as JSON: the chances, how they came about, what comes next."""
    return worth_as_plain(found.worth) | {
        "steps": [_step(step) for step in story],
        "figures": [_figures(found, number) for number in range(len(found.seen))],
        "by_handbook": found.by_handbook.chance.as_json()
        if found.by_handbook is not None
        else None,
        "next": _next(advice) if advice is not None else None,
    }


def worth_as_plain(worth: "Interpretation") -> dict[str, Any]:
    """The chances as JSON, 0 to 1; `low` and `high` hold 90 %."""
    return {
        "chance": worth.chance.as_json(),
        "chance_before": worth.chance_before.median,
        "chance_if_negative": worth.chance_if_negative.median,
        "chance_if_positive": worth.chance_if_positive.median,
        "informative": worth.informative,
        "act_as_suspect": worth.act_as_suspect,
        "reasons": [str(reason) for reason in worth.reasons],
        "in_words": str(worth.in_words),
        "of": worth.condition.value,
        "interval": 0.90,
        "intervals": {
            "chance_before": worth.chance_before.as_json(),
            "chance_if_negative": worth.chance_if_negative.as_json(),
            "chance_if_positive": worth.chance_if_positive.as_json(),
        },
    }


def _step(step: "StoryStep") -> dict[str, Any]:
    """One thing that moved the chance, or did not."""
    result = step.result
    return {
        "kind": step.kind,
        "says": str(step.says) if step.says is not None else "",
        "test": result.test if result is not None else None,
        "result": result.call.value if result is not None else None,
        "on": result.on.isoformat() if result is not None and result.on else None,
        "counts": step.kind != "void",
        "why_not": str(step.why_not) if step.why_not is not None else None,
        "chance": step.chance,
    }


def _figures(found: "DogInterpretation", number: int) -> dict[str, Any]:
    """The figures one result was weighed by."""
    used = found.seen[number].performance
    return {
        "test": used.test,
        "situation": used.situation.says,
        "sensitivity": used.sensitivity.interval().as_json(),
        "specificity": used.specificity.interval().as_json(),
        "source": used.sensitivity.source,
        "provenance": used.sensitivity.provenance.value,
    }


def _next(advice: "NextStepAdvice") -> dict[str, Any]:
    """Thresholds and tests; `worth` and `price` in the money given, else in visits."""
    unit = 100 if advice.prices.is_money else advice.prices.visit_cents
    return {
        "step": advice.step,
        "at_least": advice.floor.step,
        "keep_apart_from": advice.thresholds.keep_apart_from,
        "act_from": advice.thresholds.act_from,
        "unit": "money" if advice.prices.is_money else "clinic visits",
        "harms_are_assumed": advice.harms_are_assumed,
        "tests": [
            {
                "test": step.test,
                "days_sampled": step.days_sampled,
                "price": step.price_cents / unit,
                "price_is_assumed": step.test in advice.assumed_prices,
                "worth": step.worth_cents / unit,
                "if_positive": step.chance_if_positive,
                "if_negative": step.chance_if_negative,
                "then_if_positive": step.then_if_positive,
                "then_if_negative": step.then_if_negative,
            }
            for step in advice.ranked
            if step.test != NO_TEST
        ],
        "not_now": [
            {"test": one.test, "because": str(one.because)} for one in advice.not_now
        ],
    }


def print_answer(found: "DogInterpretation", advice: "NextStepAdvice | None") -> None:
    """The same for a person."""
    worth = found.worth
    out = console()
    out.print(hang("Means", str(worth.in_words), style="bold"))
    if worth.informative and worth.counted[-1].call is Call.POSITIVE:
        out.print(hang("", f"Had the last result been negative: {in_hundred(worth)}."))
    elif not worth.informative:
        out.print(hang("", "No result counted: the chance is as it was before."))
    if found.by_handbook is not None:
        out.print(
            hang(
                "", f"By the handbook's figures: {_now_in_hundred(found.by_handbook)}."
            )
        )
    for number, reason in enumerate(worth.reasons):
        out.print(hang("" if number else "Because", str(reason)))
    if worth.act_as_suspect:
        out.print(hang("Act", "as for a suspect, whatever the chance"))
    if advice is not None:
        _print_next(advice)
    out.print(
        hang(
            "", "A strip is a screening aid: confirmation and treatment are the vet's."
        )
    )


def _now_in_hundred(found: "Interpretation") -> str:
    from kennelward.evidence import natural_frequency

    counts = natural_frequency(before=found.chance_before, after=found.chance)
    return (
        f"about {counts.after} in {counts.of} (between {counts.low} and {counts.high})"
    )


def _print_next(advice: "NextStepAdvice") -> None:
    out = console()
    assumed = " (prices assumed)" if advice.harms_are_assumed else ""
    said = f"without another test: {STEP_WORDS[advice.step]}{assumed}"
    out.print(hang("Next", said))
    if advice.floor.because is not None:
        out.print(hang("", str(advice.floor.because)))
    tests = [step for step in advice.ranked if step.test != NO_TEST]
    for step in tests[:SHOWN]:
        out.print(hang("", f"- {_test_words(step, advice)}"))
    out.print(hang("", "What signs and rules ask for stays, whatever this sum says."))


def _test_words(step: "NextStep", advice: "NextStepAdvice") -> str:
    from kennelward.evidence import in_hundred as count

    days = f", stools of {step.days_sampled} days" if step.days_sampled > 1 else ""
    said = (
        f"{step.test}{days}: positive would leave {count(step.chance_if_positive)} in "
        f"100, negative {count(step.chance_if_negative)}"
    )
    if step.then_if_positive == step.then_if_negative:
        return f"{said}; it does not change what to do"
    unit = 100 if advice.prices.is_money else advice.prices.visit_cents
    name = "" if advice.prices.is_money else " clinic visits"
    amount = f"{abs(step.worth_cents) / unit:.2f}{name}"
    if step.worth_cents > 0:
        return f"{said}; saves {amount} more than its price"
    return f"{said}; costs {amount} more than it saves"
