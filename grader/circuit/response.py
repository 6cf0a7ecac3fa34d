"""The response of a switched circuit: intervals between actions, jumps at actions, and every signal's waveform."""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from flint import fmpq
from msgspec import Struct, field

from grader.circuit import signals, soundness
from grader.circuit.characteristic import Characteristic, characteristic
from grader.circuit.elements import Circuit, CoupledInductors, Signal, Storage
from grader.circuit.elimination import Row
from grader.circuit.laplace import SDomain, in_s_domain
from grader.circuit.modal import (
    Mode,
    PowerSequence,
    beginning,
    certainly_decays,
    characteristic_polynomial,
    modes,
    waveform,
)
from grader.circuit.network import instants, positions
from grader.circuit.polynomial import Polynomial, factored, multiplied
from grader.circuit.reduction import Reduced, reduce
from grader.circuit.sources import drives, exosystem, impulses_at, tame
from grader.circuit.steady import SteadyState, conserved_count, steady_state
from grader.errors import CircuitError, NotDefined
from grader.values.laplace import fraction
from grader.values.scalar import ONE, ZERO, Scalar, Surd, sign
from grader.values.waveform import Waveform, constant, number_of


class Interval(NamedTuple):
    """The time from one action to the next, in seconds; None: unbounded."""

    start: fmpq | None
    end: fmpq | None


class SolvedInterval(Struct, frozen=True, kw_only=True):
    """An interval solved: its equations, its modes, and the start values of states and source states."""

    interval: Interval
    reduced: Reduced
    space: tuple[Mode, ...]
    start: tuple[Waveform, ...]
    """All states, then all source states, at the opening instant."""
    sequence: PowerSequence

    def signal(self, row: Row) -> Waveform:
        """The waveform of a row over unknowns and states, in global t."""
        return self._within(row, self.space)

    def lasting(self, row: Row) -> Waveform:
        """`signal` without what surely dies away by roots of third and higher order: a limit needs no such root."""
        return self._within(
            row, [mode for mode in self.space if not (mode.intricate and certainly_decays(mode.factor))]
        )

    def _within(self, row: Row, space: Sequence[Mode]) -> Waveform:
        free = self.reduced.free(self.reduced.full(row))
        opened = self.interval.start
        assert opened is not None
        return waveform(free, self.sequence, space).delayed(opened)

    def beginning(self, row: Row) -> Waveform:
        """The first terms of its power series in the time since the opening instant."""
        return beginning(self.reduced.free(self.reduced.full(row)), self.sequence)

    def just_after(self, row: Row) -> Waveform:
        """Its value at the opening instant."""
        return signals.applied(self.reduced.full(row), self.start, self.reduced.columns.state_columns.start)


class Solved(Struct, frozen=True, kw_only=True, eq=False):
    """A solved circuit."""

    circuit: Circuit
    intervals: tuple[Interval, ...]
    """The first is the time before the first action (the steady state)."""
    impulses: tuple[signals.Impulse, ...]
    """What passes in no time at the actions."""
    notes: tuple[str, ...]
    """What had to be assumed."""
    before: Reduced
    rest: SteadyState | CircuitError
    held: tuple[Waveform, ...]
    """States just before the first action, then source states."""
    stages: tuple[SolvedInterval, ...]
    _found: dict[tuple[Signal, int], Waveform] = field(default_factory=dict)

    def waveform(self, signal: Signal, index: int = 1) -> Waveform:
        """A signal on an interval, in global t (seconds).

        Raises
        ------
        NotDefined
            If it has no value there: a voltage between parts that nothing connects, or no steady state.
        """
        key = (signal, index)
        if key not in self._found:
            self._found[key] = signals.evaluate(self.circuit, self.reduced(index), signal, self._reader(index))
        return self._found[key]

    def _reader(self, index: int) -> signals.Reader:
        if index == 0:
            if isinstance(self.rest, CircuitError):
                raise NotDefined(str(self.rest))
            return self.rest.signal
        return self.stages[index - 1].signal

    def reduced(self, index: int = 1) -> Reduced:
        """The solved equations of an interval."""
        return self.before if index == 0 else self.stages[index - 1].reduced

    def acting_on(self, signal: Signal | None, index: int) -> Reduced:
        """The state equations of an interval that a signal obeys; all where none is named."""
        return signals.acting_on(self.circuit, self.reduced(index), signal)

    def opening(self, index: int) -> fmpq:
        """The instant (s) that opens an interval but the first."""
        opened = self.intervals[index].start
        assert opened is not None
        return opened

    def just_before(self, signal: Signal, index: int = 1) -> Waveform:
        """A signal's value at the end of the interval before (where states are given, as given)."""
        if index == 1:
            first = self.before.columns.state_columns.start

            def held(row: Row) -> Waveform:
                return signals.applied(self.before.full(row), self.held, first)

            return signals.evaluate(self.circuit, self.before, signal, held)
        return self.waveform(signal, index - 1).at(self.opening(index))

    def just_after(self, signal: Signal, index: int = 1) -> Waveform:
        """A signal's value at the opening instant of an interval, after what happens there."""
        return signals.evaluate(self.circuit, self.reduced(index), signal, self.stages[index - 1].just_after)

    def _intricate(self, index: int) -> bool:
        """Whether an interval's response has roots of third or higher order."""
        return index > 0 and any(mode.intricate for mode in self.stages[index - 1].space)

    def derivative(self, signal: Signal, index: int = 1, order: int = 1) -> Waveform:
        """The first or second derivative of a signal at the opening instant of an interval, after what happens there."""
        if self._intricate(index):
            found = signals.evaluate(self.circuit, self.reduced(index), signal, self.stages[index - 1].beginning)
        else:
            found = self.waveform(signal, index).delayed(-self.opening(index))
        for _ in range(order):
            found = found.derivative()
        return found.at(ZERO)

    def final(self, signal: Signal, index: int = 1) -> Waveform:
        """The value a signal tends to if nothing acts any more.

        Raises
        ------
        NotDefined
            If it grows or never settles.
        """
        found = (
            signals.evaluate(self.circuit, self.reduced(index), signal, self.stages[index - 1].lasting)
            if self._intricate(index)
            else self.waveform(signal, index)
        )
        limit = found.limit()
        if limit is None:
            name = signal.of if isinstance(signal.of, str) else f"{signal.of[0]}, {signal.of[1]}"
            bounded = all(sign(t.rate) < 0 or (not t.rate and not t.power) for t in found.terms)
            how = "keeps oscillating" if bounded else "grows without bound"
            raise NotDefined(f"the {signal.kind} of {name} {how}, so it has no final value; ask for its expression")
        return limit

    def characteristic(self, index: int = 1, signal: Signal | None = None) -> Characteristic:
        """Characteristic polynomial, roots, damping of an interval; of what acts on a signal alone, where one is named.

        Charge trapped between capacitors (or flux between inductors) gives a root of zero that no response shows; such
        roots are left out, as where two capacitors in series are counted as one.
        """
        reduced = self.acting_on(signal, index)
        polynomial = characteristic_polynomial(reduced.derivatives, reduced.order)
        return characteristic(polynomial[conserved_count(reduced) :])


def solve(circuit: Circuit) -> Solved:
    """Solve a circuit for all time.

    Raises
    ------
    CircuitError
        If it has no unique finite response: the sentence names the elements and says why.
    """
    soundness.refuse_impossible(circuit)
    acting = instants(circuit)
    before = reduced_at(circuit, None)
    rest = _rest(before)
    held, notes = _held(circuit, before, rest, acting[0])
    stages: list[SolvedInterval] = []
    impulses: list[signals.Impulse] = []
    states = held[: len(before.columns.states)]
    for start, end in pairwise([*acting, None]):
        assert start is not None
        stage, happened = _stage(circuit, Interval(start, end), states)
        stages.append(stage)
        impulses.extend(happened)
        if end is not None:
            states = tuple(
                _carried(stage.signal({column: ONE}).at(end)) for column in stage.reduced.columns.state_columns
            )
    return Solved(
        circuit=circuit,
        intervals=(Interval(None, acting[0]), *(stage.interval for stage in stages)),
        impulses=tuple(impulses),
        notes=notes,
        before=before,
        rest=rest,
        held=held,
        stages=tuple(stages),
    )


MAX_CONSTANTS = 12
"""Most constants like ``e^-5`` carried exactly into the next interval: their number may multiply at every action."""


def _carried(value: Waveform) -> Waveform:
    """The state at an interval's end as the next one's start: exact while that is short, else to 50 digits."""
    if value.is_symbolic or (value.exact and len(value.terms) <= MAX_CONSTANTS):
        return value
    return constant(number_of(value), exact=False)


@lru_cache(maxsize=32)  # the resistive views of a circuit ask for it again and again
def reduced_at(circuit: Circuit, instant: fmpq | None) -> Reduced:
    """The solved equations from an instant on (None: before the first action)."""
    delivered = {name: tame(drive) for name, drive in drives(circuit, instant).items()}
    return reduce(circuit, positions(circuit, instant), exosystem(delivered))


def _rest(before: Reduced) -> SteadyState | CircuitError:
    try:
        return steady_state(before)
    except CircuitError as error:
        return error


def _held(
    circuit: Circuit, before: Reduced, rest: SteadyState | CircuitError, instant: fmpq
) -> tuple[tuple[Waveform, ...], tuple[str, ...]]:
    """States and source states just before the first action, and what had to be assumed about them."""
    given: Mapping[str, Scalar] = {
        e.name: e.initial for e in circuit.elements if isinstance(e, Storage) and e.initial is not None
    }
    values: list[Waveform] = []
    notes: list[str] = []
    for name, column in before.columns.states.items():
        if name in given:
            values.append(constant(given[name]))
        elif isinstance(rest, CircuitError):
            raise rest
        else:
            values.append(rest.signal({column: ONE}).at(instant))
            if name in rest.assumed:
                notes.append(rest.assumed[name])
    values.extend(state.at(instant) for state in before.exosystem.states)
    return tuple(values), tuple(notes)


def _stage(
    circuit: Circuit, interval: Interval, before: Sequence[Waveform]
) -> tuple[SolvedInterval, list[signals.Impulse]]:
    assert interval.start is not None
    reduced = reduced_at(circuit, interval.start)
    columns, first = reduced.columns, reduced.columns.state_columns.start
    driven = tuple(state.at(ZERO) for state in reduced.exosystem.states)
    arriving = (*before, *driven)
    states = tuple(
        value + signals.applied(reduced.jump.get(columns.derivatives[name], {}), arriving, first)
        for name, value in zip(columns.states, before, strict=True)
    )
    struck = _struck(circuit, interval.start)
    if struck is not None:
        states = tuple(
            value + constant(_jump_of(name, struck.solved[columns.states[name]]))
            for name, value in zip(columns.states, states, strict=True)
        )
    polynomial = characteristic_polynomial(reduced.derivatives, reduced.order)
    factors: dict[Polynomial, int] = dict(factored(polynomial))
    exact = not any(isinstance(value, Surd) for value in polynomial) or multiplied(factors.items()) == polynomial
    for factor, count in reduced.exosystem.factors:
        factors[factor] = factors.get(factor, 0) + count
    length = sum((len(factor) - 1) * count for factor, count in factors.items())
    free = (value for name, value in zip(columns.states, states, strict=True) if name in reduced.independent)
    stage = SolvedInterval(
        interval=interval,
        reduced=reduced,
        space=modes(tuple(factors.items())),
        start=(*states, *driven),
        sequence=PowerSequence.of(reduced.matrix, (*free, *driven), length, exact),
    )
    passed = signals.impulses(reduced, interval.start, arriving)
    return stage, passed if struck is None else [*passed, *_passed_by(struck, interval.start)]


def _struck(circuit: Circuit, instant: fmpq) -> SDomain | None:
    """The circuit at rest under the sources' impulses at an instant; None where there are none."""
    areas = impulses_at(circuit, instant)
    return in_s_domain(circuit, instant, areas, {}) if areas else None


def _jump_of(name: str, value: Scalar) -> Scalar:
    """Where an impulse takes a state at once: the limit of s times its transform."""
    found = fraction(value)
    if len(found.top) >= len(found.bottom):
        raise CircuitError(
            f"an impulse of a source stands across '{name}' itself, so that nothing bounds what it takes up", (name,)
        )
    return found.top[-1] if found.top and len(found.top) == len(found.bottom) - 1 else ZERO


def _passed_by(struck: SDomain, instant: fmpq) -> Iterator[signals.Impulse]:
    """The charges and fluxes that pass at once under the sources' impulses: what stays of a transform for large s."""
    for element in struck.circuit.elements:
        if isinstance(element, CoupledInductors):
            continue
        for kind, of in (("charge", "current"), ("flux", "voltage")):
            found = fraction(struck.of(Signal(kind=of, of=element.name)).number)
            if len(found.top) == len(found.bottom) > 0:
                yield signals.Impulse(element=element.name, kind=kind, time=instant, amount=constant(found.top[-1]))
