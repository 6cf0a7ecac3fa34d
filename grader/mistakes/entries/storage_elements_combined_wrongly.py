"""Capacitors combined by the rule of resistors, or inductors by that of capacitors."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import SEEN, TAU, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_time_constant, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.scalar import ONE, ZERO
from grader.values.waveform import constant


def wrong(case: Case) -> Iterator[Wrong]:
    """Sum for reciprocal sum of all storage elements of one kind, and the reverse."""
    if len(case.storage) < 2 or case.capacitive is None:
        return
    values = [element.value for element in case.storage]
    added, beside = sum(values, ZERO), ONE / sum((ONE / value for value in values), ZERO)
    for total, variant in ((added, "added"), (beside, "by reciprocals")):
        if case.find in ("equivalent capacitance", "equivalent inductance"):
            yield Wrong(constant(total), variant)
            continue
        tau, seen = case.solvers(TAU), case.solvers(SEEN)
        if tau is not None and seen is not None and seen.terms:
            yield from some(
                from_time_constant(case, seen.scaled(total) if case.capacitive else constant(total) / seen), variant
            )


ENTRY = Mistake(
    id="storage-elements-combined-wrongly",
    title="Storage elements combined by the wrong rule",
    idea=(
        "Capacitors side by side add, capacitors in a row combine like resistors side by side; inductors follow "
        "the rule of resistors. The rules were exchanged."
    ),
    nudge="Do capacitors (or coils) side by side store more together, or less?",
    remark="Capacitances or inductances were combined by the other rule.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
