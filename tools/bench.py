"""Run every benchmark of ours and print what it measures.

    python3 start.py bench            all of them
    python3 start.py bench --quick    smaller sizes, where a benchmark has them

Each lies in benchmarks/<room>/bench_<what>.py, runs by itself and prints its own table,
with what it ran on. Figures of different machines are not to be compared.
"""

import argparse
import os
import platform
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="smaller sizes")
    parser.add_argument("only", nargs="*", help="parts of file names")
    asked = parser.parse_args()
    print(
        f"Python {platform.python_version()}, {os.cpu_count()} cores, "
        f"{platform.system()} {platform.machine()}"
    )
    failed = []
    for path in sorted((HERE / "benchmarks").glob("*/bench_*.py")):
        name = path.relative_to(HERE).as_posix()
        if asked.only and not any(word in name for word in asked.only):
            continue
        print(f"\n== {name}", flush=True)
        extra = {"KENNELWARD_BENCH_QUICK": "1"} if asked.quick else {}
        module = name.removesuffix(".py").replace("/", ".")
        done = subprocess.run(
            [sys.executable, "-m", module], cwd=HERE, env={**os.environ, **extra}
        )
        if done.returncode:
            failed.append(name)
    if failed:
        print(f"\nDid not finish: {', '.join(failed)}", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
