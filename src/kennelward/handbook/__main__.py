"""Adds what is new in our files to the register: `python -m kennelward.handbook`."""

import sys
import tomllib
from pathlib import Path

from kennelward.handbook.load import load_unregistered
from kennelward.handbook.register import as_toml, edited


def main() -> int:
    """Write the register; 1 where something in force was edited."""
    path = Path(__file__).with_name("register.toml")
    kept = tomllib.loads(path.read_text(encoding="utf-8")).get("in_force", {})
    handbook = load_unregistered()
    wrong = edited(handbook, kept)
    for name in wrong:
        sys.stderr.write(f"{name}: is in force and was edited or taken out\n")
    if wrong:
        return 1
    path.write_text(as_toml(handbook), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
