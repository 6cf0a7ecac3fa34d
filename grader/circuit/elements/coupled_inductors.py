"""The coupling of two inductors; their own laws take it up."""

from dataclasses import dataclass
from typing import ClassVar

from grader.circuit.elements.base import Element
from grader.values.scalar import Scalar


@dataclass(frozen=True, slots=True, kw_only=True)
class CoupledInductors(Element):
    """Mutual inductance (henries) between two inductors, dots at their first nodes."""

    kind: ClassVar[str] = "coupled inductors"
    inductors: tuple[str, str]
    mutual: Scalar
