"""Personal access codes and the instructor's passphrase: made at random, kept only as hashes.

A code has two parts.  The first four characters are its name: they find the record, and are no secret.  The
other twelve are the secret, 60 bits drawn by the operating system, kept as a salted scrypt hash.  So one code
costs one hash to check, however long the roster is, and a wrong guess can be counted against the code it was
aimed at.

References
----------
C. Percival, S. Josefsson, The scrypt Password-Based Key Derivation Function, RFC 7914, 2016: its parameters N, r, p.
"""

import base64
import hashlib
import hmac
import json
import secrets
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

from grader.errors import UsageError
from grader.opening import content_of
from grader.regex import regex
from grader.run.storage.private import write_private

ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""32 characters, 5 bits each, without 0, 1, I and O, which are taken for one another on paper."""

NAME_LENGTH = 4
SECRET_LENGTH = 12
"""60 bits: at a thousand guesses a second, some ten million years to try half of them."""

CODE_COST = 14
PASSPHRASE_COST = 15
"""Base-2 logarithm of scrypt's N (r = 8, p = 1: 16 and 32 MiB a guess).  A random code needs less than a
passphrase that a person thought of."""

PASSPHRASE_LEAST = 12
"""Fewest characters of a passphrase that the instructor sets."""

FILE_NAME = "codes.json"

_HASHED = regex(r"scrypt 1?\d [A-Za-z0-9+/]{22}== [A-Za-z0-9+/]{43}=")


class CodeRecord(NamedTuple):
    """What is kept of one code: whose it is, its public name, and the hash of its secret."""

    student: str
    name: str
    hash: str


def new_code(taken: Iterable[str] = ()) -> str:
    """A fresh code whose name is not among those taken: ``"K7QM-X3FP-9TWD-H4ZA"``."""
    taken = set(taken)
    while True:
        characters = "".join(secrets.choice(ALPHABET) for _ in range(NAME_LENGTH + SECRET_LENGTH))
        if characters[:NAME_LENGTH] not in taken:
            return "-".join(characters[at : at + 4] for at in range(0, len(characters), 4))


def tidy(code: str) -> str | None:
    """A code as typed (any case, with or without hyphens and blanks), tidied; None if it cannot be one."""
    characters = "".join(c for c in code.upper() if not c.isspace() and c not in "-‐‑–")
    if len(characters) != NAME_LENGTH + SECRET_LENGTH or any(c not in ALPHABET for c in characters):
        return None
    return characters


def hashed(secret: str, cost: int) -> str:
    """A salted hash with its cost, as one line of text: ``"scrypt 14 salt hash"``."""
    salt = secrets.token_bytes(16)
    return f"scrypt {cost} {_text(salt)} {_text(_scrypt(secret, salt, cost))}"


def is_hash(kept: str) -> bool:
    """Whether a text is one that `hashed` gives, of a cost that can be paid."""
    return _HASHED.fullmatch(kept) is not None


def matches(secret: str, kept: str) -> bool:
    """Whether a secret belongs to a hash; takes the same time whatever the secret."""
    _, cost, salt, digest = kept.split()
    return hmac.compare_digest(_scrypt(secret, _bytes(salt), int(cost)), _bytes(digest))


def _scrypt(secret: str, salt: bytes, cost: int) -> bytes:
    # OpenSSL needs a little more than the 128 r N bytes that the algorithm itself takes.
    return hashlib.scrypt(secret.encode(), salt=salt, n=2**cost, r=8, p=1, dklen=32, maxmem=2 * 128 * 8 * 2**cost)


def _text(octets: bytes) -> str:
    return base64.b64encode(octets).decode()


def _bytes(text: str) -> bytes:
    return base64.b64decode(text)


def owner(code: str, records: Mapping[str, CodeRecord]) -> CodeRecord | None:
    """Whose code this is (tidied beforehand); `records` by name.  A name that nobody has costs no hash: it is no secret."""
    record = records.get(code[:NAME_LENGTH])
    return record if record is not None and matches(code[NAME_LENGTH:], record.hash) else None


def issue(students: Iterable[str], known: Iterable[CodeRecord]) -> tuple[dict[str, str], tuple[CodeRecord, ...]]:
    """Make codes for students; a code that one of them had before is replaced.

    Returns
    -------
    codes : dict
        The new codes by student id, to be handed out: they cannot be had again.
    records : tuple of CodeRecord
        All records to keep, old and new.
    """
    codes: dict[str, str] = {}
    students = tuple(students)
    records = [record for record in known if record.student not in set(students)]
    for student in students:
        code = new_code(record.name for record in records)
        characters = code.replace("-", "")
        secret = characters[NAME_LENGTH:]
        records.append(CodeRecord(student, characters[:NAME_LENGTH], hashed(secret, CODE_COST)))
        codes[student] = code
    return codes, tuple(records)


def read_records(folder: Path) -> tuple[CodeRecord, ...]:
    """The records kept in a data folder; none if no codes were made yet.

    Raises
    ------
    UsageError
        If the file is damaged.
    """
    path = folder / FILE_NAME
    try:
        records = tuple(CodeRecord(**entry) for entry in json.loads(content_of(path))["codes"])
        if all(isinstance(text, str) for record in records for text in record) and all(
            is_hash(one.hash) for one in records
        ):
            return records
    except FileNotFoundError:
        return ()
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        pass
    raise UsageError(f"{path}: the file of access codes is damaged; restore it, or delete it and make new codes.")


def write_records(folder: Path, records: Iterable[CodeRecord]) -> None:
    """Keep the records, readable by their owner alone."""
    content = {"codes": [record._asdict() for record in records]}
    write_private(folder / FILE_NAME, json.dumps(content, indent=1).encode())


def new_passphrase() -> str:
    """A passphrase for the instructor page: five groups of four, 100 bits."""
    return "-".join("".join(secrets.choice(ALPHABET) for _ in range(4)) for _ in range(5))
