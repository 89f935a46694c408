"""Pictures without a strip: how many are called anything at all, kind by kind."""

import os
from collections import Counter
from collections.abc import Iterator

from benchmarks.reading.figures import share
from benchmarks.reading.no_strip import pictures, things
from benchmarks.reading.real_pictures import KIT
from kennelward.handbook import load_handbook
from kennelward.reading import read_strip_photo
from kennelward.terms import Call

QUICK = bool(os.environ.get("KENNELWARD_BENCH_QUICK"))


def main() -> None:
    tell("noise, shapes, photographs", pictures(60 if QUICK else 300))
    tell("things of a kennel, drawn", things(2 if QUICK else 24))


def tell(name: str, given: Iterator[tuple[str, bytes]]) -> None:
    """Read them all and print what was called, and how each kind was refused."""
    kit = load_handbook().kits[KIT]
    answers: dict[str, Counter[str]] = {}
    for kind, data in given:
        read = read_strip_photo(data, layout=kit.layout, cutoffs=kit.cutoffs)
        is_called = read.call is not Call.UNREADABLE
        said = f"CALLED {read.call}" if is_called else read.reason
        answers.setdefault(kind, Counter())[said] += 1
    every = sum(answers.values(), Counter[str]())
    calls = sum(n for said, n in every.items() if said.startswith("CALLED"))
    positive = every[f"CALLED {Call.POSITIVE}"]
    print(f" {name}")
    print(share("called positive", positive, every.total(), must="0"))
    print(share("called anything", calls, every.total(), must="<= 1 %"))
    for kind, said in answers.items():
        print(f"  {kind:<18} n {said.total():>3}  {dict(said.most_common())}")


if __name__ == "__main__":
    main()
