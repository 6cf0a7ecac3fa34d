"""General algebra for answers whose form lies outside the waveforms: ``12/(5/(1-e^(-500t)))``, ``sqrt(e^(-4t))``.

A computer algebra library brings the tree to a waveform, or it does not, and then a person decides.  The library sees a
tree of ours and never a student's text.  It works in a process of its own, with bounds on what it is given, on the
processor's time and on memory; such answers are rare, and the process costs half a second.
"""

from __future__ import annotations

import pickle
import subprocess
from collections.abc import Mapping
from functools import lru_cache

from grader.jobs.safe_path import command
from grader.reading.limits import ALGEBRA_WAIT_SECONDS
from grader.reading.tree import Node
from grader.values.waveform import Waveform


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
        None where it equals none, or none is found within the bounds: nothing is shown then.
    """
    return _asked(pickle.dumps((tree, dict(names))))


@lru_cache(maxsize=256)
def _asked(question: bytes) -> Waveform | None:
    try:
        child = subprocess.run(  # noqa: S603 - our own interpreter and code
            command("grader.reading.algebra_child"),
            input=question, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, timeout=ALGEBRA_WAIT_SECONDS, check=True,
        )  # fmt: skip
    except (subprocess.SubprocessError, OSError):
        return None
    found = pickle.loads(child.stdout)  # noqa: S301 - written by our own process, from our own tree
    return found if isinstance(found, Waveform) else None
