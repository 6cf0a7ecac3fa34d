"""The share of its period in which the switch of a repeating circuit stands as after its first action."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import ChangeoverSwitch, Switch
from grader.problem import Item, Problem
from grader.quantities.cycles import levels_text, phases
from grader.quantities.finds.period import Period
from grader.quantities.question import Question
from grader.quantities.records import Sample
from grader.quantities.rules import Rule
from grader.values.dimension import NUMBER
from grader.values.waveform import Waveform


class DutyCycle(Period):
    """The share of the period in which the switch stands as after its first action: closed, where that closes it."""

    name = "duty cycle"
    measures = NUMBER
    sample = Sample(
        circuit="flasher", item='voltage = "C1"\nby = "S1"\nlow = "3 V"\nhigh = "6 V"', answer="0.10188887157225855"
    )

    def reference(self, question: Question) -> Waveform:
        """The second phase over the whole."""
        before, after = phases(question)
        return after / (before + after)

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own period, with the right second phase."""
        for item in question.earlier("period"):
            says = "This follows from your own period."
            yield Rule(formula="w/x", uses=(("x", item.id),), given=(("w", phases(question).after),), says=says)
            return

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        switch = problem.circuit.element(item.by or "") if problem.circuit is not None else None
        stands = ""
        if isinstance(switch, Switch):
            stands = "closed" if switch.actions[0][1] else "open"
        if isinstance(switch, ChangeoverSwitch):
            stands = f"at {switch.actions[0][1]}"
        return f"Share of the period in which {item.by} is {stands}, in per cent, {levels_text(problem, item)}"


ENTRY = DutyCycle()
