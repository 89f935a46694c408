"""`python -m kennelward.cli`: the same as `kennelward`."""

from kennelward.cli import main

main(prog_name="kennelward")
