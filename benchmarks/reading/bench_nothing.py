"""Pictures without a strip: how many are called anything at all."""

import os
from collections import Counter

from benchmarks.reading.figures import share
from benchmarks.reading.no_strip import pictures
from benchmarks.reading.real_pictures import KIT
from kennelward.handbook import load_handbook
from kennelward.reading import read_strip_photo
from kennelward.terms import Call

COUNT = 60 if os.environ.get("KENNELWARD_BENCH_QUICK") else 300


def main() -> None:
    kit = load_handbook().kits[KIT]
    called: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    for kind, data in pictures(COUNT):
        read = read_strip_photo(data, layout=kit.layout, cutoffs=kit.cutoffs)
        called[read.call if read.call is not Call.UNREADABLE else read.reason] += 1
        if read.call is not Call.UNREADABLE:
            kinds[f"{kind}: {read.call}"] += 1
    calls = sum(kinds.values())
    print(share("called positive", called[Call.POSITIVE], COUNT, must="0"))
    print(share("called anything", calls, COUNT, must="<= 1 %"))
    print(f"  {dict(called.most_common())}")
    if kinds:
        print(f"  called: {dict(kinds)}")


if __name__ == "__main__":
    main()
