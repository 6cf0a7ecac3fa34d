"""The data folder, and the names of what is kept in it."""

from __future__ import annotations

import os
from pathlib import Path

from grader.errors import UsageError

COOKIES_KEY = "cookies.key"
VALUES_KEY = "values.key"
PASSPHRASE_FILE = "passphrase"  # noqa: S105 - a file's name
DATABASE_FILE = "attempts.sqlite"


def open_folder(folder: Path) -> Path:
    """Make the data folder if need be, readable by its owner alone.

    Raises
    ------
    UsageError
        If it cannot be made or written to.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise UsageError(
            f"{folder}: the data folder cannot be made ({error.strerror}); name another with --data."
        ) from None
    if not os.access(folder, os.W_OK | os.X_OK):
        raise UsageError(f"{folder}: the data folder cannot be written to; name another with --data.")
    return folder
