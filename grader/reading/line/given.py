"""What gives the names of an answer their values: ``A e^(-t/tau), A = 3, tau = 10 ms``."""

from collections.abc import Iterator
from typing import NamedTuple

from grader.reading.line.fit import may_define
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import Name, Negative, Node, walk
from grader.reading.tree.parse import Condition


class ListedPart(NamedTuple):
    """One part with its label, the range of t it holds in, whether its working stands left of an equal sign, and its other sides."""

    label: str
    tree: Node
    conditions: tuple[Condition, ...] = ()
    worked: bool = False
    sides: tuple[str | Node, ...] = ()


def names_used(tree: Node) -> dict[str, Name]:
    """The names of a tree, by what handwriting can tell of them; of ``A`` and ``a`` each as it is written, too."""
    names = [node for node in walk(tree) if isinstance(node, Name)]
    return {normalized_name(node.name): node for node in names} | {node.name: node for node in names}


def name_called(label: str, used: dict[str, Name]) -> Name | None:
    """The name of `names_used` that a label means, words in front of it or not: ``där tau = 2 s``."""
    last = label.split()[-1:]
    return next(
        (used[one] for one in (label, normalized_name(label), *last, *map(normalized_name, last)) if one in used), None
    )


def values_given(answer: ListedPart, entries: list[ListedPart]) -> list[tuple[str, ListedPart]]:
    """The names of an answer with the entries that give them their values."""
    used, named = names_used(answer.tree), [*entries, *_named_alike(entries)]
    labels = [one.label for one in named]
    found = ((name_called(one.label, used), one) for one in named if one is not answer)
    return [(name.name, one) for name, one in found if name is not None and may_define(name, one.tree, labels)]


def _named_alike(entries: list[ListedPart]) -> Iterator[ListedPart]:
    """``K1 = -K2 = 3``: the further names that a chain gives its value."""
    for entry in entries:
        for side in entry.sides:
            named = side.operand if type(side) is Negative else side
            name = named if type(named) is str else named.name if type(named) is Name else ""
            if name not in {"", entry.label}:
                yield ListedPart(name, entry.tree if named is side else Negative(entry.tree, entry.tree.place))
