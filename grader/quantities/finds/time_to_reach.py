"""The instant at which a signal first has a given value, on the problem's own clock."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import FIRST_ORDER, from_values
from grader.quantities.crossing import first_crossing
from grader.quantities.links import from_expression
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import SIGNAL_DIMENSIONS, phrase, when
from grader.values.dimension import TIME, Dimension
from grader.values.scalar import to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform, constant


def dimension(problem: Problem, item: Item) -> Dimension:  # noqa: ARG001 - one signature for every entry
    """A time."""
    return TIME


def reference(question: Question) -> Waveform:
    """The first crossing in the interval meant."""
    assert question.item.level is not None
    return first_crossing(question.waveform, question.item.level, question.start, question.end)


def rules(question: Question) -> Iterator[Rule]:
    """The own expression's first crossing; initial value, final value and time constant."""
    level = question.item.level
    assert level is not None
    step = partial(steps.reaches, level=level, start=question.start, end=question.end)
    yield from from_expression(question, step, "This follows from your own expression.")
    yield from from_values(
        question,
        "t1+tau*ln((x0-xf)/(x2-xf))",
        "This follows from your own initial value, final value and time constant.",
        needs=FIRST_ORDER,
        given={"t1": constant(question.start), "x2": constant(level)},
    )


def text(problem: Problem, item: Item) -> str:  # noqa: ARG001 - one signature for every entry
    """As on the answer sheet."""
    if item.level is None or item.signal is None:
        return ""
    level = value_text(to_float(item.level), SIGNAL_DIMENSIONS[item.signal.kind], digits=6)
    after = f", after the switching{when(item)}" if item.after is not None else ""
    return f"Time t at which the {phrase(item.signal)} reaches {level}{after}"


ENTRY = Asked(
    name="time to reach",
    needs=(SIGNAL, "level"),
    allows=("after",),
    dimension=dimension,
    reference=reference,
    rules=rules,
    text=text,
    sample=Sample(circuit="relay", item='current = "L1"\nlevel = "3 A"', answer="0"),
)
