"""The damped natural frequency ωd of an underdamped response, ``sqrt(ω0² − α²)``."""

from __future__ import annotations

from collections.abc import Iterator

from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import from_roots, from_values
from grader.quantities.links import ALPHA, OMEGA0
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import of_second_order, text_of
from grader.values.dimension import RATE
from grader.values.waveform import Waveform


class DampedNaturalFrequency(Asked):
    """The damped natural frequency ωd of an underdamped response, ``sqrt(ω0² − α²)``."""

    name = "damped natural frequency"
    allows = ("after",)
    measures = RATE
    unit = "rad/s"
    sample = Sample(circuit="damper", answer="4")

    def reference(self, question: Question) -> Waveform:
        """The imaginary part of the roots."""
        return of_second_order(question, "omega_d")

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0; the own roots."""
        says = "This follows from your own damping coefficient and undamped natural frequency."
        yield from from_values(question, "sqrt(w0^2-alpha^2)", says, needs={"alpha": ALPHA, "w0": OMEGA0})
        yield from from_roots(question, "Im(s1)", steps.omega_d_of_roots)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Damped natural frequency ωd", problem, item)

    def names(self, item: Item) -> tuple[str, ...]:
        """What it is called in expressions."""
        return ("omega_d", "w_d")


ENTRY = DampedNaturalFrequency()
