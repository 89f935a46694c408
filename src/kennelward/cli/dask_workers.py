"""Runs on a Dask cluster: the same numbers, whoever does them."""

from collections.abc import Callable, Iterable, Iterator
from types import TracebackType
from typing import Any

from kennelward.terms import BadInput


class DaskWorkers:
    """A cluster's workers, as `spread.many_runs.Workers`."""

    def __init__(self, address: str) -> None:
        try:
            from distributed import Client
        except ImportError as error:
            raise BadInput(
                "a cluster needs the library distributed; install kennelward[cluster]"
            ) from error
        make: Any = Client  # the library says nothing of its types
        try:
            self.client = make(address, timeout="10s", set_as_default=False)
        except (OSError, TimeoutError, ValueError) as error:
            raise BadInput(
                f"no Dask scheduler answers at {address}; look whether it runs"
            ) from error

    def __enter__(self) -> "DaskWorkers":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.client.close()

    def map(self, do: Callable[[Any], Any], jobs: Iterable[Any]) -> Iterator[Any]:
        """`do` of each job on the cluster, in the jobs' order."""
        # pure=False: a job is never mistaken for an earlier one that looks alike.
        futures = self.client.map(do, list(jobs), pure=False)
        for future in futures:
            yield future.result()
