"""R/(2L) used for a parallel circuit or 1/(2RC) for a series one."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Inductor
from grader.circuit.statics import OPEN, SHORT
from grader.mistakes.case import ALPHA, OMEGA0, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_damping, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.scalar import HALF
from grader.values.waveform import constant


def wrong(case: Case) -> Iterator[Wrong]:
    """The other circuit's α with this one's parts, and what follows from it."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    coils = [e for e in case.storage if isinstance(e, Inductor)]
    plates = [e for e in case.storage if isinstance(e, Capacitor)]
    if alpha is None or omega0 is None or case.find == OMEGA0 or (len(coils), len(plates)) != (1, 1):
        return
    coil, plate = coils[0], plates[0]
    in_line = case.resistance_at(coil.name, {plate.name: SHORT})
    if in_line is not None and in_line != 0 and alpha == constant(in_line / coil.value * HALF):
        yield from some(from_damping(case, constant(HALF / (in_line * plate.value)), omega0), "1/(2RC)")
    across = case.resistance_at(plate.name, {coil.name: OPEN})
    if across is not None and across != 0 and alpha == constant(HALF / (across * plate.value)):
        yield from some(from_damping(case, constant(across / coil.value * HALF), omega0), "R/(2L)")


ENTRY = Mistake(
    id="series-parallel-damping-exchanged",
    title="Damping of the series and the parallel circuit exchanged",
    idea=(
        "R/(2L) belongs to parts that share one current, 1/(2RC) to parts that share one voltage. The formula of "
        "the other circuit can give the right type by luck."
    ),
    nudge="Are the three parts sharing one current or one voltage?",
    remark="The damping coefficient was found by the formula of the other circuit.",
    source=source.REVIEW_SECOND_ORDER,
    prior=REPORTED,
    wrong=wrong,
)
