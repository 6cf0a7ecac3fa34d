"""The coupling of two inductors; their own laws take it up."""

from typing import ClassVar

from grader.circuit.elements.base import Element
from grader.values.scalar import Scalar


class CoupledInductors(Element, frozen=True, kw_only=True):
    """Mutual inductance (henries) between two inductors, dots at their first nodes."""

    kind: ClassVar[str] = "coupled inductors"
    inductors: tuple[str, str]
    mutual: Scalar
