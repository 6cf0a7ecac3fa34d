"""The forced (steady) part of a signal: the terms with the sources' own shapes."""

from __future__ import annotations

from grader.quantities.finds.natural_part import NaturalPart
from grader.quantities.records import Sample


class ForcedPart(NaturalPart):
    """The forced (steady) part of a signal: the terms with the sources' own shapes."""

    name = "forced part"
    sample = Sample(circuit="charging", item='voltage = "C1"', answer="10")
    natural = False
    words = "Forced (steady) part"


ENTRY = ForcedPart()
