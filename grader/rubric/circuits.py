"""A problem's circuit: its elements put together, and every name in it checked."""

from collections.abc import Iterable
from typing import Any

from grader.circuit.elements import Circuit, CoupledInductors, DependentSource, Element, Inductor
from grader.circuit.network import instants
from grader.rubric.bounds import MAX_ACTIONS
from grader.rubric.elements import KINDS
from grader.rubric.table import CheckedTable, Location, nearest, shown
from grader.rubric.values import Values

MAX_ELEMENTS = 200
"""Most elements of one circuit: a coursework circuit has a tenth of it, and the exact solution stays quick."""

COUPLED = "coupled inductors"


def read_circuit(problem: CheckedTable, values: Values) -> Circuit | None:
    """The circuit of a problem table; None where it has none, or where a fault leaves nothing to build."""
    contents = problem.tables("element")
    ground = problem.written("ground")
    if not contents:
        return None
    if len(contents) > MAX_ELEMENTS:
        problem.place.fault(f"{len(contents)} elements are too many; a circuit may have {MAX_ELEMENTS}")
        return None
    before = len(problem.place.faults)
    found: dict[int, Element] = {}
    # A coupling coefficient needs the inductances, so these come last whatever the order in the file.
    order = sorted(range(len(contents)), key=lambda k: contents[k].get("kind") == COUPLED)
    for k in order:
        element = _element(contents[k], k, problem.place, values)
        if element is not None:
            found[k] = element
    elements = tuple(found[k] for k in sorted(found))
    _check_names(elements, values, problem.place)
    nodes = frozenset(node for element in elements for node in element.terminals())
    if ground is None:
        problem.place.fault("'ground' is missing; name the node that all voltages refer to, as in ground = \"g\"")
    elif ground not in nodes:
        problem.place.fault(f"'ground' is {shown(ground)}, but no element is connected there{nearest(ground, nodes)}")
    if ground is None or len(problem.place.faults) > before:
        return None
    circuit = Circuit(elements=elements, ground=ground)
    changes = len(instants(circuit))
    if changes > MAX_ACTIONS:
        problem.place.fault(f"the circuit changes at {changes} instants; {MAX_ACTIONS} actions are the most")
        return None
    return circuit


def _element(content: dict[str, Any], index: int, place: Location, values: Values) -> Element | None:
    name = content.get("name")
    known = isinstance(name, str) and name.strip() != ""
    here = place.within(f"element {shown(name)}" if known else f"element number {index + 1}")
    table = CheckedTable(content, here)
    written = table.text("name", needed=True)
    if written and not is_name(written):
        here.fault('a name must begin with a letter and hold letters, digits and underscores only, as in "R1"')
    kind = table.text("kind", needed=True)
    if kind not in KINDS:
        if kind:
            here.fault(f"there is no element kind {shown(kind)}{nearest(kind, KINDS)}")
        return None
    element = KINDS[kind](table, values)
    if isinstance(element, Inductor):
        values.inductances[element.name] = element.value
    table.finish()
    return element


def is_name(text: str) -> bool:
    """Whether a text may name an element: what a student can write in a formula."""
    return text.isidentifier() and text[0].isalpha() and len(text) <= 40


def _check_names(elements: Iterable[Element], values: Values, place: Location) -> None:
    """Names used twice, and names of things that are not there."""
    kinds: dict[str, Element] = {}
    for element in elements:
        if element.name in kinds:
            place.within(f"element {shown(element.name)}").fault(
                "this name is taken by another element; choose a new one"
            )
        kinds[element.name] = element
    nodes = {node for element in kinds.values() for node in element.terminals()}
    for element in kinds.values():
        here = place.within(f"element {shown(element.name)}")
        if isinstance(element, CoupledInductors) and all(element.inductors):
            _check_coils(element, kinds, here)
        if isinstance(element, DependentSource):
            _check_control(element, kinds, nodes, here)
    for symbol in values.found:
        if symbol in kinds and values.written.get(symbol) != symbol:
            place.within(f"element {shown(symbol)}").fault(
                f"{shown(symbol)} is used as a symbol in another element's value, but this element's own value is "
                f"{shown(values.written.get(symbol))}; give the two different names"
            )


def _check_coils(coupling: CoupledInductors, kinds: dict[str, Element], here: Location) -> None:
    coils = [name for name, one in kinds.items() if isinstance(one, Inductor)]
    if coupling.inductors[0] == coupling.inductors[1]:
        here.fault("'inductors' must name two different inductors")
    for name in coupling.inductors:
        if name not in coils:
            here.fault(f"there is no inductor {shown(name)}{nearest(name, coils)}")


def _check_control(source: DependentSource, kinds: dict[str, Element], nodes: set[str], here: Location) -> None:
    if isinstance(source.control, str):
        two_ended = [name for name, one in kinds.items() if hasattr(one, "between")]
        if source.control and source.control not in two_ended:
            here.fault(f"'control': there is no element {shown(source.control)}{nearest(source.control, two_ended)}")
        return
    for node in source.control:
        if node not in nodes:
            here.fault(f"'control': there is no node {shown(node)}{nearest(node, nodes)}")
