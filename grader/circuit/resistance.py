"""The resistance seen by a storage element, itself taken out, and the time constant."""

from collections.abc import Mapping

from flint import fmpq

from grader.circuit.elements import Capacitor, Circuit, Signal, Storage
from grader.circuit.elimination import Elimination, Row, add_scaled
from grader.circuit.equivalent import Combination, combination
from grader.circuit.modal import certainly_negative, characteristic_polynomial
from grader.circuit.network import instant_of
from grader.circuit.polynomial import factored
from grader.circuit.ports import resistance_between, voltage_of_an_ampere
from grader.circuit.reduction import Reduced
from grader.circuit.response import reduced_at
from grader.circuit.signals import acting_on
from grader.circuit.statics import OPEN, Substitution, as_current
from grader.errors import CircuitError, NotDefined
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import constant


def resistance_seen(
    circuit: Circuit, index: int = 1, by: str | None = None, treat: Mapping[str, Substitution] | None = None
) -> Scalar:
    """The resistance (Ω) that a storage element sees, itself taken out.

    Parameters
    ----------
    index : int
        The interval, as in `Solved.intervals`.
    by : str or None
        The element (of any kind) at whose terminals to look.  None: the only storage element, or several of one
        kind that act as one.
    treat : mapping of str to Substitution
        What stands in for the elements named.

    Raises
    ------
    CircuitError
        If it is not clear which element is meant.
    NotDefined
        If it sees no finite resistance.
    """
    when = instant_of(circuit, index)
    if by is not None:
        return _seen_by_one(circuit, when, by, treat)
    group = storage_combination(circuit, index)
    if len(group.members) == 1:
        return _seen_by_one(circuit, when, group.members[0], treat)
    if group.nodes is None:
        # The members are in series around resistances between them: what they see together is tau over C.
        seen = time_constant(circuit, index)
        return seen / group.value if group.kind is Capacitor else group.value / seen
    removed = dict.fromkeys(group.members, OPEN)
    return resistance_between(circuit, group.nodes, when, removed | dict(treat or {}))


def _seen_by_one(circuit: Circuit, when: fmpq | None, name: str, treat: Mapping[str, Substitution] | None) -> Scalar:
    """The element itself becomes the source of the ampere, so that what it controls still obeys it."""
    out = {name: as_current(constant(-ONE))}
    return voltage_of_an_ampere(
        circuit, when, out | dict(treat or {}), Signal(kind="voltage", of=name), f"joins the ends of {name}"
    )


def storage_combination(circuit: Circuit, index: int = 1) -> Combination:
    """The storage elements that shape an interval's response, combined into one.

    Raises
    ------
    CircuitError
        If there is none, or they do not act as one.
    """
    reduced = reduced_at(circuit, instant_of(circuit, index))
    rates = {name: reduced.free(reduced.unknowns[column]) for name, column in reduced.columns.derivatives.items()}
    active = [
        name for name, rate in rates.items() if any(column < reduced.order for column in rate)
    ]  # without a source
    if not active:
        raise CircuitError("the circuit has no storage element that sees a resistance here; say by which element")
    kinds = {type(circuit.element(name)) for name in active}
    if len(kinds) > 1 or _natural_order(reduced) > 1:
        raise CircuitError(
            f"{', '.join(active)} do not act as one storage element here; say by which of them", tuple(active)
        )
    return combination(circuit, tuple(active), instant_of(circuit, index))


def _natural_order(reduced: Reduced) -> int:
    """Number of roots of the characteristic polynomial that are not zero."""
    polynomial = characteristic_polynomial(reduced.derivatives, reduced.order)
    return len(polynomial) - 1 - next(i for i, value in enumerate(polynomial) if value != 0)


def time_constant(circuit: Circuit, index: int = 1, by: str | None = None, signal: Signal | None = None) -> Scalar:
    """The time constant (s) of an interval's response, or of the part of it that an element or a signal takes part in.

    Raises
    ------
    NotDefined
        If the response is not a single decaying exponential.
    """
    reduced = reduced_at(circuit, instant_of(circuit, index))
    if by is None:
        reduced = acting_on(circuit, reduced, signal)
        polynomial = characteristic_polynomial(reduced.derivatives, reduced.order)
    else:
        polynomial = _seen_by(reduced, circuit, by)
    roots = [factor for factor, _ in factored(polynomial) if len(factor) > 2 or factor[0] != 0]
    if len(roots) != 1 or len(roots[0]) != 2:
        order = sum(len(factor) - 1 for factor in roots)
        raise NotDefined(
            f"the response has {order or 'no'} natural exponential{'' if order == 1 else 's'} here, "
            "so there is no single time constant" + ("" if by else "; say of which element, or ask for the roots")
        )
    rate = roots[0][0]
    if certainly_negative(rate):  # with symbols it may depend on their values; where it does, the formula holds
        raise NotDefined("the natural response grows, so it has no time constant")
    return ONE / rate


def _seen_by(reduced: Reduced, circuit: Circuit, by: str) -> tuple[Scalar, ...]:
    """The lowest polynomial in d/dt that the free response of an element's state (or current) obeys."""
    element = circuit.element(by)
    wanted: Row = reduced.state(by) if isinstance(element, Storage) else {reduced.columns.currents[by]: ONE}
    row = {c: v for c, v in reduced.free(reduced.full(wanted)).items() if c < reduced.order}
    # Rows c, cA, cA^2 ... marked in further columns by the power; the first dependent one gives the polynomial.
    found = Elimination(range(reduced.order))
    for power in range(reduced.order + 1):
        left = found.add(row | {reduced.order + power: ONE})
        if left is not None:
            lead = left[reduced.order + power]
            return tuple(left.get(reduced.order + k, fmpq(0)) / lead for k in range(power + 1))
        following: Row = {}
        for column, value in row.items():
            own = {c: v for c, v in reduced.derivatives[column].items() if c < reduced.order}
            add_scaled(following, own, value)
        row = following
    raise AssertionError("a matrix satisfies its characteristic polynomial")
