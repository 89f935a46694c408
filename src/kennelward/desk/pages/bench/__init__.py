"""Bench: a strip from the checks before it to what it means and what to do."""
