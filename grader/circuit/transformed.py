"""The Laplace transforms of a solved circuit's signals, t counted from 0-."""

from __future__ import annotations

from grader.circuit.elements import Circuit, Signal
from grader.circuit.laplace import in_s_domain
from grader.circuit.response import Solved
from grader.circuit.sources import drives, impulses_at
from grader.errors import NotDefined
from grader.values.laplace import transform
from grader.values.scalar import ZERO, Scalar
from grader.values.waveform import Waveform, number_of


def signal_transform(solved: Solved, signal: Signal) -> Waveform:
    """The transform of a signal of a circuit that changes once, at t = 0.

    Raises
    ------
    NotDefined
        If the circuit changes at another instant, or again.
    """
    refuse_other_changes(solved)
    return in_s_domain(solved.circuit, ZERO, delivered_by(solved.circuit), held_before(solved)).of(signal)


def refuse_other_changes(solved: Solved) -> None:
    """Raise NotDefined unless t = 0 is the only instant at which the circuit changes."""
    if [interval.start for interval in solved.intervals[1:]] != [ZERO]:
        raise NotDefined(
            "a transform counts t from 0, and is a quotient of polynomials where the circuit changes then and never again"
        )


def delivered_by(circuit: Circuit) -> dict[str, Scalar]:
    """The transform of what every independent source delivers from t = 0 on, an impulse included."""
    struck = impulses_at(circuit, ZERO)
    return {name: transform(drive).number + struck.get(name, ZERO) for name, drive in drives(circuit, ZERO).items()}


def held_before(solved: Solved) -> dict[str, Scalar]:
    """What the storage elements hold at 0- (V, A)."""
    names = solved.before.columns.states
    return {
        name: value.number if value.is_number else number_of(value)
        for name, value in zip(names, solved.held, strict=False)
    }
