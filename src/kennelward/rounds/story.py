"""How a chance came about: where it starts, what moved it, result by result."""

from dataclasses import dataclass

from kennelward.evidence import in_hundred, interpret
from kennelward.handbook import Handbook
from kennelward.rounds.case import CaseResult
from kennelward.rounds.seen import dependences
from kennelward.rounds.worth import DogInterpretation, condition_of
from kennelward.terms import Call, Phrase

DISAGREE_SAYS = (
    "Two tests differ. Positive: {yes}; it shows a line in about {wrong} of 100 that do "
    "not have it. Negative: {no}; it misses about {missed} of 100 that have it. The one "
    "that is wrong more seldom weighs more."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryStep:
    """One step from what was known before to what is known now."""

    kind: str  # "start" | "record" | "known" | "result" | "void"
    chance: float  # median after this step, 0 to 1
    says: Phrase | None = None  # of what was known; a result is told by `result`
    result: CaseResult | None = None
    why_not: Phrase | None = None  # of a result that does not count
    change: str = ""  # "up" | "down" | "same", beside the step before


def chance_story(
    *, handbook: Handbook, found: DogInterpretation
) -> tuple[StoryStep, ...]:
    """Start, own record, what is known of the dog, then each result in its order.

    `handbook` with the leaflets' figures laid over (`figures.with_own_figures`), as the
    chance was worked out.
    """
    steps = _prior_steps(found)
    held = dependences(handbook, found.infection)
    for number, (result, seen) in enumerate(
        zip(found.results, found.seen, strict=True), start=1
    ):
        if seen.counts:
            after = interpret(
                prior=found.prior,
                results=found.seen[:number],
                dependence=held,
                condition=condition_of(found.infection),
            ).chance.median
        else:
            after = steps[-1].chance
        steps.append(
            StoryStep(
                kind="result" if seen.counts else "void",
                chance=after,
                result=result,
                why_not=seen.why_not,
                change=_change(steps[-1].chance, after),
            )
        )
    return tuple(steps)


def disagreement(found: DogInterpretation) -> Phrase | None:
    """Why two counted results of different tests may differ; None where none do."""
    seen = [one for one in found.seen if one.counts]
    for no in seen:
        for yes in seen:
            differ = no.call is Call.NEGATIVE and yes.call is Call.POSITIVE
            if differ and no.performance.test != yes.performance.test:
                return Phrase(
                    DISAGREE_SAYS,
                    {
                        "yes": yes.performance.test,
                        "no": no.performance.test,
                        "missed": in_hundred(1 - no.performance.sensitivity.mean),
                        "wrong": in_hundred(1 - yes.performance.specificity.mean),
                    },
                )
    return None


def _prior_steps(found: DogInterpretation) -> list[StoryStep]:
    prior = found.prior
    medians = list(prior.medians())
    kinds = ["start"] + ["known"] * len(prior.contributions)
    if prior.own_record is not None and prior.own_record.says:
        medians.insert(0, prior.base.quantile(0.5))
        kinds.insert(1, "record")
    steps: list[StoryStep] = []
    for kind, chance, says in zip(kinds, medians, found.worth.reasons, strict=False):
        before = steps[-1].chance if steps else chance
        steps.append(
            StoryStep(
                kind=kind, chance=chance, says=says, change=_change(before, chance)
            )
        )
    return steps


def _change(before: float, after: float) -> str:
    if abs(after - before) < 1e-9:
        return "same"
    return "up" if after > before else "down"
