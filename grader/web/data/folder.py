"""The data folder, and the names of what is kept in it."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from grader.errors import UsageError
from grader.opening import opened
from grader.run.storage.folder import take

COOKIES_KEY = "cookies.key"
VALUES_KEY = "values.key"
PASSPHRASE_FILE = "passphrase"  # noqa: S105 - a file's name
DATABASE_FILE = "attempts.sqlite"
LOCK = "lock"


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


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Keep a second server out of a data folder; the system lets go of it however this process ends.

    Raises
    ------
    UsageError
        If the folder cannot be used, or a server is at work on it.
    """
    path = open_folder(folder) / LOCK
    try:
        lock = opened(path, os.O_CREAT | os.O_RDWR)
    except OSError as error:
        raise UsageError(f"{path} cannot be opened ({error.strerror}); put elsewhere what stands there.") from None
    with lock:
        if not take(lock):
            raise UsageError(
                f"{folder}: another server is at work on this data folder; stop it, or name another folder with --data."
            )
        yield
