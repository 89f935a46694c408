"""Shelf: kits by lot, first expired first out, and what the coming month needs."""
