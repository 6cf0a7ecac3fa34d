"""The Laplace transforms of a solved circuit's signals, t counted from 0-."""

from flint import fmpq

from grader.circuit.elements import Circuit, Signal, Source, Storage, own_signal
from grader.circuit.laplace import in_s_domain
from grader.circuit.network import positions
from grader.circuit.response import Solved
from grader.circuit.sources import drives, impulses_at
from grader.errors import NotDefined
from grader.values.laplace import delayed_by, transform
from grader.values.scalar import ZERO, Scalar
from grader.values.waveform import Waveform, constant, scalar_of


def signal_transform(solved: Solved, signal: Signal) -> Waveform:
    """The transform of a signal; what happens at a later instant T adds to it with the factor ``e^(-sT)``.

    Raises
    ------
    NotDefined
        If the circuit changes before t = 0.
    """
    circuit, (_, first, *_) = solved.circuit, solved.intervals
    assert first.start is not None
    if first.start < 0:
        raise NotDefined("a transform counts t from 0, and the circuit changes before")
    if first.start == 0:
        total = in_s_domain(circuit, ZERO, delivered_by(circuit), held_before(solved)).of(signal)
    else:
        total = transform(solved.waveform(signal, 0))
    for index, interval in enumerate(solved.intervals):
        if interval.start is not None and interval.start > 0:
            total = total + _change(solved, signal, index, interval.start) * delayed_by(interval.start)
    return total


def _change(solved: Solved, signal: Signal, index: int, instant: fmpq) -> Waveform:
    """What an instant adds: the signal from then on less what it would be if nothing happened, both in s."""
    circuit = solved.circuit
    earlier = solved.intervals[index - 1].start
    held = {} if positions(circuit, earlier) == positions(circuit, instant) else _states(solved, index)
    before = in_s_domain(circuit, earlier, delivered_by(circuit, earlier, instant), held)
    after = in_s_domain(circuit, instant, delivered_by(circuit, instant, instant), held)
    return after.of(signal) - before.of(signal)


def _states(solved: Solved, index: int) -> dict[str, Scalar]:
    """What the storage elements hold just before an interval; where no switch acts it is the same on both sides."""
    storage = [element for element in solved.circuit.elements if isinstance(element, Storage)]
    found = {e.name: solved.just_before(own_signal(e), index) for e in storage}
    if any(value.is_symbolic and not value.is_number for value in found.values()):
        raise NotDefined(
            "with letters, what is held when a later switch acts is no quotient of polynomials; give numbers"
        )
    return {name: scalar_of(value) for name, value in found.items()}


def refuse_other_changes(solved: Solved) -> None:
    """Raise NotDefined unless t = 0 is the only instant at which the circuit changes."""
    if [interval.start for interval in solved.intervals[1:]] != [ZERO]:
        raise NotDefined("the circuit changes at another instant than t = 0, or again")


def delivered_by(circuit: Circuit, since: fmpq | None = ZERO, counted: fmpq = ZERO) -> dict[str, Scalar]:
    """The transform of what every independent source delivers by the pieces in force ``since`` an instant.

    Time is counted from ``counted``; impulses there belong to it where the pieces begin there.
    """
    struck = impulses_at(circuit, counted) if since == counted else {}
    shift = counted - (ZERO if since is None else since)
    return {
        name: transform(drive.delayed(-shift)).number + struck.get(name, ZERO)
        for name, drive in drives(circuit, since).items()
    }


def source_transform(source: Source) -> Waveform:
    """The transform of what one source delivers from t = 0 on."""
    alone = Circuit(elements=(source,), ground=source.between[1])
    instants = sorted({ZERO, *(time for time in source.acts() if time > 0)})
    total, earlier = Waveform(), None
    for instant in instants:
        change = delivered_by(alone, instant, instant)[source.name]
        if earlier is not None:
            change = change - delivered_by(alone, earlier, instant)[source.name]
        total, earlier = total + constant(change) * delayed_by(instant), instant
    return total


def held_before(solved: Solved) -> dict[str, Scalar]:
    """What the storage elements hold at 0- (V, A)."""
    names = solved.before.columns.states
    return {name: scalar_of(value) for name, value in zip(names, solved.held, strict=False)}
