"""The energy that sources deliver in a stretch of time; negative where they take it up."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from grader.circuit.elements import CurrentSource, DependentSource, IdealOpAmp, Signal, VoltageSource
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.links import EXPRESSION, is_signal
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import energy_taken
from grader.quantities.words import stretch_text
from grader.values.dimension import ENERGY
from grader.values.waveform import Waveform

SOURCES = (VoltageSource, CurrentSource, DependentSource, IdealOpAmp)


class EnergyDelivered(Asked):
    """The energy that sources deliver in a stretch of time; negative where they take it up."""

    name = "energy delivered"
    needs = ("of",)
    allows = ("after", "from", "until")
    measures = ENERGY
    sample = Sample(circuit="charging", item='of = "Vs"', answer="1/5000")

    def reference(self, question: Question) -> Waveform:
        """The integral of -v i over every interval that the stretch of time meets."""
        return -energy_taken(question, question.item.of)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own expression of the source's power."""
        start, end = question.stretch(lasting=True)
        parts = list(question.parts_of(start, end))
        if len(parts) != 1 or len(question.item.of) != 1:
            return
        power = Signal(kind="power", of=question.item.of[0])
        for item in question.earlier(EXPRESSION):
            if is_signal(question.circuit, item, power) and question.index_of(item) == parts[0][0]:
                says = f"This follows from your own power of {question.item.of[0]}."
                step = partial(steps.delivered, start=start, end=end)
                yield Rule(formula="-x", uses=(("x", item.id),), says=says, step=step)
                return

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Only sources deliver."""
        known = () if problem.circuit is None else problem.circuit.elements
        others = [element.name for element in known if not isinstance(element, SOURCES)]
        return tuple(f"'of': {name} is no source; energy is delivered by sources" for name in item.of if name in others)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Energy delivered by {' and '.join(item.of)} {stretch_text(problem, item, lasting=True)}"


ENTRY = EnergyDelivered()
