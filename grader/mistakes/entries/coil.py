"""An inductance from a coil's measures found wrongly."""

from __future__ import annotations

from collections.abc import Iterator

from grader.mistakes.case import Case
from grader.mistakes.records import NO_SOURCE, SUPPOSED, Mistake, Wrong
from grader.quantities.quantities import quantity
from grader.values.dimension import NUMBER, PERMEABILITY, Dimension
from grader.values.waveform import Waveform

COIL = "coil inductance"


def setting(case: Case, name: str, dimension: Dimension) -> Waveform | None:
    """A plain number among the coil's measures; None where there is none, or one with a unit."""
    text = dict(case.item.settings).get(name)
    if case.find != COIL or text is None:
        return None
    found = quantity(text, dimension)
    return found.waveform if found.dimension is None or not any(found.dimension) else None


def turns_not_squared(case: Case) -> Iterator[Wrong]:
    """The inductance over the number of turns."""
    number = setting(case, "turns", NUMBER)
    if number is not None and number.terms and isinstance(case.right, Waveform):
        yield Wrong(case.right / number)


def core_left_out(case: Case) -> Iterator[Wrong]:
    """The inductance over the relative permeability."""
    relative = setting(case, "permeability", PERMEABILITY)
    if relative is not None and relative.terms and isinstance(case.right, Waveform):
        yield Wrong(case.right / relative)


ENTRIES = (
    Mistake(
        id="coil-turns-not-squared",
        title="Turns not squared",
        idea="The turns count twice: each makes field, and each links it. L grows with N².",
        nudge="Twice as many turns: how much more field, and how much more linkage?",
        remark="The number of turns was not squared.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=turns_not_squared,
    ),
    Mistake(
        id="coil-core-left-out",
        title="Core left out",
        idea="A core multiplies the inductance by its relative permeability. The coil was taken as an air coil.",
        nudge="What does the core do to the field of the coil, and where is that in your formula?",
        remark="The relative permeability of the core was left out.",
        source=NO_SOURCE,
        prior=SUPPOSED,
        wrong=core_left_out,
    ),
)
