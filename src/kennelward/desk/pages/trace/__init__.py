"""Tracing after a positive: whom to keep apart, whom to test, where it came from."""
