"""The door of this room: `read` turns what a student typed into ranked readings, or into a refusal.

>>> readings = read("2.4(1 - e^-500t) mA", expects="expression")
>>> from grader.reading.evaluate import evaluate
>>> quantity = evaluate(readings[0].tree)
>>> quantity.waveform.value(0.002)  # amperes at t = 2 ms
0.0015170893411885414
>>> quantity.dimension
Dimension(volt=0, ampere=1, second=0, metre=0)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from grader.reading.brackets import arrange
from grader.reading.forks import Fork, Forks
from grader.reading.glyphs import Plain, plain
from grader.reading.limits import MAX_CHARACTERS, MAX_READINGS
from grader.reading.parse import parse
from grader.reading.parts import Found, assemble
from grader.reading.refusals import CannotRead, Refusal, refusal
from grader.reading.scan import scan
from grader.reading.tokens import Question
from grader.reading.tree import Node
from grader.reading.typeset import mathml, tree_text
from grader.reading.vocabulary import vocabulary
from grader.values.dimension import Dimension

EXPECTED = ("value", "expression", "roots", "choice")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One way to read an answer.

    Attributes
    ----------
    tree : Node
        What the answer says; `grader.reading.evaluate.evaluate` works it out.
    unit : str or None
        The unit written for the whole (its SI symbol), None where none was.
    notes : tuple of str
        Sentences that say which reading this is.
    slips : tuple of str
        Ids of slips in writing that it assumes, say ``"caret-left-out"``.
    others : tuple of (str, Node)
        Further answers in the same cell, with the name each carries ("" for none).
    label : str
        What stands left of the equal sign.
    """

    tree: Node
    unit: str | None = None
    notes: tuple[str, ...] = ()
    slips: tuple[str, ...] = ()
    others: tuple[tuple[str, Node], ...] = ()
    label: str = ""

    @property
    def text(self) -> str:
        """The reading as plain text."""
        return tree_text(self.tree)

    @property
    def mathml(self) -> str:
        """The reading as MathML Core."""
        return mathml(self.tree)


def read(
    text: str,
    *,
    unit: str = "",
    expects: str = "value",
    dimension: Dimension | None = None,
    names: Mapping[str, Dimension | None] | None = None,
) -> tuple[Reading, ...] | Refusal:
    """Read one answer.

    Parameters
    ----------
    text : str
        As typed.
    unit : str
        What stands in the answer's own unit cell.
    expects : str
        One of `EXPECTED`.
    dimension : Dimension or None
        What is asked; it ranks readings and units, and never decides what is right.
    names : mapping, optional
        Names that may occur, with their dimensions.

    Returns
    -------
    tuple of Reading
        Most plausible first, at most `MAX_READINGS`; or a `Refusal`.
    """
    if len(text) > MAX_CHARACTERS:
        return refusal("too-long", text)
    line = plain(text.strip())
    offset = len(text) - len(text.lstrip())
    question = Question(vocabulary(names or {}), expects, dimension)
    if not line.text:
        return refusal("blank", text)
    try:
        first = Forks()
        found = _once(line, question, first, unit)
    except CannotRead as error:
        return _refuse(error, text, line, offset)
    readings = [_reading(one) for one in found]
    for fork, way in _other_ways(first):
        if len(readings) >= MAX_READINGS:
            break
        try:
            found = _once(line, question, Forks((fork, way)), unit)
        except CannotRead:
            continue
        readings.extend(r for one in found[:1] if (r := _reading(one)) not in readings)
    return tuple(readings[:MAX_READINGS])


def _once(line: Plain, question: Question, forks: Forks, unit: str) -> tuple[Found, ...]:
    tokens = scan(line.text, question, forks)
    if not tokens:
        raise CannotRead("blank")
    return assemble(parse(arrange(tokens, question, forks)), question, forks, unit)


def _other_ways(forks: Forks) -> Iterable[tuple[Fork, int]]:
    for fork in forks.met:
        for way in range(1, len(fork.ways)):
            yield fork, way


def _reading(found: Found) -> Reading:
    ways = [way for way in found.ways if way.note or way.slip]
    return Reading(
        tree=found.tree,
        unit=found.unit,
        notes=tuple(dict.fromkeys(way.note for way in ways if way.note)),
        slips=tuple(dict.fromkeys(way.slip for way in ways if way.slip)),
        others=found.others,
        label=found.label,
    )


def _refuse(error: CannotRead, text: str, line: Plain, offset: int) -> Refusal:
    if error.place is None:
        kind = "ends-too-soon" if error.kind == "unexpected" else error.kind
        return refusal(kind, text, len(text) if kind == "ends-too-soon" else None)
    return refusal(error.kind, text, line.original_place(error.place) + offset, "" if error.kind == "unexpected" else error.piece)


@lru_cache(maxsize=2048)
def formula_tree(formula: str, names: frozenset[str] = frozenset()) -> Node:
    """The tree of a formula of our own, in the notation students write (the first reading counts).

    Raises
    ------
    ValueError
        If it cannot be read.
    """
    readings = read(formula, expects="expression", names=dict.fromkeys(sorted(names)))
    if isinstance(readings, Refusal):
        raise ValueError(f"the formula '{formula}' cannot be read: {readings.sentence}")
    return readings[0].tree
