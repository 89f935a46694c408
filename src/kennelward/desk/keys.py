"""The desk's secret key, made once and kept in the data folder for its owner only."""

import os
import secrets
from pathlib import Path

KEY_FILE = "secret-key"


def secret_key(folder: Path) -> str:
    """The key in the folder; made on first use, readable by its owner only.

    Two processes that start at once agree on one key: it is written under a name of its
    own and linked into place, which only the first can do.
    """
    file = folder / KEY_FILE
    if not file.exists():
        fresh = folder / f".{KEY_FILE}-{secrets.token_hex(8)}"
        write_private(fresh, secrets.token_urlsafe(64).encode())
        try:
            os.link(fresh, file)
        except FileExistsError:
            pass
        except OSError:  # a file system without links
            if not file.exists():
                fresh.replace(file)
        finally:
            fresh.unlink(missing_ok=True)
    return file.read_text(encoding="ascii").strip()


def write_private(file: Path, data: bytes) -> None:
    """Write a new file that only its owner may read (mode 600)."""
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
