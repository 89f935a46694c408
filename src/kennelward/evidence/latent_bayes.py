"""The same without a gold standard, with what is already known of the tests.

One population and two tests are counted out exactly; two populations are sampled.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from kennelward.evidence.accuracy import BetaChance
from kennelward.evidence.latent_class import CannotTell
from kennelward.terms import BadInput, Phrase, check_range

if TYPE_CHECKING:
    from numpy.random import Generator

INFORMED = 2.0  # strength of a uniform Beta(1, 1); more than this is knowledge
UNIFORM = BetaChance(mean=0.5, strength=2.0, source="uniform")


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """Mean, median and 95 % interval of one figure, 0 to 1."""

    mean: float
    q025: float
    median: float
    q975: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoTestPriors:
    """What is known beforehand of two tests and of the prevalence."""

    sensitivity: tuple[BetaChance, BetaChance]
    specificity: tuple[BetaChance, BetaChance]
    prevalence: BetaChance = UNIFORM


def latent_class_bayes(
    counts: Sequence[int], *, priors: TwoTestPriors
) -> Mapping[str, Summary] | CannotTell:
    """Two tests on the same dogs of one population; exact.

    `counts` are ++, +-, -+, -- (first test first). Keys of the answer: prevalence,
    sensitivity_1, sensitivity_2, specificity_1, specificity_2. The posterior is a
    finite mixture of Betas over how many in each cell were truly infected, summed out.

    `CannotTell` where fewer than two of the four test figures have a prior that knows
    more than a uniform one: three counts cannot tell five unknowns.
    Source: Joseph, Gyorkos & Coupal 1995, Am J Epidemiol 141:263-272 (model).
    """
    cells = _four(counts)
    figures = (*priors.sensitivity, *priors.specificity)
    if any(f.is_exact for f in (*figures, priors.prevalence)):
        raise BadInput("priors must be Betas with both shapes above 0, not exact")
    if sum(f.strength > INFORMED for f in figures) < 2:
        return CannotTell(
            says=Phrase(
                "Two tests on one group of dogs give three counts for five unknowns. "
                "Give what is known of at least two of the tests' figures."
            )
        )
    weights = _mixture(cells, priors)
    return {
        name: _summary(_marginal(weights, cells, name), prior)
        for name, prior in (
            ("prevalence", priors.prevalence),
            ("sensitivity_1", priors.sensitivity[0]),
            ("sensitivity_2", priors.sensitivity[1]),
            ("specificity_1", priors.specificity[0]),
            ("specificity_2", priors.specificity[1]),
        )
    }


def _mixture(cells: np.ndarray, priors: TwoTestPriors) -> np.ndarray:
    """Weight of each (true ++, true +-, true -+, true --)."""
    from scipy.special import betaln, gammaln

    axes = [np.arange(n + 1) for n in cells]
    y = np.meshgrid(*axes, indexing="ij", sparse=True)
    z = [n - t for n, t in zip(cells, y, strict=True)]
    log = np.zeros([len(a) for a in axes])
    for n, t in zip(cells, y, strict=True):
        log = log + gammaln(n + 1) - gammaln(t + 1) - gammaln(n - t + 1)
    pairs = (
        (priors.prevalence, sum(y), sum(z)),
        (priors.sensitivity[0], y[0] + y[1], y[2] + y[3]),
        (priors.sensitivity[1], y[0] + y[2], y[1] + y[3]),
        (priors.specificity[0], z[2] + z[3], z[0] + z[1]),
        (priors.specificity[1], z[1] + z[3], z[0] + z[2]),
    )
    for prior, right, wrong in pairs:
        log = log + betaln(prior.a + right, prior.b + wrong)
    weights: np.ndarray = np.exp(log - log.max())
    weights /= weights.sum()
    return weights


def _marginal(
    weights: np.ndarray, cells: np.ndarray, name: str
) -> dict[tuple[int, int], float]:
    """Weight of each (right, wrong) count that one figure's Beta gains."""
    y = np.indices(weights.shape).reshape(4, -1)
    z = cells[:, None] - y
    right, wrong = {
        "prevalence": (y.sum(axis=0), z.sum(axis=0)),
        "sensitivity_1": (y[0] + y[1], y[2] + y[3]),
        "sensitivity_2": (y[0] + y[2], y[1] + y[3]),
        "specificity_1": (z[2] + z[3], z[0] + z[1]),
        "specificity_2": (z[1] + z[3], z[0] + z[2]),
    }[name]
    width = int(cells.sum()) + 1
    key = right * width + wrong
    mass = np.bincount(key, weights=weights.ravel())
    return {
        (int(k) // width, int(k) % width): float(mass[k]) for k in np.flatnonzero(mass)
    }


def _summary(marginal: dict[tuple[int, int], float], prior: BetaChance) -> Summary:
    from scipy.optimize import brentq
    from scipy.special import betainc

    counts = np.array(list(marginal))
    weight = np.array(list(marginal.values()))
    kept = weight > 1e-16
    counts, weight = counts[kept], weight[kept] / weight[kept].sum()
    a, b = prior.a + counts[:, 0], prior.b + counts[:, 1]
    mean = float(weight @ (a / (a + b)))

    def quantile(share: float) -> float:
        def over(x: float) -> float:
            return float(weight @ betainc(a, b, x)) - share

        return float(brentq(over, 0.0, 1.0, xtol=1e-12))

    return Summary(
        mean=mean, q025=quantile(0.025), median=quantile(0.5), q975=quantile(0.975)
    )


def hui_walter_bayes(
    first: Sequence[int],
    second: Sequence[int],
    *,
    rng: "Generator",
    chains: int = 400,
    kept: int = 1_000,
    priors: TwoTestPriors | None = None,
) -> Mapping[str, Summary]:
    """Two tests in two populations, ++, +-, -+, -- counts each; Gibbs sampling.

    Uniform priors unless given, restricted to Se + Sp > 1. Keys: prevalence_1,
    prevalence_2, sensitivity_1, sensitivity_2, specificity_1, specificity_2. The
    answer carries sampling error of about 1 sd / sqrt(chains kept / 20).
    Source: Hui & Walter 1980 (model); Joseph et al. 1995 (sampler).
    """
    check_range("chains", chains, low=10, high=10_000)
    check_range("kept", kept, low=10, high=100_000)
    tables = np.array([_four(first), _four(second)])
    known = priors or TwoTestPriors(
        sensitivity=(UNIFORM, UNIFORM), specificity=(UNIFORM, UNIFORM)
    )
    state = {
        "prevalence": rng.uniform(0.2, 0.8, (2, chains)),
        "se": rng.uniform(0.7, 0.99, (2, chains)),
        "sp": rng.uniform(0.7, 0.99, (2, chains)),
    }
    found: list[np.ndarray] = []
    warm_up = max(100, kept // 5)
    for step in range(warm_up + kept):
        state = _gibbs_step(state, tables, known, rng)
        if step >= warm_up:
            found.append(
                np.concatenate([state["prevalence"], state["se"], state["sp"]])
            )
    drawn = np.stack(found, axis=1).reshape(6, -1)
    names = (
        "prevalence_1",
        "prevalence_2",
        "sensitivity_1",
        "sensitivity_2",
        "specificity_1",
        "specificity_2",
    )
    return {name: _drawn_summary(row) for name, row in zip(names, drawn, strict=True)}


def _gibbs_step(
    state: Mapping[str, np.ndarray],
    tables: np.ndarray,
    priors: TwoTestPriors,
    rng: "Generator",
) -> dict[str, np.ndarray]:
    prevalence, se, sp = state["prevalence"], state["se"], state["sp"]
    s1, s2 = (np.stack([se[i], 1 - se[i]]) for i in (0, 1))
    f1, f2 = (np.stack([1 - sp[i], sp[i]]) for i in (0, 1))
    # Cells in the order ++, +-, -+, --; result 0 is positive.
    there = np.stack([s1[i] * s2[j] for i in (0, 1) for j in (0, 1)])
    clean = np.stack([f1[i] * f2[j] for i in (0, 1) for j in (0, 1)])
    top = prevalence[:, None] * there
    share = top / (top + (1 - prevalence[:, None]) * clean)
    true = rng.binomial(tables[:, :, None], share)  # (2 populations, 4 cells, chains)
    not_true = tables[:, :, None] - true
    y, z = true.sum(axis=0), not_true.sum(axis=0)
    new_prevalence = rng.beta(
        priors.prevalence.a + true.sum(axis=1),
        priors.prevalence.b + not_true.sum(axis=1),
    )
    hits = (y[0] + y[1], y[0] + y[2])
    negatives = (z[2] + z[3], z[1] + z[3])
    new_se, new_sp = np.empty_like(se), np.empty_like(sp)
    for i in (0, 1):
        a, b = priors.sensitivity[i], priors.specificity[i]
        new_se[i] = rng.beta(a.a + hits[i], a.b + y.sum(axis=0) - hits[i])
        new_sp[i] = rng.beta(b.a + negatives[i], b.b + z.sum(axis=0) - negatives[i])
    # A chain that would leave Se + Sp > 1 keeps its figures for this step.
    stays = (new_se + new_sp <= 1).any(axis=0)
    new_se, new_sp = np.where(stays, se, new_se), np.where(stays, sp, new_sp)
    return {"prevalence": new_prevalence, "se": new_se, "sp": new_sp}


def _drawn_summary(drawn: np.ndarray) -> Summary:
    low, median, high = np.quantile(drawn, (0.025, 0.5, 0.975))
    return Summary(
        mean=float(drawn.mean()),
        q025=float(low),
        median=float(median),
        q975=float(high),
    )


def _four(counts: Sequence[int]) -> np.ndarray:
    if len(counts) != 4:
        raise BadInput(f"give four counts ++, +-, -+, --, got {len(counts)}")
    for count in counts:
        check_range("count", count, low=0, high=100_000)
    return np.array(counts, dtype=np.int64)
