"""The key of a rubric, kept between runs: solving the circuits takes seconds, reading the result a few milliseconds.

It is kept as a pickle, which can do harm to whoever reads a foreign one.  So it lies in the user's own cache folder,
is read only if folder and file belong to the user and nobody else can write to them, carries a digest, and is read by
an unpickler that knows the records of this program and numbers, and nothing else.  Anything amiss: the key is worked
out anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
import pickle
import stat
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import FunctionType
from typing import Any

from grader.errors import GraderError, UsageError
from grader.run.storage.private import write_private
from grader.run.storage.software import software

_DIGEST_BYTES = 32
_MAX_BYTES = 256 << 20
_OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


def cache_folder() -> Path:
    """``$XDG_CACHE_HOME/grader``, or ``~/.cache/grader`` (XDG Base Directory Specification)."""
    named = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(named) if Path(named).is_absolute() else Path.home() / ".cache") / "grader"


def rubric_bytes(path: Path) -> bytes:
    """The content of a rubric file.

    Raises
    ------
    UsageError
        If it cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise UsageError(f"{path}: the rubric cannot be read ({error.strerror}); name a rubric file (.toml).") from None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptKey:
    """A key as bytes, with the little that is needed before it is read.

    Attributes
    ----------
    digest : str
        SHA-256 of the rubric file.
    points : mapping
        Every item (problem and item id) with its points, in the rubric's order.
    personal : frozenset of str
        Ids of the problems with personal values.
    content : bytes
        The key itself, for `load`.
    fresh : bool
        Whether it was worked out just now.
    """

    digest: str
    points: dict[tuple[str, str], float]
    personal: frozenset[str]
    content: bytes
    fresh: bool

    def load(self) -> Any:
        """The key.

        Raises
        ------
        DamagedKey
            If the bytes hold anything that has no place in a key.
        """
        try:
            return _Records(io.BytesIO(self.content)).load()
        except Exception as fault:
            raise DamagedKey(
                "The key kept from an earlier run cannot be read; it has to be worked out anew."
            ) from fault


class DamagedKey(GraderError):
    """A kept key cannot be read."""


def key_of(path: Path, build: Callable[[Path], Any], *, anew: bool = False) -> KeptKey:
    """The key of a rubric, from the cache if it is there.

    Parameters
    ----------
    path : Path
        The rubric file.
    build : callable
        Works the key out of that file; a key has a ``rubric``.
    anew : bool
        Work it out whatever the cache holds.

    Raises
    ------
    UsageError, RubricError
        If the rubric cannot be read or is wrong.
    """
    digest = hashlib.sha256(rubric_bytes(path)).hexdigest()
    name = hashlib.sha256(f"{path.name}\0{digest}\0{software()}".encode()).hexdigest()
    place = cache_folder() / f"{name}.key"
    kept = None if anew else _kept(place, digest)
    if kept is not None:
        return kept
    from grader.rubric.personal import personal_problems

    key = build(path)
    personal = personal_problems(key.rubric)
    points = {(problem.id, item.id): item.points for problem in key.rubric.problems for item in problem.items}
    content = pickle.dumps(key, protocol=pickle.HIGHEST_PROTOCOL)
    kept = KeptKey(digest=digest, points=points, personal=personal, content=content, fresh=True)
    _store(place, kept)
    return kept


def _kept(place: Path, digest: str) -> KeptKey | None:
    try:
        whole = _private_bytes(place)
        if whole is None or hashlib.sha256(whole[_DIGEST_BYTES:]).digest() != whole[:_DIGEST_BYTES]:
            return None
        head, _, content = whole[_DIGEST_BYTES:].partition(b"\n")
        about = json.loads(head)
        points = {(str(problem), str(item)): float(points) for problem, item, points in about["points"]}
        personal = frozenset(map(str, about["personal"]))
    except (OSError, ValueError, TypeError, KeyError):
        return None
    return KeptKey(digest=digest, points=points, personal=personal, content=content, fresh=False)


def _private_bytes(place: Path) -> bytes | None:
    """The file's bytes, if it and its folder are the user's own and nobody else can write to them."""
    if not _is_own(place.parent.lstat()):
        return None
    descriptor = os.open(place, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(descriptor, "rb") as file:
        about = os.fstat(descriptor)
        if not stat.S_ISREG(about.st_mode) or not _is_own(about) or about.st_size > _MAX_BYTES:
            return None
        return file.read()


def _is_own(about: os.stat_result) -> bool:
    if not hasattr(os, "getuid"):  # a system where the cache folder lies in the user's private profile
        return True
    return about.st_uid == os.getuid() and not about.st_mode & _OTHERS_MAY_WRITE


def _store(place: Path, key: KeptKey) -> None:
    """Keep a key, its head as JSON before it; where that is not possible the next run works it out again."""
    about = {"points": [[*pair, value] for pair, value in key.points.items()], "personal": sorted(key.personal)}
    content = json.dumps(about).encode() + b"\n" + key.content
    with contextlib.suppress(OSError):
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_private(place, hashlib.sha256(content).digest() + content)


_PLAIN = {("builtins", "frozenset"), ("builtins", "set"), ("builtins", "complex"), ("functools", "partial")}
_ROOMS = ("quantities", "circuit", "marking", "mistakes", "problem", "reading", "rubric", "uploads.records", "values")
"""Where the records of a key are declared: rooms whose types do nothing when they are made."""

_STEPS = "grader.quantities.steps"
"""The one file whose functions a key refers to."""

_MAKERS = {("grader.values.symbolic", "Symbolic.from_terms")}


class _Records(pickle.Unpickler):
    """Makes types of this program, exact numbers and plain containers, and nothing else."""

    def find_class(self, module: str, name: str) -> Any:
        """The type of that name.

        Raises
        ------
        pickle.UnpicklingError
            If it is none of those allowed.
        """
        if (module, name) in _PLAIN | _MAKERS:
            return super().find_class(module, name)
        if module.startswith("flint.") or any(f"{module}.".startswith(f"grader.{room}.") for room in _ROOMS):
            found = getattr(import_module(module), name, None)
            if isinstance(found, type) or (module == _STEPS and isinstance(found, FunctionType)):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} has no place in a key")
