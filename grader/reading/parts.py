"""From parsed parts to what the answer says: labels, chains, ranges, values stated beside a formula, several answers."""

from __future__ import annotations

from typing import Any, NamedTuple

from grader.reading.ambiguities import Ambiguities
from grader.reading.refusals import CannotRead
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import (
    Definition,
    Name,
    Negative,
    Node,
    Pieces,
    PlusMinus,
    Product,
    Quotient,
    Roots,
    Sum,
    Time,
    UnitSymbol,
    WaveformPiece,
    WithUnit,
    walk,
)
from grader.reading.tree.parse import Condition
from grader.reading.tree.spread import unit_factor, without_unit
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import Dimension


class ListedPart(NamedTuple):
    """One part with its label and the range of t it holds in."""

    label: str
    tree: Node
    conditions: tuple[Condition, ...] = ()


class Assembled(NamedTuple):
    """An answer put together: its tree, its label, further answers in the same cell, and where the answer begins."""

    tree: Node
    label: str = ""
    others: tuple[tuple[str, Node], ...] = ()
    place: int = 0


def assemble(parts: tuple[Any, ...], question: Question, forks: Ambiguities, doubled: bool = False) -> Assembled:
    """Put the parts of an answer together.

    Parameters
    ----------
    parts : tuple
        Of `grader.reading.tree.parse.parse`.
    question : Question
    forks : Ambiguities
        Takes the remarks.
    doubled : bool
        The answer says that its root counts twice.

    Raises
    ------
    CannotRead
        If there is no value among the parts.
    """
    entries = _entries(parts, question)
    place = entries[0].tree.place
    return _assembled(entries, question, forks, doubled)._replace(place=place)


def _assembled(entries: list[ListedPart], question: Question, forks: Ambiguities, doubled: bool) -> Assembled:
    if question.expects == "roots":
        return Assembled(_roots(entries, doubled), entries[0].label)
    first, rest = entries[0], entries[1:]
    if not rest and not first.conditions:
        return Assembled(without_deviation(first.tree, forks), first.label)
    if any(entry.conditions for entry in entries):
        pieces = tuple(_piece(entry) for entry in entries if entry.conditions)
        if not first.conditions:  # 2 - 2e^-t; 0 for t < 0: what has no range holds where the others do not
            pieces = (*pieces, WaveformPiece(first.tree, None, None))
        others = tuple((entry.label, entry.tree) for entry in rest if not entry.conditions)
        return Assembled(Pieces(pieces, first.tree.place), first.label, others)
    if question.expects == "value" and (asked := _of_the_kind_asked(entries, question)) is not None:
        forks.remark(f"Of the values written, {asked.label} is of the kind asked.")
        return Assembled(without_deviation(asked.tree, forks), asked.label)
    if question.expects == "value" and not any(entry.label for entry in entries):
        first, *rest = _in_one_unit(entries, question)
    used = {normalized_name(name) for name in _names(first.tree)}
    given = tuple((entry.label, entry.tree) for entry in rest if entry.label and normalized_name(entry.label) in used)
    others = tuple(  # "2.4 mA at t = 0" says when, and is one answer
        (entry.label, entry.tree) for entry in rest if (entry.label, entry.tree) not in given and entry.label != "t"
    )
    tree: Node = first.tree
    if given:
        spelled = {normalized_name(name): name for name in _names(first.tree)}
        tree = Definition(tree, tuple((spelled[normalized_name(label)], value) for label, value in given), tree.place)
    elif not any(label and label != first.label for label, _ in others) and _all_equal(
        [first.tree, *(one for _, one in others)]
    ):
        forks.remark("The same value was written more than once; it was taken once.")
        return Assembled(first.tree, first.label)
    return Assembled(tree, first.label, others)


def _dimension(tree: Node) -> Dimension | None:
    """The dimension that was written; None where none was, and where the tree has no value."""
    try:
        return evaluate(tree).dimension
    except (ValueError, ZeroDivisionError):
        return None


def _in_one_unit(entries: list[ListedPart], question: Question) -> list[ListedPart]:
    """``0.72 or 0.9 A``: the unit of the last holds for those that have none."""
    unit = unit_factor(entries[-1].tree)
    if unit is None or question.dimension is None or _dimension(unit) != question.dimension:
        return entries
    return [
        entry
        if any(isinstance(node, UnitSymbol) for node in walk(entry.tree))
        else entry._replace(tree=WithUnit(entry.tree, unit, entry.tree.place))
        for entry in entries
    ]


def _of_the_kind_asked(entries: list[ListedPart], question: Question) -> ListedPart | None:
    """``R = 8 Ω, τ = 5 ms``: the one value of the kind asked, where each has a name of its own and the first is another's."""
    if question.dimension is None or len({entry.label for entry in entries} - {""}) < len(entries):
        return None
    kinds = [_dimension(entry.tree) for entry in entries]
    asked = [entry for entry, kind in zip(entries, kinds, strict=True) if kind == question.dimension]
    return asked[0] if len(asked) == 1 and kinds[0] not in {None, question.dimension} else None


def _entries(parts: tuple[Any, ...], question: Question) -> list[ListedPart]:
    entries: list[ListedPart] = []
    waiting: list[Condition] = []
    for part in parts:
        if isinstance(part, Condition):
            if entries and not entries[-1].conditions:
                entries[-1] = entries[-1]._replace(conditions=(part,))
            else:
                waiting.append(part)
            continue
        label = part[0] if type(part[0]) is str else ""
        if type(part[-1]) is str:
            raise CannotRead("ends-too-soon")
        if not label and len(part) > 1 and type(part[0]) in {Name, Time}:
            label = part[0].name if isinstance(part[0], Name) else "t"
        entries.append(ListedPart(label, _side_meant(part, question), tuple(waiting)))
        waiting = []
    if not entries:
        raise CannotRead("no-value")
    return entries


NEAR = 0.01
"""How near a result and its derivation must be, rounding aside, to be one answer."""


def _side_meant(chain: tuple[Any, ...], question: Question) -> Node:
    """The side of a chain of equal signs that counts: the last one, as a rule.

    In ``15 V = 20*6/8`` that is the working of what stands before it, and in ``i(t) = 2 - 3e^-5t A = -1 A at t = 0``
    the value at an instant.
    """
    last = chain[-1]
    if len(chain) == 1:
        return last
    before = [side for side in chain[:-1] if type(side) is not str and type(side) not in {Name, Time}]
    found = list(walk(last))
    if any(isinstance(node, (Name, Time)) for node in found):
        return last
    if question.expects == "expression":
        varying = [side for side in before if any(isinstance(node, Time) for node in walk(side))]
        return varying[-1] if varying else last
    measured = [side for side in before if unit_factor(side) is not None]
    bare = not any(isinstance(node, UnitSymbol) and node.dimension is not None for node in found)
    return measured[-1] if question.expects == "value" and bare and measured and _agree(measured[-1], last) else last


def _agree(measured: Node, bare: Node) -> bool:
    """Whether a value with its unit and a number without are the same, the number being in that unit or in SI units."""
    try:
        wanted = [evaluate(measured).waveform.value(), evaluate(without_unit(measured)).waveform.value()]
        found = evaluate(bare).waveform.value()
    except (ValueError, TypeError, ZeroDivisionError):
        return False
    return any(abs(found - value) <= NEAR * abs(value) for value in wanted)


# -- ranges --------------------------------------------------------------------------------------


def _piece(entry: ListedPart) -> WaveformPiece:
    """Turn ``t > 0``, ``0 < t`` and ``0 < t < 2 ms`` into a start and an end."""
    start: Node | None = None
    end: Node | None = None
    for left, sign, right, last in entry.conditions:
        below = "<" in sign or sign == "≤"
        if last is not None:  # a < t < b
            start, end = left, last
        elif isinstance(left, Time):
            start, end = (start, right) if below else (right, end)
        elif isinstance(right, Time):
            start, end = (left, end) if below else (start, left)
        else:
            raise CannotRead("range-unclear", left.place)
    return WaveformPiece(entry.tree, start, end)


# -- several values ------------------------------------------------------------------------------


def _names(tree: Node) -> set[str]:
    return {node.name for node in walk(tree) if isinstance(node, Name)}


def _all_equal(trees: list[Node]) -> bool:
    """Whether the same value stands there several times: ``2.4 A or 2400 mA``."""
    if len(trees) < 2:
        return False
    try:
        worths = [evaluate(tree) for tree in trees]
    except (ValueError, ZeroDivisionError):
        return False
    first = worths[0]
    return all(worth.waveform == first.waveform and worth.dimension == first.dimension for worth in worths[1:])


def without_deviation(tree: Node, forks: Ambiguities) -> Node:
    """``2.40 ± 0.01 A`` is 2.40 A: the deviation is left out, its unit is not."""
    if not isinstance(tree, Sum) or not isinstance(tree.terms[-1], PlusMinus):
        return tree
    forks.remark("What follows ± was read as an uncertainty.")
    value: Node = tree.terms[0] if len(tree.terms) == 2 else Sum(tree.terms[:-1], tree.place)
    unit = unit_factor(tree.terms[-1])
    if unit is None or unit_factor(value) is not None:
        return value
    return WithUnit(value, unit, tree.place)


# -- roots ---------------------------------------------------------------------------------------


def _roots(entries: list[ListedPart], doubled: bool) -> Node:
    """Every root as its own tree; ``±`` makes two, and a unit at the end holds for all."""
    found: list[Node] = []
    for entry in entries:
        found.extend(_both_signs(entry.tree))
    if doubled and len(found) == 1:
        found *= 2
    split = [_unit_apart(root) for root in found]
    last = split[-1][1]
    found = [bare if (own := unit or last) is None else WithUnit(bare, own, bare.place) for bare, unit in split]
    return Roots(tuple(found), entries[0].tree.place)


def _unit_apart(root: Node) -> tuple[Node, Node | None]:
    """A root without its units, and the last of them."""
    terms = root.terms if isinstance(root, Sum) else (root,)
    units = [unit for unit in map(unit_factor, terms) if unit is not None]
    if not units:
        return root, None
    bare = tuple(map(without_unit, terms))
    return (Sum(bare, root.place) if len(bare) > 1 else bare[0]), units[-1]


def _both_signs(tree: Node) -> list[Node]:
    plus = _with_sign(tree, turned=False)
    return [tree] if plus is tree else [plus, _with_sign(tree, turned=True)]


def _with_sign(node: Any, *, turned: bool) -> Any:
    """The tree with each ``±`` read as plus, or as minus where ``turned``."""
    if isinstance(node, PlusMinus):
        operand = _with_sign(node.operand, turned=turned)
        return Negative(operand, node.place) if turned else operand
    if isinstance(node, Sum):
        terms = tuple(_with_sign(term, turned=turned) for term in node.terms)
        return node if all(a is b for a, b in zip(terms, node.terms, strict=True)) else node._replace(terms=terms)
    if type(node) in {WithUnit, Negative}:
        operand = _with_sign(node.operand, turned=turned)
        return node if operand is node.operand else node._replace(operand=operand)
    if isinstance(node, (Product, Quotient)):
        first, second = _with_sign(node[0], turned=turned), _with_sign(node[1], turned=turned)
        return node if first is node[0] and second is node[1] else type(node)(first, second, node.place)
    return node
