"""Circuits that repeat: the period and the share of it in which the switch has acted."""

from __future__ import annotations

from collections.abc import Iterator

from grader.circuit.elements import ChangeoverSwitch, Switch
from grader.problem import Item, Problem
from grader.quantities.cycles import KEYS, LEVELS, level_faults, levels_text, phases
from grader.quantities.question import Question
from grader.quantities.records import SIGNAL, Asked, Sample
from grader.quantities.rules import Rule
from grader.values.dimension import NUMBER, TIME
from grader.values.waveform import Waveform


class Period(Asked):
    """How long a circuit takes to repeat whose switch acts whenever a capacitor's voltage or coil's current reaches a level."""

    name = "period"
    needs = (SIGNAL, "by", *LEVELS)
    keys = KEYS
    measures = TIME
    sample = Sample(
        circuit="flasher", item='voltage = "C1"\nby = "S1"\nlow = "3 V"\nhigh = "6 V"', answer="0.0015435666224810915"
    )

    def reference(self, question: Question) -> Waveform:
        """Both phases together."""
        before, after = phases(question)
        return before + after

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return f"Period of the repeating circuit, {levels_text(problem, item)}"

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Levels that can be read."""
        return tuple(level_faults(problem, item))


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


ENTRIES = (Period(), DutyCycle())
