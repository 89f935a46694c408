"""Pens: a sketch of the real yard, who is where, and moving a dog by two taps."""
