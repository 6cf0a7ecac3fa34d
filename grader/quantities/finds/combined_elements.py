"""Elements from others: storage elements combined, and a coil from its measures.

References
----------
Formula of the long solenoid: common practice, no source.  Magnetic constant: CODATA 2022 value.
"""

from collections.abc import Iterator

from grader.circuit.equivalent import equivalent_capacitance, equivalent_inductance
from grader.problem import Item, Problem
from grader.quantities.quantities import quantity
from grader.quantities.question import Question
from grader.quantities.records import Asked
from grader.values.dimension import AREA, CAPACITANCE, INDUCTANCE, LENGTH, NUMBER, PERMEABILITY
from grader.values.scalar import rational
from grader.values.waveform import Waveform, constant, number_of


class EquivalentInductance(Asked):
    """Several inductors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

    name = "equivalent inductance"
    measures = INDUCTANCE
    combined = staticmethod(equivalent_inductance)

    def reference(self, question: Question) -> Waveform:
        item = question.item
        return constant(self.combined(question.circuit, item.by, item.of, question.index))


class EquivalentCapacitance(EquivalentInductance):
    """Several capacitors as one: all of them or those of ``of``, at their own terminals or at those of the element ``by``."""

    name = "equivalent capacitance"
    measures = CAPACITANCE
    combined = staticmethod(equivalent_capacitance)


MAGNETIC_CONSTANT = constant(rational("1.25663706127e-6"), exact=False)
"""H/m, standard uncertainty 0.00000000020e-6 (CODATA 2022); 4π·10⁻⁷ to nine digits."""


SIZES = {"turns": NUMBER, "area": AREA, "length": LENGTH}


def permeability_of(text: str) -> Waveform:
    """In H/m; a number without a unit is relative to the magnetic constant."""
    value = quantity(text, PERMEABILITY)
    return value.waveform * MAGNETIC_CONSTANT if value.dimension is None else value.waveform


class CoilInductance(Asked):
    """The inductance of a long coil from its turns, core, area and length: ``L = μ N² A / l``."""

    name = "coil inductance"
    circuit = False
    measures = INDUCTANCE

    def reference(self, question: Question) -> Waveform:
        settings = dict(question.item.settings)
        turns, area, length = (quantity(settings[key], size).waveform for key, size in SIZES.items())
        return permeability_of(settings["permeability"]) * turns * turns * area / length

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Each size must be readable and greater than zero."""

        def found() -> Iterator[str]:
            for key, text in item.settings:
                try:
                    value = permeability_of(text) if key == "permeability" else quantity(text, SIZES[key]).waveform
                    if number_of(value) <= 0:
                        yield f"'{key}' must be greater than zero, not '{text}'"
                except ValueError as error:
                    yield f"'{key}': {error}"

        return tuple(found())
