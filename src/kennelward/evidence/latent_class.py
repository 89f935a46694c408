"""No gold standard: tests' figures and prevalence from paired results alone.

Two classes of dog, infected and clean; given the class the tests are independent.
Where the data cannot tell, the answer is `CannotTell` with the reason.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from kennelward.terms import BadInput, Phrase, check_range

STARTS = ((0.2, 0.85, 0.95), (0.5, 0.7, 0.85), (0.1, 0.6, 0.9), (0.7, 0.9, 0.7))
FLAT = 1e-7  # smallest eigenvalue of the scaled information, beside the largest


@dataclass(frozen=True, slots=True, kw_only=True)
class CannotTell:
    """The data cannot tell the figures apart; `says` is why."""

    says: Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class LatentClasses:
    """The likeliest prevalence by population, sensitivity and specificity by test."""

    prevalence: tuple[float, ...]
    sensitivity: tuple[float, ...]
    specificity: tuple[float, ...]
    log_likelihood: float  # without the multinomial constant
    g2: float  # likelihood-ratio statistic against the counts themselves
    degrees_of_freedom: int  # counts left over after the parameters


def latent_class_mle(
    patterns: Sequence[str],
    counts: Sequence[float] | Sequence[Sequence[float]],
    *,
    iterations: int = 200_000,
) -> LatentClasses | CannotTell:
    """The likeliest figures, from counts of result patterns such as "110".

    `counts` is one row, or one row per population (the tests' figures are then shared
    and only prevalence differs). Patterns left out count 0. Expectation-maximisation
    from four fixed starts; the class with more positives is called infected.

    `CannotTell` with fewer counts than unknowns (two tests in one population), and
    where the likelihood is flat: populations of the same prevalence, tests that agree
    on everything.
    Source: Dempster, Laird & Rubin 1977; Hui & Walter 1980, Biometrics 36:167-171.
    """
    table, results = _checked(patterns, counts)
    populations, tests = table.shape[0], results.shape[1]
    unknowns = populations + 2 * tests
    known = populations * (2**tests - 1)
    if known < unknowns:
        return CannotTell(
            says=Phrase(
                "{tests} tests in {populations} group of dogs give {known} counts for "
                "{unknowns} unknowns: the data cannot tell. Add a third test, a second "
                "group with another prevalence, or what is known of one test.",
                {
                    "tests": tests,
                    "populations": populations,
                    "known": known,
                    "unknowns": unknowns,
                },
            )
        )
    fits = [_fit(table, results, start, iterations) for start in STARTS]
    best = max(fits, key=lambda fit: fit[3])
    prevalence, se, fp, log_likelihood = best
    if se.sum() < fp.sum():
        prevalence, se, fp = 1 - prevalence, fp, se
    if _is_flat(table, results, prevalence, se, fp):
        return CannotTell(
            says=Phrase(
                "Many different figures explain these results equally well: the groups "
                "are too alike or the tests agree too much. The data cannot tell."
            )
        )
    return LatentClasses(
        prevalence=tuple(map(float, prevalence)),
        sensitivity=tuple(map(float, se)),
        specificity=tuple(map(float, 1 - fp)),
        log_likelihood=log_likelihood,
        g2=2 * (_saturated(table) - log_likelihood),
        degrees_of_freedom=known - unknowns,
    )


def cell_chances(
    prevalence: float, sensitivity: Sequence[float], specificity: Sequence[float]
) -> dict[str, float]:
    """Chance of each pattern, "111" first, where the tests are independent by class."""
    check_range("prevalence", prevalence, low=0, high=1)
    chances = {}
    for pattern in product("10", repeat=len(sensitivity)):
        there = clean = 1.0
        for result, se, sp in zip(pattern, sensitivity, specificity, strict=True):
            there *= se if result == "1" else 1 - se
            clean *= 1 - sp if result == "1" else sp
        chances["".join(pattern)] = prevalence * there + (1 - prevalence) * clean
    return chances


def _checked(
    patterns: Sequence[str], counts: Sequence[float] | Sequence[Sequence[float]]
) -> tuple[np.ndarray, np.ndarray]:
    rows = np.atleast_2d(np.asarray(counts, dtype=float))
    if rows.shape[1] != len(patterns):
        raise BadInput(
            f"give one count for each pattern, got {rows.shape[1]} counts for "
            f"{len(patterns)} patterns"
        )
    lengths = {len(p) for p in patterns}
    if len(lengths) != 1 or any(set(p) - {"0", "1"} for p in patterns):
        raise BadInput('patterns must be of one length and made of 0 and 1, as "110"')
    if len(set(patterns)) != len(patterns):
        raise BadInput("each pattern may come once")
    check_range("least count", float(rows.min()), low=0)
    check_range("least total of a population", float(rows.sum(axis=1).min()), low=1)
    results = np.array([[int(x) for x in p] for p in patterns], dtype=float)
    return rows, results


def _class_chances(
    results: np.ndarray, se: np.ndarray, fp: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    there = np.prod(np.where(results == 1, se, 1 - se), axis=1)
    clean = np.prod(np.where(results == 1, fp, 1 - fp), axis=1)
    return there, clean


def _fit(
    table: np.ndarray,
    results: np.ndarray,
    start: tuple[float, float, float],
    iterations: int,
) -> tuple[np.ndarray, np.ndarray, np.ndarray, float]:
    """EM with every third step over-relaxed where that keeps the likelihood rising."""
    populations, tests = table.shape[0], results.shape[1]
    # Populations start apart, or EM would never part them.
    spread = np.linspace(0.7, 1.3, populations) if populations > 1 else np.ones(1)
    theta = np.concatenate(
        [
            np.clip(start[0] * spread, 0.02, 0.98),
            np.full(tests, start[1]),
            np.full(tests, 1 - start[2]),
        ]
    )
    value = _log_likelihood(table, results, theta)
    for _ in range(iterations):
        one = _em_step(table, results, theta)
        two = _em_step(table, results, one)
        r, v = one - theta, (two - one) - (one - theta)
        norm = float(np.sqrt(v @ v))
        jumped = two
        if norm > 0:  # SQUAREM, Varadhan & Roland 2008, Scand J Stat 35:335-353
            step = -float(np.sqrt(r @ r)) / norm
            trial = theta - 2 * step * r + step * step * v
            if np.all((trial >= 0) & (trial <= 1)):
                trial = _em_step(table, results, trial)
                if _log_likelihood(table, results, trial) >= value:
                    jumped = trial
        new_value = _log_likelihood(table, results, jumped)
        moved = float(np.abs(jumped - theta).max())
        theta, value = jumped, new_value
        if moved < 1e-13:
            break
    prevalence, se, fp = _parts(theta, populations, tests)
    return prevalence, se, fp, value


def _parts(
    theta: np.ndarray, populations: int, tests: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    cut = populations + tests
    return theta[:populations], theta[populations:cut], theta[cut:]


def _em_step(table: np.ndarray, results: np.ndarray, theta: np.ndarray) -> np.ndarray:
    populations, tests = table.shape[0], results.shape[1]
    prevalence, se, fp = _parts(theta, populations, tests)
    there, clean = _class_chances(results, se, fp)
    top = prevalence[:, None] * there
    whole = top + (1 - prevalence[:, None]) * clean
    share = np.divide(top, whole, out=np.zeros_like(top), where=whole > 0)
    infected, well = table * share, table * (1 - share)
    n1, n0 = infected.sum(), well.sum()
    new_se = infected.sum(axis=0) @ results / n1 if n1 > 0 else se
    new_fp = well.sum(axis=0) @ results / n0 if n0 > 0 else fp
    new = np.concatenate([infected.sum(axis=1) / table.sum(axis=1), new_se, new_fp])
    held: np.ndarray = np.clip(new, 0.0, 1.0)
    return held


def _log_likelihood(table: np.ndarray, results: np.ndarray, theta: np.ndarray) -> float:
    prevalence, se, fp = _parts(theta, table.shape[0], results.shape[1])
    there, clean = _class_chances(results, se, fp)
    cells = prevalence[:, None] * there + (1 - prevalence[:, None]) * clean
    seen = table > 0
    with np.errstate(divide="ignore"):
        return float((table[seen] * np.log(cells[seen])).sum())


def _saturated(table: np.ndarray) -> float:
    shares = table / table.sum(axis=1, keepdims=True)
    seen = table > 0
    return float((table[seen] * np.log(shares[seen])).sum())


def _is_flat(
    table: np.ndarray,
    results: np.ndarray,
    prevalence: np.ndarray,
    se: np.ndarray,
    fp: np.ndarray,
) -> bool:
    """True where the cell chances do not move with some mix of the parameters.

    Parameters on the edge (0 or 1) are left out: they are settled by the edge.
    """
    theta = np.concatenate([prevalence, se, fp])
    patterns = np.array(list(product((1.0, 0.0), repeat=results.shape[1])))
    full = np.zeros((table.shape[0], len(patterns)))

    def cells(at: np.ndarray) -> np.ndarray:
        p, s, f = _parts(at, full.shape[0], patterns.shape[1])
        there, clean = _class_chances(patterns, s, f)
        found: np.ndarray = p[:, None] * there + (1 - p[:, None]) * clean
        return found.ravel()

    inside = np.flatnonzero((theta > 1e-6) & (theta < 1 - 1e-6))
    base = np.maximum(cells(theta), 1e-12)
    columns = []
    for i in inside:
        step = np.zeros_like(theta)
        step[i] = 1e-6
        columns.append((cells(theta + step) - cells(theta - step)) / 2e-6)
    jacobian = np.array(columns).T / np.sqrt(base)[:, None]
    singular = np.linalg.svd(jacobian, compute_uv=False)
    return len(inside) > len(base) or bool(singular[-1] < FLAT**0.5 * singular[0])
