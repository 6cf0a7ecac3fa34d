"""What the entries about damping, roots and natural frequencies share."""

from __future__ import annotations

from collections.abc import Iterable

from grader.circuit.characteristic import Characteristic, Root
from grader.errors import NotDefined
from grader.quantities.question import Question
from grader.quantities.rules import Roots
from grader.values.waveform import Waveform, constant

_WHY_NOT = {
    "omega_d": "the response is not underdamped, so it has no damped natural frequency",
    "omega0": "the roots lie on both sides of zero, so there is no undamped natural frequency",
}


def characteristic(question: Question) -> Characteristic:
    """Characteristic polynomial, roots and damping of the interval meant."""
    if question.solved is None:
        raise NotDefined("the problem has no circuit to find this from")
    found: Characteristic = question.solved.characteristic(question.index)
    return found


def listed(roots: Iterable[Root]) -> Roots:
    """Every root as often as it occurs, conjugate pairs together."""
    found: list[tuple[Waveform, Waveform]] = []
    for root in roots:
        real, imaginary = constant(root.real, root.exact), constant(root.imaginary, root.exact)
        pair = [(real, imaginary), (real, -imaginary)] if imaginary.terms else [(real, imaginary)]
        found.extend(pair * root.multiplicity)
    return tuple(found)


def second_order(question: Question) -> Characteristic:
    """`characteristic` of a circuit of second order.

    Raises
    ------
    NotDefined
        If it is of another order.
    """
    found = characteristic(question)
    if found.order != 2:
        raise NotDefined(f"the circuit is of order {found.order} here; this belongs to a response of second order")
    return found


def of_second_order(question: Question, name: str) -> Waveform:
    """``alpha``, ``omega0``, ``omega_d`` or ``zeta`` of a circuit of second order.

    Raises
    ------
    NotDefined
        If the circuit is of another order, or has no such value.
    """
    value = getattr(second_order(question), name)
    if value is None:
        raise NotDefined(_WHY_NOT.get(name, "the response has no such value"))
    return constant(value)
