"""Capacitor current and inductor voltage held through the switching."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Signal
from grader.circuit.statics import Substitution, as_current, as_voltage
from grader.mistakes.case import BEFORE, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_ingredients, some
from grader.mistakes.records import OBSERVED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The circuit after switching with capacitors as current sources and inductors as voltage sources."""
    if case.signal is None or case.index == 0 or case.is_own():
        return
    held: dict[str, Substitution] = {}
    for element in case.storage:
        kind = "current" if isinstance(element, Capacitor) else "voltage"
        value = case.solvers(BEFORE, Signal(kind=kind, of=element.name))
        if value is None:
            return
        held[element.name] = as_current(value) if isinstance(element, Capacitor) else as_voltage(value)
    yield from some(from_ingredients(case, x0=case.read(case.static(case.opens, held))))


ENTRY = Mistake(
    id="wrong-pair-held",
    title="The wrong pair held at the switching",
    idea=(
        "What cannot jump is the quantity under the d/dt of each element's law: voltage of a capacitor, current "
        "of an inductor. Here the other one of each pair was kept."
    ),
    nudge="Which quantity stands under the d/dt in each element's law?",
    remark="Capacitor currents and inductor voltages were carried through the switching.",
    source=source.REVIEW_PAIR,
    prior=OBSERVED,
    wrong=wrong,
)
