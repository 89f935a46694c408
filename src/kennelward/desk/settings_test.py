"""Settings for tests: a fresh data folder; SQLite in a file, or a real PostgreSQL.

KENNELWARD_TEST_DB=postgres starts a PostgreSQL that listens on a socket in a temporary
folder only, and stops it at the end.
"""

import atexit
import os
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

_MINE = "KENNELWARD_TEST_FOLDER"  # workers of one test run share the first one's folder
if "mypy" in sys.modules:  # it reads settings and leaves without cleaning up
    os.environ[_MINE] = str(Path(tempfile.gettempdir()) / "kennelward-mypy")
if _MINE not in os.environ:
    os.environ[_MINE] = tempfile.mkdtemp(prefix="kennelward-test-")
    atexit.register(shutil.rmtree, os.environ[_MINE], ignore_errors=True)
    os.environ.pop("KENNELWARD_DATABASE", None)
    if os.environ.get("KENNELWARD_TEST_DB") == "postgres":
        from kennelward.desk.server_for_tests import start_server

        os.environ["KENNELWARD_DATABASE"] = start_server(Path(os.environ[_MINE]))
os.environ["KENNELWARD_DATA"] = os.environ[_MINE]
# A test in Chromium leaves an event loop in its thread; Django would refuse to read.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

from kennelward.desk.settings import *  # noqa: E402, F403
from kennelward.desk.settings import DATA_FOLDER, DATABASES  # noqa: E402

_database: dict[str, Any] = DATABASES["default"]
if _database["ENGINE"] == "django.db.backends.sqlite3":
    _database["ENGINE"] = "kennelward.desk.sqlite_for_tests"
    # A file, not memory: otherwise WAL and two writers are not tested.
    _database["TEST"] = {"NAME": str(DATA_FOLDER / "test-book.sqlite3")}
    _database["OPTIONS"]["init_command"] = (
        "PRAGMA journal_mode=WAL;PRAGMA synchronous=OFF;"
    )
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # fast, for tests
WHITENOISE_AUTOREFRESH = True  # no scan of all files for every client
