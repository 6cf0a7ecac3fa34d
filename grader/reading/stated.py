"""Values that a line gives to the names of its answer, beside it or in words."""

import re
from collections.abc import Iterator
from contextlib import suppress

from grader.reading.line.choose import names_in
from grader.reading.line.fit import may_define
from grader.reading.line.given import name_called, names_used
from grader.reading.part import readings_of
from grader.reading.record import Aside, Reading
from grader.reading.refusals import CannotRead
from grader.reading.text.cell import Cell
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree import Definition, Node, Roots

_PLAIN = Question(vocabulary(()))


def stated_in_words(text: str, reading: Reading, question: Question) -> Iterator[tuple[str, Node]]:
    """The values that prose gives to names of an answer: ``it falls with tau = 30 us: v = 2e^(-t/tau) V``, in letters, too."""
    for name in sorted(names_in(reading.tree)):
        stated = re.search(
            rf"(?<![\w/]){re.escape(name)}\s?(?:=|is|of)\s*(?:the\s+)?(?:(?:[-+*/()0-9. ]*+(?==)|[-+*/|()\w.]++\s)=(?!>)\s*+)*+"
            r"([-+]?(?:[0-9]|\.[0-9])[0-9.,]*(?<![.,])(?:\s?[^\W\d_]{1,3}\b(?!\s?=(?!>)))?)",
            text,
        )
        if stated is not None:
            with suppress(CannotRead):
                yield name, readings_of(Cell(stated[1]), _PLAIN, "")[0].tree
        elif (
            formula := re.search(rf"(?<![\w/]){re.escape(name)}\s?=\s*([^\W\d_][\w/*()+|]*)\s*[:;,]", text)
        ) is not None:
            with suppress(CannotRead):
                yield name, readings_of(Cell(formula[1]), Question(question.vocabulary), "")[0].tree


def labelled(reading: Reading) -> Iterator[Reading]:
    """Every value of a reading that has a name."""
    yield reading
    for label, tree in reading.others:
        yield Reading(tree, label=label)


def completed(reading: Reading, stated: list[tuple[str, Node]], aside: Aside) -> Reading:
    """A reading with the values that other parts of the line give to its names, and with what was set aside."""
    given = {name for name, _ in reading.tree.values} if isinstance(reading.tree, Definition) else set()
    used = {key: node for key, node in names_used(reading.tree).items() if node.name not in given}
    found = ((name_called(label, used), tree) for label, tree in stated if label)
    values = {name.name: tree for name, tree in found if name is not None}
    known = {node.name: node for node in used.values()}
    labels = [label for label, _ in stated]
    values = {
        name: tree
        for name, tree in values.items()
        if name not in names_in(tree) and may_define(known[name], tree, labels)
    }  # R2 C1 is 120 ms: says nothing of C1
    tree = _defined(reading.tree, tuple(values.items())) if values else reading.tree
    return reading._replace(
        tree=tree, notes=(*reading.notes, *aside.notes), remarks=(*reading.remarks, *aside.remarks),
        dropped=reading.dropped or aside.dropped,
    )  # fmt: skip


def _defined(tree: Node, values: tuple[tuple[str, Node], ...]) -> Node:
    """A tree, or each of its roots, with values for its names."""
    if isinstance(tree, Roots):
        return tree._replace(roots=tuple(_defined(root, values) for root in tree.roots))
    return Definition(tree, values, tree.place)
