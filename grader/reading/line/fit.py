"""How well a value fits what is asked, as far as reading may know: its kind, never its size."""

from __future__ import annotations

from flint import fmpq

from grader.reading.tokens import Question
from grader.reading.tree import Choice, Name, Node, Time, UnitSymbol, walk
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import NUMBER, RATE
from grader.values.waveform import constant

OF_ANOTHER_KIND, BARE, OF_THE_KIND_ASKED = 0, 1, 2


_SIZES = tuple(fmpq(size) for size in (2, 3, 5, 7, 11, 13, 17, 19))
"""Any values for names: only the kind of what they make is looked at."""


def in_hertz(tree: Node) -> bool:
    """Whether a rate counts whole turns: ``500 rad/s = 79.6 Hz`` is the former where a rate is asked."""
    return any(isinstance(node, UnitSymbol) and node.symbol.endswith("Hz") for node in walk(tree))


def fit(tree: Node, question: Question) -> int:
    """How well what a tree says fits what is asked."""
    if isinstance(tree, Choice):
        return OF_THE_KIND_ASKED
    varies = any(isinstance(node, Time) for node in walk(tree))
    if question.expects != "value":
        return OF_THE_KIND_ASKED if varies or question.expects == "roots" else BARE
    if varies:
        return OF_ANOTHER_KIND
    names = [node for node in walk(tree) if isinstance(node, Name)]
    if any(name.dimension is None for name in names):
        return BARE
    try:
        dimension = evaluate(
            tree, {name.name: constant(size) for name, size in zip(names, _SIZES, strict=False)}
        ).dimension
    except (ValueError, ZeroDivisionError):
        return BARE
    if dimension in {None, NUMBER}:
        return BARE
    if dimension == RATE and in_hertz(tree):
        return OF_ANOTHER_KIND
    if question.dimension not in {None, dimension}:
        return OF_ANOTHER_KIND
    return BARE if names else OF_THE_KIND_ASKED
