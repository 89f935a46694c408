"""Simulator and training of the strip reader's networks; not part of the wheel."""
