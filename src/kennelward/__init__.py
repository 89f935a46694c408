"""Kennelward: infection control for a breeding kennel.

The rooms of this house and what each may import stand in `docs/house.md`; the
import contracts in `pyproject.toml` enforce them.
"""

__version__ = "0.1.0"
