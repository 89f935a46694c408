"""SQLite for tests: empties tables between tests although entries are append-only."""
