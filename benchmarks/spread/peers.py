"""Other libraries on the model of `bench_sise`, where they are installed.

Install them with `uv pip install -r requirements/bench.txt`; nothing else uses them.
starsim has no such model: it is written here with its own states and random numbers, in
its daily steps, 500 kennels side by side in one simulation, its quickest way. EoN holds
rates that are constant between events, so contamination that fades is beyond it: its
exact SIR on 60 dogs, an easier model, is timed for scale alone.
"""

import importlib.metadata
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from kennelward.spread.sise import Sise

BATCH = 500  # kennels in one simulation


def version(library: str) -> str:
    """What is installed, or nothing."""
    try:
        return importlib.metadata.version(library)
    except importlib.metadata.PackageNotFoundError:
        return ""


def starsim_runs(model: Sise) -> Callable[[int], float] | None:
    """Mean share infected of so many kennels by starsim; None where it is missing."""
    try:
        import starsim as ss
    except ImportError:
        return None
    ss.options(verbose=0)
    shape = (BATCH, model.pens, model.dogs)

    class Contaminated(ss.Module):
        """Pens whose contamination infects the dogs in them."""

        def __init__(self) -> None:
            super().__init__()
            self.define_states(ss.BoolState("sick", default=False))
            self.luck = ss.random()
            self.phi = np.full(shape[:2], model.phi_start)
            self.total = 0.0

        def init_post(self) -> None:
            super().init_post()
            first = np.zeros(shape, dtype=bool)
            first[:, : model.infected_start, 0] = True
            self.sick[ss.uids(np.flatnonzero(first.ravel()))] = True

        def step(self) -> None:
            sick = self.sick.values.reshape(shape)
            draws = self.luck.rvs(self.sim.people.auids).reshape(shape)
            infect = (1 - np.exp(-model.infect * self.phi))[:, :, None]
            sick = sick ^ (draws < np.where(sick, 1 - np.exp(-model.recover), infect))
            self.sick[:] = sick.ravel()
            inside = sick.sum(axis=2)
            self.total += float(inside.sum())
            self.phi = (
                self.phi * (1 - model.fade)
                + inside * (model.shed / model.dogs)
                + model.inflow
            )

    seed = 0

    def work(runs: int) -> float:
        nonlocal seed
        total = 0.0
        for _ in range(runs // BATCH):
            seed += 1
            pens = Contaminated()
            sim = _simulation(ss, pens, model, seed)
            sim.run()
            total += pens.total
        return total / (runs * model.days * model.pens * model.dogs)

    return work


def _simulation(ss: Any, pens: object, model: Sise, seed: int) -> Any:
    """One simulation of `BATCH` kennels, each day a step."""
    return ss.Sim(
        modules=[pens],
        copy_inputs=False,
        n_agents=BATCH * model.pens * model.dogs,
        start=ss.days(0),
        dur=model.days - 1,  # starsim steps on both ends
        dt=ss.days(1),
        rand_seed=seed,
        use_aging=False,
        verbose=0,
    )


def eon_rate() -> str:
    """EoN's exact SIR on the complete graph of 60, for scale: another, easier model."""
    try:
        import EoN
        import networkx
    except ImportError:
        return "EoN is not installed here (requirements/bench.txt): skipped"
    graph, runs = networkx.complete_graph(60), 300
    start = time.process_time()
    for _ in range(runs):
        EoN.fast_SIR(graph, 0.3 / 60, 0.15, initial_infecteds=[0])
    rate = runs / (time.process_time() - start)
    return f"EoN {version('EoN')}, SIR on 60 dogs (not this model): {rate:,.0f} a CPU-second"
