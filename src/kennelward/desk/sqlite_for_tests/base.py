"""The database wrapper Django looks for."""

from typing import Any

from django.db.backends.sqlite3 import base
from django.db.backends.sqlite3.operations import DatabaseOperations

from kennelward.desk.records.triggers import SQLITE_DROP, SQLITE_MAKE


class TestOperations(DatabaseOperations):
    """Takes the guards off, empties, puts them on again, in one transaction."""

    __test__ = False

    def sql_flush(self, *args: Any, **kwargs: Any) -> list[str]:
        """Statements that empty the tables."""
        found: list[str] = super().sql_flush(*args, **kwargs)
        return [*SQLITE_DROP, *found, *SQLITE_MAKE] if found else found


class DatabaseWrapper(base.DatabaseWrapper):
    """SQLite with the operations above."""

    ops_class = TestOperations
