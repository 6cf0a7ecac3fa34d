"""Trees, values and waveforms as people write them: plain text and MathML Core."""

from __future__ import annotations

from grader.reading.tree import Node


def tree_text(tree: Node) -> str:
    """A reading as plain text."""
    return repr(tree)


def mathml(tree: Node) -> str:
    """A reading as MathML."""
    return f"<math><mtext>{tree_text(tree)}</mtext></math>"
