"""General algebra for answers whose form lies outside the waveforms: ``12/(5/(1-e^(-500t)))``, ``sqrt(e^(-4t))``.

A computer algebra library brings the tree to a waveform, or it does not, and then a person decides.  The library sees a
tree of ours and never a student's text.  It works in a process of its own, with bounds on what it is given, on time and
on memory; the process is started at the first such answer and kept.
"""

import pickle
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import lru_cache

from grader.jobs.helper import Helper, Overran
from grader.reading.limits import ALGEBRA_UPLOAD_SECONDS, ALGEBRA_WAIT_SECONDS
from grader.reading.tree import Node
from grader.values.waveform import Waveform

_HELPER = Helper("grader.reading.algebra_child")
_UPLOAD = {"left": ALGEBRA_UPLOAD_SECONDS}
"""How many seconds the upload at hand may still wait for algebra."""


@contextmanager
def one_upload() -> Iterator[None]:
    """Bound the answers marked inside together, too."""
    _UPLOAD["left"] = ALGEBRA_UPLOAD_SECONDS
    try:
        yield
    finally:
        _UPLOAD["left"] = ALGEBRA_UPLOAD_SECONDS


def waveform_by_algebra(tree: Node, names: Mapping[str, Waveform]) -> Waveform | None:
    """The waveform that a tree equals.

    Parameters
    ----------
    tree : Node
        In SI base units, its units being factors.
    names : mapping
        Values of the names that may occur; only plain numbers are put in.

    Returns
    -------
    Waveform or None
        None where it equals none that the library finds.

    Raises
    ------
    Overran
        Where the bounds end the search: it is not known then what the tree equals.
    """
    return _asked(pickle.dumps((tree, dict(names))))


@lru_cache(maxsize=256)
def _asked(question: bytes) -> Waveform | None:
    seconds = min(ALGEBRA_WAIT_SECONDS, _UPLOAD["left"])
    if seconds <= 0:
        raise Overran
    began = time.monotonic()
    try:
        answer = _HELPER.ask(question, seconds)
    finally:
        _UPLOAD["left"] -= time.monotonic() - began
    found = pickle.loads(answer)  # noqa: S301 - written by our own process, from our own tree
    return found if isinstance(found, Waveform) else None
