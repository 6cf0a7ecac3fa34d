"""Every series joint reduced as a parallel one and the reverse."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import (
    ChangeoverSwitch,
    CoupledInductors,
    DependentSource,
    IdealOpAmp,
    Switch,
    VoltageSource,
)
from grader.circuit.network import branch, positions
from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.mistakes.resistances import Combination, combination_text, exchanged, reduced, resistance


def wrong(case: Case) -> Iterator[Wrong]:
    """The structure that the element looks into, with its joints exchanged."""
    structure = seen_structure(case)
    if structure is None or isinstance(structure, str):
        return
    values = {r.name: r.value for r in case.resistors}
    turned = exchanged(structure)
    yield from some(from_resistance(case, resistance(turned, values)), combination_text(turned))


def seen_structure(case: Case) -> Combination | str | None:
    """Series-parallel structure of the resistors between the terminals of the only storage element."""
    awkward = (DependentSource, IdealOpAmp, CoupledInductors)
    if len(case.storage) != 1 or any(isinstance(element, awkward) for element in case.circuit.elements):
        return None
    where = positions(case.circuit, case.opens)
    joined: dict[str, str] = {}

    def root(node: str) -> str:
        while node in joined:
            node = joined[node]
        return node

    for element in case.circuit.elements:
        throw = isinstance(element, ChangeoverSwitch)
        if throw or isinstance(element, VoltageSource) or (isinstance(element, Switch) and where[element.name]):
            one, other = (root(node) for node in branch(case.circuit, element, where))
            if one != other:
                joined[one] = other
    first, second = (root(node) for node in case.storage[0].between)
    edges = [(r.name, root(r.between[0]), root(r.between[1])) for r in case.resistors]
    return reduced(edges, first, second) if first != second else None


ENTRY = Mistake(
    id="series-and-parallel-exchanged",
    title="Series and parallel exchanged",
    idea=(
        "Each joint was reduced by the other rule: what shares a current was taken in parallel, what shares a "
        "voltage in series."
    ),
    nudge=(
        "Mark the nodes with letters before combining anything: which parts share both letters, and which only one?"
    ),
    remark="Series joints were taken as parallel ones and the reverse.",
    source=source.EXAM_REMARKS,
    prior=OBSERVED,
    wrong=wrong,
)
