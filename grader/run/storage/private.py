"""Private files, written whole or not at all, and the secrets kept in them: 256 random bits as hexadecimal digits."""

import hashlib
import hmac
import os
import re
import secrets
from contextlib import suppress
from pathlib import Path

from grader.errors import OutputError, UsageError
from grader.opening import content_of
from grader.regex import regex

_SECRET = regex(r"[0-9a-f]{64}", re.IGNORECASE)


def write_private(path: Path, content: bytes) -> None:
    """Replace a file by a complete new one with mode 600; a crash leaves the old one.

    Raises
    ------
    OutputError
        If it cannot be written; then, too, the old one is there as it was.
    """
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except OSError as error:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
        raise OutputError(f"{path} cannot be written ({error.strerror}), and nothing was changed.") from None


REMEDY = "name the file that the students' sheets were made with"


def read_secret(path: Path, remedy: str = REMEDY) -> bytes:
    """The secret kept in a file; `remedy` is what to do where it is not there.

    Raises
    ------
    UsageError
        If there is no such file, or something else is in it.
    """
    try:
        text = content_of(path).decode("ascii").strip()
    except OSError as error:
        raise UsageError(f"{path}: the secret cannot be read ({error.strerror}); {remedy}.") from None
    except UnicodeDecodeError:
        text = ""
    if _SECRET.fullmatch(text) is None:
        raise UsageError(f"{path} holds no secret, which is 64 hexadecimal digits; {remedy}.")
    return bytes.fromhex(text)


def kept_secret(path: Path, remedy: str = REMEDY) -> bytes:
    """The secret kept in a file, which is made at first use; `remedy` as in `read_secret`.

    Raises
    ------
    UsageError
        As `read_secret`.
    OutputError
        If the file cannot be made.
    """
    if not path.exists():
        write_private(path, f"{secrets.token_hex(32)}\n".encode("ascii"))
    return read_secret(path, remedy)


def identity(secret: bytes) -> str:
    """What tells one secret from another and gives neither away: a keyed hash (RFC 2104) of a fixed text."""
    return hmac.new(secret, b"grader: which secret this is", hashlib.sha256).hexdigest()
