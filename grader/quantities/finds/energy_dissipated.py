"""The energy turned to heat in resistors, from a switching on for good, or in a stretch of time."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.circuit.elements import Resistor, Signal
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import EXPRESSION, is_signal
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import energy_taken
from grader.quantities.words import stretch_text
from grader.values.dimension import ENERGY
from grader.values.scalar import ONE
from grader.values.waveform import Waveform, constant


def _from_expressions(question: Question) -> Iterator[Rule]:
    if len(question.item.of) != 1:
        return
    resistor = question.circuit.element(question.item.of[0])
    start, end = question.stretch(lasting=True)
    parts = list(question.parts_of(start, end))
    if not isinstance(resistor, Resistor) or len(parts) > 1:
        return
    for item in question.earlier(EXPRESSION):
        if question.index_of(item) != parts[0][0]:
            continue
        for kind, factor in (("current", resistor.value), ("voltage", ONE / resistor.value)):
            if is_signal(question.circuit, item, Signal(kind=kind, of=resistor.name)):
                yield Rule(
                    formula="integral of k*x^2",
                    uses=(("x", item.id),),
                    given=(("k", constant(factor)),),
                    says=f"This follows from your own {kind} of {resistor.name}.",
                    step=partial(steps.dissipated, start=start, end=end),
                )


def _source_free(question: Question) -> bool:
    """Whether a single stored energy is all that feeds the interval."""
    reduced = question.solved.reduced(question.index)
    return reduced.order == 1 and all(column < reduced.order for row in reduced.derivatives for column in row)


class EnergyDissipated(Asked):
    """The energy turned to heat in resistors, from a switching on for good, or in a stretch of time."""

    name = "energy dissipated"
    needs = ("of",)
    allows = ("after", "from", "until")
    measures = ENERGY
    sample = Sample(circuit="relay", item='of = "R2"', answer="27/20")

    def reference(self, question: Question) -> Waveform:
        """The integral of the power over every interval that the stretch of time meets."""
        return energy_taken(question, question.item.of)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression of the resistor's current or voltage; its fixed share of the energy stored at the start."""
        yield from _from_expressions(question)
        start, end = question.stretch(lasting=True)
        if start == question.start and end is None and question.end is None and _source_free(question):
            for item in question.earlier("stored energy"):
                if item.at != start:
                    continue
                stored, spent = question.answer_to(item), question.answer_to(question.item)
                if isinstance(stored, Waveform) and isinstance(spent, Waveform) and stored.is_number and stored.terms:
                    yield Rule(
                        formula="k*w",
                        uses=(("w", item.id),),
                        given=(("k", spent / stored),),
                        says="No source is left, so it is a fixed share of the energy that you found stored.",
                    )
                return

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Energy dissipated in {' and '.join(item.of)} {stretch_text(problem, item, lasting=True)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Only resistors turn energy to heat."""
        if problem.circuit is None:
            return ()
        others = [element.name for element in problem.circuit.elements if not isinstance(element, Resistor)]
        return tuple(
            f"'of': {name} is no resistor; energy is dissipated in resistors" for name in item.of if name in others
        )


ENTRY = EnergyDissipated()
