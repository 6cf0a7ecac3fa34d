"""What names in an answer stand for: what the rubric says, and the student's own earlier answers."""

from collections.abc import Mapping

from flint import fmpq

from grader.marking.follow import CarriedForward
from grader.marking.itemkey import ItemKey
from grader.quantities import Answer
from grader.reading.tree import Definition, Name, Node, walk
from grader.reading.value_words import SAME
from grader.values.waveform import Waveform, constant


def values_of_names(item: ItemKey, carried: Mapping[str, CarriedForward]) -> dict[str, Waveform]:
    """What each name stands for: what the rubric says, or the student's own earlier answer."""
    return {**item.values} | {
        name: answer
        for name, id in _carries(item)
        if id in carried
        and isinstance(answer := carried[id].answer, Waveform)
        and not (name == SAME and carried[id].missing)
    }


def _carries(item: ItemKey) -> tuple[tuple[str, str], ...]:
    """Names that stand for earlier items, with their ids; *as before* is the nearest of the kind asked."""
    asked = item.reference.dimension
    near = next((id for name, id in item.carries if item.names[name] == asked), None)
    return item.carries if near is None else (*item.carries, (SAME, near))


def left_open(item: ItemKey, tree: Node, carried: Mapping[str, CarriedForward]) -> dict[str, str]:
    """The names in an answer that stand for earlier items without one, and the ids of these."""
    missing = {name: id for name, id in item.carries if id in carried and carried[id].missing}
    if not missing:
        return {}
    nodes = walk(tree)
    stated = {name for node in nodes if isinstance(node, Definition) for name, _ in node.values}
    used = {node.name for node in nodes if isinstance(node, Name)} - stated
    return {name: id for name, id in missing.items() if name in used}


def in_place_of(value: Answer, number: int) -> Answer:
    """A value of the same form that is right nowhere, the same for nobody's other; what is no function of time stays."""
    if not isinstance(value, Waveform):
        return value
    return value.scaled(fmpq(97 + number, 53)) if value.terms else constant(fmpq(97 + number, 89))
