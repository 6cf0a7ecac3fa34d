"""The energy that is gone at the very instant of a switching, where charge or flux is shared through no resistance."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import Capacitor, CoupledInductors, Signal, Source, Storage
from grader.problem import Item, Problem
from grader.quantities.links import INITIAL, is_signal, own_signal
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import taken_at_once
from grader.quantities.words import when
from grader.values.dimension import ENERGY
from grader.values.scalar import HALF, ZERO
from grader.values.waveform import Waveform, constant


class EnergyLost(Asked):
    """The energy that is gone at the instant of a switching: capacitors joined, or coils, by nothing that limits the impulse."""

    name = "energy lost"
    allows = ("after",)
    measures = ENERGY
    sample = Sample(circuit="sharing", answer="3/1000")

    def reference(self, question: Question) -> Waveform:
        """What was stored before, and what impulses in the sources deliver, less what is stored after."""
        return stored(question, before=True) - stored(question, before=False) + _delivered(question)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own voltage that the capacitors have in common afterwards."""
        shared = [one.element for one in question.solved.impulses if one.time == question.start]
        found = [e for e in question.circuit.elements if isinstance(e, Capacitor) and e.name in shared]
        total = sum((element.value for element in found), ZERO)
        before = stored(question, before=True)
        for element in found:
            for item in question.earlier_here(INITIAL):
                if is_signal(question.circuit, item, own_signal(element)):
                    says = "This follows from the voltage that you found after the charge is shared."
                    given = (("w", before), ("c", constant(total)))
                    yield Rule(formula="w-(1/2)*c*x^2", uses=(("x", item.id),), given=given, says=says)
                    return

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Energy lost at the instant of the switching{when(problem, item)}"


def stored(question: Question, *, before: bool) -> Waveform:
    """All that is stored just before or just after the switching, couplings included."""
    solved, total = question.solved, Waveform()
    value = solved.just_before if before else solved.just_after
    for element in question.circuit.elements:
        if isinstance(element, Storage):
            state = value(own_signal(element), question.index)
            total = total + (state * state).scaled(element.value * HALF)
        elif isinstance(element, CoupledInductors):
            one, two = (value(Signal(kind="current", of=name), question.index) for name in element.inductors)
            total = total + (one * two).scaled(element.mutual)
    return total


def _delivered(question: Question) -> Waveform:
    """What sources deliver in the impulse: their voltage times the charge, their current times the flux."""
    total = Waveform()
    for impulse in question.solved.impulses:
        if impulse.time == question.start and isinstance(question.circuit.element(impulse.element), Source):
            total = total - taken_at_once(question, impulse)
    return total


ENTRY = EnergyLost()
