"""The undamped natural frequency ω0 of a response of second order, from ``s² + 2αs + ω0²``."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import from_roots
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, text_of
from grader.values.dimension import RATE, Dimension
from grader.values.waveform import Waveform


def dimension(problem: Problem, item: Item) -> Dimension:  # noqa: ARG001 - one signature for every entry
    """Radians per second."""
    return RATE


def reference(question: Question) -> Waveform:
    """The root of the constant coefficient."""
    return of_second_order(question, "omega0")


def rules(question: Question) -> Iterator[Rule]:
    """The own roots."""
    yield from from_roots(question, "sqrt(s1*s2)", steps.omega0_of_roots)


def text(problem: Problem, item: Item) -> str:
    """As on the answer sheet."""
    return text_of("Undamped natural frequency ω0", problem, item)


def names(item: Item) -> tuple[str, ...]:  # noqa: ARG001 - one signature for every entry
    """What it is called in expressions."""
    return ("omega_0", "w_0")


ENTRY = Asked(
    name="undamped natural frequency",
    allows=("after",),
    dimension=dimension,
    unit="rad/s",
    reference=reference,
    rules=rules,
    text=text,
    names=names,
    sample=Sample(circuit="damper", answer="5"),
)
