"""The final value taken as a source's whole value."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Signal
from grader.mistakes.case import FINAL, Case
from grader.mistakes.entries import _sources as source
from grader.mistakes.propagate import from_ingredients, some
from grader.mistakes.records import REPORTED, Mistake, Wrong
from grader.values.scalar import ONE, sign
from grader.values.waveform import Waveform


def wrong(case: Case) -> Iterator[Wrong]:
    """Each source's value; for a current also each voltage over each single resistor."""
    if case.signal is None or not case.index or case.signal.kind not in ("voltage", "current"):
        return
    right = case.solvers(FINAL)
    if right is None or not right.is_number:
        return
    direction = sign(right.number) or 1
    for value, variant in wholes(case, case.signal.kind):
        turned = value if value.is_number and sign(value.number) == direction else -value
        yield from some(from_ingredients(case, xf=turned), variant)


def wholes(case: Case, kind: str) -> Iterator[tuple[Waveform, str]]:
    """Sources of the same kind; voltage sources over single resistors, current sources times single resistors."""
    static = case.static(case.opens, {})
    for element in case.sources:
        own = element.delivers
        value = case.read(static, Signal(kind=own, of=element.name))
        if value is None or not value.terms:
            continue
        if own == kind:
            yield value, element.name
            continue
        for resistor in case.resistors:
            if own == "voltage":
                yield value.scaled(ONE / resistor.value), f"{element.name}/{resistor.name}"
            else:
                yield value.scaled(resistor.value), f"{element.name}·{resistor.name}"


ENTRY = Mistake(
    id="final-is-source-value",
    title="Final value taken as the source's value",
    idea=(
        "The divider was ignored: not all of the source's voltage, and not the current that one resistor alone "
        "would draw, reaches the element."
    ),
    nudge="Do all the current and all the voltage of the source really reach this element?",
    remark="The final value is a source's value, or a source over a single resistor.",
    source=source.REVIEW_STORAGE,
    prior=REPORTED,
    wrong=wrong,
)
