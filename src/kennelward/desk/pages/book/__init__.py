"""Book: every entry, the newest first, struck ones visible, the chain verified."""
