"""Which earlier items tell the resistance that a storage element sees: asked so, or between terminals that are its own."""

from collections.abc import Iterator
from contextlib import suppress

from grader.circuit.elements import Nodes, Storage
from grader.circuit.network import branch, instant_of, joined, positions
from grader.circuit.resistance import storage_combination
from grader.errors import CircuitError
from grader.problem import Item
from grader.quantities.finding import Find
from grader.quantities.question import Question


def resistances_seen(question: Question, by: str | None = None) -> Iterator[Item]:
    """The earlier items whose answer a storage element sees on the interval meant (``by`` names one alone), nearest first.

    A resistance between two nodes may be asked before the switching that joins them to the element.
    """
    yield from question.earlier_here(Find.SEEN)
    yield from (item for item in question.earlier(Find.BETWEEN) if at_storage(question, item, by))


def at_storage(question: Question, item: Item, by: str | None) -> bool:
    """Whether closed switches make an item's nodes the ends of a storage element, or of all that act as one."""
    assert item.between is not None
    where = positions(question.circuit, instant_of(question.circuit, question.index))
    group = joined(question.circuit, where)

    def ends(nodes: Nodes) -> set[str]:
        return {group.get(node, node) for node in nodes}

    found = [
        branch(question.circuit, element, where)
        for element in question.circuit.elements
        if isinstance(element, Storage) and by in (None, element.name)
    ]
    if by is None:
        with suppress(CircuitError):
            together = storage_combination(question.circuit, question.index).nodes
            found += [] if together is None else [together]
    return ends(item.between) in map(ends, found)
