"""The terminal: one command a file, each loaded only when it is called.

Never: a rule, a number about dogs, a job composed by hand (rounds does that). Commands
that only compute never load Django.

Exit status: 0 done, 1 refused or unreadable, 2 the command was written wrongly.
"""

from kennelward.cli.group import main

__all__ = ["main"]
