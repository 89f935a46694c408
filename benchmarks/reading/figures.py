"""Shares with their Wilson intervals, printed one a line."""

import numpy as np

from kennelward.evidence import proportion_ci


def share(name: str, hits: int, of: int, *, must: str = "") -> str:
    """`name`, the share, its 95 % Wilson interval, the counts, and what it must be."""
    if of == 0:
        return f"  {name:<52} none to count"
    found = proportion_ci(hits, of, method="wilson")
    wanted = f"   must {must}" if must else ""
    return (
        f"  {name:<52} {found.value:6.1%} ({found.low:.1%} to {found.high:.1%}; "
        f"{hits} of {of}){wanted}"
    )


def calibration_error(
    chances: list[float], truths: list[bool], *, bins: int = 10
) -> float:
    """Expected calibration error in ten equal bins of chance (0 to 1)."""
    chance, truth = np.asarray(chances), np.asarray(truths, float)
    which = np.minimum((chance * bins).astype(int), bins - 1)
    error = 0.0
    for i in range(bins):
        inside = which == i
        if inside.any():
            error += inside.mean() * abs(chance[inside].mean() - truth[inside].mean())
    return float(error)
