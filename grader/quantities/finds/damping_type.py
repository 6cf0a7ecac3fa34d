"""Whether a response of second order is overdamped, critically damped, underdamped or undamped."""

from __future__ import annotations

from collections.abc import Iterator

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities import steps
from grader.quantities.composed import from_roots, from_values
from grader.quantities.links import ALPHA, OMEGA0, ZETA
from grader.quantities.question import Question
from grader.quantities.records import CHOICE, Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.second_order import second_order, text_of
from grader.values.comparison import close
from grader.values.scalar import is_symbolic, to_float


class DampingType(Asked):
    """Whether a response of second order is overdamped, critically damped, underdamped or undamped."""

    name = "damping type"
    answers = CHOICE
    allows = ("after",)
    measures = None
    sample = Sample(circuit="damper", answer="underdamped")

    def reference(self, question: Question) -> str:
        """By α against ω0."""
        damping: str | None = second_order(question).damping
        if damping is None:
            raise NotDefined("whether α is greater or smaller than ω0 is open here; give numbers, and a stable circuit")
        return damping

    def others(self, question: Question) -> tuple[str, ...]:
        """Critically damped, where rounded parts leave α and ω0 equal within the tolerance, as ζ is then 1 within it."""
        zeta = second_order(question).zeta
        if zeta is None or is_symbolic(zeta) or self.reference(question) == steps.CRITICAL:
            return ()
        return (steps.CRITICAL,) if close(to_float(zeta), 1.0, question.item.marking.tolerance) else ()

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0; ζ; the own roots."""
        says = "This follows from your own damping coefficient and undamped natural frequency."
        needs = {"alpha": ALPHA, "omega0": OMEGA0}
        yield from from_values(question, "alpha against omega0", says, needs=needs, step=steps.type_from)
        for item in question.earlier_here(ZETA):
            says = "This follows from your own damping ratio."
            yield Rule(formula="zeta against 1", uses=(("zeta", item.id),), says=says, step=steps.type_from)
            break
        yield from from_roots(question, "s1 against s2", steps.type_from)

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        return text_of("Type of damping (overdamped, critically damped or underdamped)", problem, item)


ENTRY = DampingType()
