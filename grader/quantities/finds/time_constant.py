"""The time constant of a response of first order: L over, or C times, the resistance seen."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Inductor
from grader.circuit.resistance import time_constant
from grader.quantities import steps
from grader.quantities.links import EXPRESSION, SEEN
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.values.dimension import TIME
from grader.values.waveform import Waveform, constant

_SAYS = "This follows from the resistance that you found the storage element to see."


class TimeConstant(Asked):
    """The time constant of a response of first order: L over, or C times, the resistance seen."""

    name = "time constant"
    called = ("tau",)
    label = "Time constant τ"
    allows = ("after", "by")
    measures = TIME
    sample = Sample(circuit="relay", answer="1/20")

    def reference(self, question: Question) -> Waveform:
        """One over the decay rate."""
        return constant(time_constant(question.circuit, question.index, question.item.by))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The resistance seen, with the storage element's value or the own combined one; the only rate of an own expression."""
        circuit = question.circuit
        for item in question.earlier_here(EXPRESSION):
            says = "This follows from the decay in your own expression."
            yield Rule(formula="x", uses=(("x", item.id),), says=says, step=steps.decay_time)
        for item in question.earlier_here(SEEN):
            if item.by != question.item.by and question.item.by is not None and item.by is not None:
                continue
            seen = (("R", item.id),)
            for combined, formula, symbol in (
                ("equivalent inductance", "L/R", "L"),
                ("equivalent capacitance", "R*C", "C"),
            ):
                for other in question.earlier(combined):
                    yield Rule(formula=formula, uses=(*seen, (symbol, other.id)), says=_SAYS)
                    break
            for element in circuit.elements:
                if element.name not in (item.by, question.item.by) and (item.by or question.item.by):
                    continue
                if isinstance(element, Inductor):
                    yield Rule(formula="L/R", uses=seen, given=(("L", constant(element.value)),), says=_SAYS)
                if isinstance(element, Capacitor):
                    yield Rule(formula="R*C", uses=seen, given=(("C", constant(element.value)),), says=_SAYS)
            return


ENTRY = TimeConstant()
