"""Every series joint reduced as a parallel one and the reverse."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.network import positions
from grader.circuit.series_parallel import Combination, combination_text, resistance, structure_between
from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong
from grader.mistakes.resistances import exchanged


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
    if len(case.storage) != 1:
        return None
    (storage,) = case.storage
    return structure_between(case.circuit, positions(case.circuit, case.opens), storage.between, {storage.name})


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
