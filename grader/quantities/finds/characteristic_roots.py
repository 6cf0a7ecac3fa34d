"""The roots of the characteristic equation of an interval."""

from __future__ import annotations

from collections.abc import Iterator

from grader.errors import NotDefined
from grader.quantities import steps
from grader.quantities.composed import from_values
from grader.quantities.equations import from_polynomial, roots_of
from grader.quantities.links import ALPHA, OMEGA0, OMEGA_D, TAU
from grader.quantities.question import Question
from grader.quantities.records import ROOTS, Asked, Sample
from grader.quantities.rules import Roots, Rule
from grader.quantities.second_order import characteristic, listed
from grader.values.dimension import RATE


class CharacteristicRoots(Asked):
    """The roots of the characteristic equation of an interval."""

    name = "characteristic roots"
    label = "Roots of the characteristic equation"
    answers = ROOTS
    allows = ("after",)
    measures = RATE
    sample = Sample(circuit="damper", answer="-3 + 4*I, -3 - 4*I")

    def reference(self, question: Question) -> Roots:
        """Every root as often as it occurs, conjugate pairs together."""
        roots = listed(characteristic(question).roots)
        if not roots:
            raise NotDefined("there is no storage element whose response could have a root")
        return roots

    def rules(self, question: Question) -> Iterator[Rule]:
        """α and ω0, or α and ωd; of first order, the time constant; the characteristic polynomial."""
        says = "This follows from your own damping coefficient and natural frequency."
        formula = "-alpha±sqrt(alpha^2-omega0^2)"
        yield from from_values(question, formula, says, needs={"alpha": ALPHA, "omega0": OMEGA0}, step=steps.roots_of)
        formula = "-alpha±j*omega_d"
        yield from from_values(question, formula, says, needs={"alpha": ALPHA, "omega_d": OMEGA_D}, step=steps.pair_of)
        for item in question.earlier_here(TAU):
            says = "This follows from your own time constant."
            yield Rule(formula="-1/tau", uses=(("tau", item.id),), says=says, step=steps.root_of_tau)
            break
        yield from from_polynomial(question, roots_of)


ENTRY = CharacteristicRoots()
