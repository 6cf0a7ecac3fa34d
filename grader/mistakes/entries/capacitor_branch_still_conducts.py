"""The first current taken to flow for ever."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import FINAL, INITIAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import some
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The initial current as the final one, in a circuit with capacitors."""
    if case.find == FINAL and case.capacitive and case.signal is not None and case.signal.kind == "current":
        yield from some(case.solvers(INITIAL))


ENTRY = Mistake(
    id="capacitor-branch-still-conducts",
    title="Capacitor branch still conducts at the end",
    idea=(
        "A steady current into a capacitor would pile up charge without end. Once it is charged, no current flows"
        " in its branch, and the rest of the circuit carries what a complete circuit without it carries."
    ),
    nudge="Where would the charge have to go if that current never stopped?",
    remark="The current of the first instant was given as the final one.",
    source=source.AJP_81,
    prior=OBSERVED,
    wrong=wrong,
)
