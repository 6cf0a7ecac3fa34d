"""The Thévenin resistance that the storage element looks into, all independent sources set to zero."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, Inductor
from grader.circuit.resistance import resistance_seen
from grader.problem import Item, Problem
from grader.quantities.links import TAU
from grader.quantities.ports import port_rules
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.words import after_switching
from grader.values.dimension import RESISTANCE
from grader.values.waveform import Waveform, constant


class ResistanceSeen(Asked):
    """The Thévenin resistance that the storage element looks into, all independent sources set to zero."""

    name = "resistance seen"
    called = ("R_th", "R_eq", "R_T")
    allows = ("after", "by")
    measures = RESISTANCE
    sample = Sample(circuit="relay", answer="10")

    def reference(self, question: Question) -> Waveform:
        """At the storage element's terminals, in the interval meant."""
        return constant(resistance_seen(question.circuit, question.index, question.item.by))

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own open-circuit voltage and short-circuit current; the own time constant."""
        yield from port_rules(question, "v/i", {"v": "open-circuit voltage", "i": "short-circuit current"}, "")
        says = "This follows from your own time constant."
        for item in question.earlier_here(TAU):
            for element in question.circuit.elements:
                if isinstance(element, Inductor | Capacitor):
                    formula = "k/tau" if isinstance(element, Inductor) else "tau/k"
                    given = (("k", constant(element.value)),)
                    yield Rule(formula=formula, uses=(("tau", item.id),), given=given, says=says)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        who = item.by or "the storage element"
        return f"Thévenin resistance seen by {who}{after_switching(problem, item)}"


ENTRY = ResistanceSeen()
