"""Several capacitors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

from __future__ import annotations

from grader.circuit.equivalent import equivalent_capacitance
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.values.dimension import CAPACITANCE, Dimension
from grader.values.waveform import Waveform, constant


def dimension(problem: Problem, item: Item) -> Dimension:  # noqa: ARG001 - one signature for every entry
    """Expect the one of a single element."""
    return CAPACITANCE


def reference(question: Question) -> Waveform:
    """What they act as, in the interval meant."""
    item = question.item
    return constant(equivalent_capacitance(question.circuit, item.by, item.of, question.index))


def text(problem: Problem, item: Item) -> str:  # noqa: ARG001 - one signature for every entry
    """As on the answer sheet."""
    return f"Equivalent capacitance{' of ' + ', '.join(item.of) if item.of else ''}"


def names(item: Item) -> tuple[str, ...]:  # noqa: ARG001 - one signature for every entry
    """What it is called in formulas."""
    return ("C_eq",)


ENTRY = Asked(
    name="equivalent capacitance",
    allows=("of", "by", "after"),
    dimension=dimension,
    reference=reference,
    text=text,
    names=names,
    sample=Sample(circuit="charging", answer="1/500000"),
)
