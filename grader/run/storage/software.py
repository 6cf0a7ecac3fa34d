"""Which software this is: its version and the digest of its own files, so that no stale result is ever reused."""

import hashlib
import os
import platform
from functools import lru_cache
from pathlib import Path

import grader

_KINDS = (".py", ".toml", ".html", ".css", ".js", ".svg")
_MATTERING = ("python-flint", "sympy")
"""Libraries whose version can change a mark."""


@lru_cache(maxsize=1)
def software() -> str:
    """The version, with the beginning of a digest of the program's files and of the libraries that matter."""
    digest = hashlib.sha256()
    root = Path(grader.__file__).parent
    for folder, _, names in sorted(os.walk(root)):
        above = Path(folder).relative_to(root).as_posix()
        for name in sorted(name for name in names if name.endswith(_KINDS)):
            digest.update(f"{above}/{name}".encode())
            digest.update(hashlib.sha256(Path(folder, name).read_bytes()).digest())
    digest.update(repr(sorted(libraries().items())).encode())
    return f"{grader.__version__}+{digest.hexdigest()[:16]}"


@lru_cache(maxsize=1)
def libraries() -> dict[str, str]:
    """Versions of Python and of the libraries that can change a mark."""
    from importlib.metadata import PackageNotFoundError, version

    found = {"python": platform.python_version()}
    for name in _MATTERING:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "absent"
    return found
