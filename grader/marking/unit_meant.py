"""The unit that an answer of names, letters and plain numbers is meant in."""

from grader.marking.itemkey import ItemKey
from grader.reading.record import Reading
from grader.reading.tree import Node, Number, UnitSymbol, walk
from grader.reading.tree.unit_cell import cell_unit
from grader.reading.value.evaluate import Quantity, worth_of
from grader.values.dimension import Dimension


def dimension_meant(item: ItemKey, reading: Reading, tree: Node, quantity: Quantity) -> Dimension | None:
    """The dimension of an answer; the one asked, where names or letters let a unit go without saying."""
    dimension, asked = quantity.dimension, item.reference.dimension
    if quantity.named and asked is not None and (dimension in {None, asked.times(asked)} or ends_in(reading, asked)):
        return asked  # names bring their units, numbers beside them none: "Vs/R1 A", "1/2 L1 * 6^2 J"
    if quantity.named and _has_bare_numbers_only(tree):
        return asked  # "2000 C1": the number stands for a value whose unit goes without saying
    if quantity.waveform.is_symbolic and not all(value.is_symbolic for value in item.values.values()):
        return asked  # beside letters a bare number stands for a value with its unit: 12 R2/(R + 10000)
    return dimension


def _has_bare_numbers_only(tree: Node) -> bool:
    """Whether numbers stand beside names, and no unit with any of them."""
    nodes = walk(tree)
    return any(isinstance(node, Number) for node in nodes) and not any(
        isinstance(node, UnitSymbol) and node.dimension is not None for node in nodes
    )


def ends_in(reading: Reading, asked: Dimension | None) -> bool:
    """Whether the unit written for the whole is one of what is asked."""
    cell = cell_unit(reading.unit, asked) if reading.unit is not None else None
    return cell is not None and worth_of(cell.node, {})[1] == asked
