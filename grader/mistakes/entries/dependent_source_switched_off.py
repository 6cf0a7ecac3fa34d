"""Dependent sources set to zero when looking for the resistance."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import DependentSource
from grader.circuit.statics import OFF
from grader.mistakes.case import Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_resistance, some
from grader.mistakes.records import REPORTED, Mistake, Wrong


def wrong(case: Case) -> Iterator[Wrong]:
    """The resistance seen with the dependent sources off."""
    off = {e.name: OFF for e in case.circuit.elements if isinstance(e, DependentSource)}
    if off:
        yield from some(from_resistance(case, case.resistance(case.index, off)))


ENTRY = Mistake(
    id="dependent-source-switched-off",
    title="Dependent source switched off",
    idea=(
        "A dependent source follows its control, also while the terminals are tested. Only independent sources "
        "are set to zero."
    ),
    nudge="Does a controlled source still obey its control when you test the terminals?",
    remark="Dependent sources were set to zero together with the independent ones.",
    source=source.DEPENDENT,
    prior=REPORTED,
    wrong=wrong,
)
