"""Handbook: every number with its source, every rule in words, every caution."""
