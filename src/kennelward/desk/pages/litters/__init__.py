"""Pregnancies, the night of a whelping, growth and losses."""
