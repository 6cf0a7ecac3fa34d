"""Several inductors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

from __future__ import annotations

from grader.circuit.equivalent import equivalent_inductance
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.values.dimension import INDUCTANCE, Dimension
from grader.values.waveform import Waveform, constant


def dimension(problem: Problem, item: Item) -> Dimension:  # noqa: ARG001 - one signature for every entry
    """Expect the one of a single element."""
    return INDUCTANCE


def reference(question: Question) -> Waveform:
    """What they act as, in the interval meant."""
    item = question.item
    return constant(equivalent_inductance(question.circuit, item.by, item.of, question.index))


def text(problem: Problem, item: Item) -> str:  # noqa: ARG001 - one signature for every entry
    """As on the answer sheet."""
    return f"Equivalent inductance{' of ' + ', '.join(item.of) if item.of else ''}"


def names(item: Item) -> tuple[str, ...]:  # noqa: ARG001 - one signature for every entry
    """What it is called in formulas."""
    return ("L_eq",)


ENTRY = Asked(
    name="equivalent inductance",
    allows=("of", "by", "after"),
    dimension=dimension,
    reference=reference,
    text=text,
    names=names,
    sample=Sample(circuit="relay", answer="1/2"),
)
