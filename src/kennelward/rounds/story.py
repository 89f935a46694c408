"""How a chance came about: where it starts, what moved it, result by result."""

from dataclasses import dataclass

from kennelward.evidence import interpret
from kennelward.handbook import Handbook
from kennelward.rounds.case import CaseResult
from kennelward.rounds.seen import dependences
from kennelward.rounds.worth import DogInterpretation, condition_of
from kennelward.terms import Phrase


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
