"""How long the Due page takes to make on the server as the book grows.

300 dogs. Three figures for each size, in milliseconds, the median of the repeats:
`first` is the first page after the desk opened (reads and folds the whole book), `after an
entry` is what a person waits for who has just written one, `again` is the same page once
more. Server time: the request is answered in this process, no network, no browser.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

YEARS = 5
DAYS = YEARS * 365
PROMISED_MS = 300
REPEATS = 7


def measure(days: int) -> tuple[int, float, float, float]:
    """(entries, first, after an entry, again) for a book of that many days."""
    from benchmarks.desk.big_book import KENNEL, big_book
    from kennelward import desk
    from kennelward.kennel import facts as f

    with tempfile.TemporaryDirectory() as folder:
        desk.open_book(Path(folder))
        from django.contrib.auth import get_user_model
        from django.test import Client

        now = datetime.now(UTC)
        entries = big_book(until=now.date(), days=days)
        desk.load_entries(entries)
        desk.add_person(
            kennel=KENNEL, username="bench", password="x-9-long-one-1", role="owner"
        )
        client = Client(HTTP_HOST="127.0.0.1")
        client.force_login(get_user_model().objects.get(username="bench"))

        def page() -> float:
            began = time.perf_counter()
            answer = client.get("/due/")
            took = time.perf_counter() - began
            assert answer.status_code == 200, answer.status_code
            return took * 1000

        first = page()
        again = [page() for _ in range(REPEATS)]
        after = []
        for number in range(REPEATS):
            weight = f.Weighed(dog=f"dog-{number}", weight_g=9_000)
            new = desk.NewEntry(entry=desk.new_id(), fact=weight)
            desk.record([new], kennel=KENNEL, by="bench", at=desk.now())
            after.append(page())
    return len(entries), first, statistics.median(after), statistics.median(again)


def main() -> None:
    """One new process a size, so that none finds the other's memory warm."""
    if len(sys.argv) > 1:
        print("{:9d}  {:9.0f}  {:14.0f}  {:7.0f}".format(*measure(int(sys.argv[1]))))
        return
    print(
        f"  days    entries   first ms  after an entry   again   (promised {PROMISED_MS})"
    )
    fractions = (
        (32, 16, 8) if os.environ.get("KENNELWARD_BENCH_QUICK") else (8, 4, 2, 1)
    )
    for part in fractions:
        days = DAYS // part
        print(f"{days:6d}  ", end="", flush=True)
        subprocess.run([sys.executable, "-m", __spec__.name, str(days)], check=True)


if __name__ == "__main__":
    main()
