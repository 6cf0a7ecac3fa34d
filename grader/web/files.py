"""The data folder: private files, written whole or not at all, and the secret keys behind cookies and personal values."""

from __future__ import annotations

import os
import secrets
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


def write_private(path: Path, content: bytes) -> None:
    """Replace a file by a complete new one with mode 600; a crash leaves the old one."""
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)


def secret_key(folder: Path, name: str) -> bytes:
    """A key of that name: made at first use, 256 bits."""
    path = folder / name
    if not path.exists():
        write_private(path, secrets.token_bytes(32))
    return path.read_bytes()
