"""A circuit in the s-domain: its own equations, each derivative replaced by s times the state less what it was at 0-.

Charges and fluxes that pass in no time, and impulses of the sources, need no thought of their own there: the transform
counts from 0- on.

References
----------
M. E. Van Valkenburg, Network Analysis, Prentice-Hall, chapter on transform impedance (from memory): the initial condition
of a storage element as a source beside its impedance.
"""

from collections.abc import Mapping
from typing import NamedTuple

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit import signals
from grader.circuit.elements import Circuit, CurrentSource, Drive, Nodes, Positions, Signal, VoltageSource
from grader.circuit.elimination import Elimination, Row
from grader.circuit.modal import PowerSequence, modes, waveform
from grader.circuit.network import Equation, UnknownIndex, difference, equations, instant_of, layout, positions
from grader.circuit.polynomial import divided, factored
from grader.errors import CircuitError, NotDefined
from grader.values.laplace import Fraction, S, fraction
from grader.values.scalar import ONE, ZERO, Scalar
from grader.values.waveform import Waveform, constant

Values = Mapping[str, Scalar]
"""Functions of s or numbers, by the name of an element."""


class SDomain(Struct, frozen=True, kw_only=True):
    """The equations of one interval solved for every unknown, as functions of s."""

    circuit: Circuit
    columns: UnknownIndex
    where: Positions
    solved: Mapping[int, Scalar]

    def state(self, name: str) -> Row:
        """A capacitor's voltage or an inductor's current, as a row."""
        return {self.columns.states[name]: ONE}

    def read(self, row: Row) -> Waveform:
        """A row's transform."""
        return constant(sum((self.solved[column] * factor for column, factor in row.items()), start=ZERO))

    def of(self, signal: Signal) -> Waveform:
        """The transform of a current, voltage, charge or flux linkage.

        Raises
        ------
        NotDefined
            For a power or an energy, which is a product.
        """
        if signal.kind in ("power", "energy"):
            raise NotDefined(f"the transform of {signal.kind} is no quotient of polynomials in the circuit's equations")
        return signals.evaluate(self.circuit, self, signal, self.read)


def in_s_domain(circuit: Circuit, instant: fmpq | None, delivered: Values, held: Values) -> SDomain:
    """Solve a circuit's equations in the s-domain.

    Parameters
    ----------
    instant : fmpq or None
        Switches stand as from this instant on.
    delivered : mapping
        The transform of what each independent source delivers; zero for one that is not named.
    held : mapping
        What the storage elements hold at 0- (V, A); zero for one that is not named.

    Raises
    ------
    NotDefined
        If the equations contradict each other or leave something open.
    """
    where = positions(circuit, instant)
    columns = layout(circuit, where)
    given = columns.first_source_column
    sources = [e.name for e in circuit.elements if isinstance(e, (VoltageSource, CurrentSource))]
    rows = {name: {given: value} if (value := delivered.get(name, ZERO)) else {} for name in sources}
    stated, _ = equations(circuit, columns, where, rows)
    for name, state in columns.states.items():
        row: Row = {columns.derivatives[name]: ONE, state: -S}
        if held.get(name, ZERO):
            row[given] = held[name]
        stated.append(Equation(name, row))
    joint = Elimination(range(given))
    if joint.add_all(equation.row for equation in stated) or joint.free():
        raise NotDefined("the circuit's equations have no single solution in the s-domain")
    solved = {column: joint.value(column).get(given, ZERO) for column in range(given)}
    return SDomain(circuit=circuit, columns=columns, where=where, solved=solved)


def transfer_function(circuit: Circuit, index: int, source: str, signal: Signal) -> Waveform:
    """A signal's transform over that of a source, all else being at rest, on an interval."""
    return in_s_domain(circuit, instant_of(circuit, index), {source: ONE}, {}).of(signal)


class Probed(NamedTuple):
    """A circuit with a source of current between two nodes, which drives it into the first."""

    circuit: Circuit
    source: str
    nodes: Nodes


def probed(circuit: Circuit, nodes: Nodes | None, by: str | None) -> Probed:
    """The circuit with a test source between two nodes, or in the place of an element."""
    if by is not None:
        nodes = circuit.element(by).terminals()[:2]  # type: ignore[assignment]
    assert nodes is not None
    name = circuit.unused("probe")
    source = CurrentSource(name=name, between=nodes[::-1], drive=Drive.always(Waveform()))
    others = tuple(element for element in circuit.elements if element.name != by)
    return Probed(replace(circuit, elements=(*others, source)), name, nodes)


def impedance(circuit: Circuit, index: int, nodes: Nodes | None, by: str | None) -> Waveform:
    """The impedance (ohms) between two nodes, or at an element's terminals with the element taken out; sources at zero.

    Raises
    ------
    NotDefined
        If no current can flow there.
    """
    test = probed(circuit, nodes, by)
    try:
        found = in_s_domain(test.circuit, instant_of(circuit, index), {test.source: ONE}, {})
    except (CircuitError, NotDefined):
        raise NotDefined("no current can flow between these terminals, so there is no finite impedance") from None
    return found.read(difference(found.columns, test.nodes))


def inverse(value: Scalar) -> tuple[tuple[Scalar, ...], Waveform]:
    """The waveform for t > 0 whose transform a function of s is, and the coefficients of its impulses at t = 0.

    Returns
    -------
    tuple
        Coefficients of the unit impulse and its derivatives (none where numerator stays below denominator), and the
        waveform.
    """
    found: Fraction = fraction(value)
    impulses, rest = divided(found.top, found.bottom)
    degree = len(found.bottom) - 1
    if not degree:
        return impulses, Waveform()
    # Divided by its denominator a numerator gives the derivatives at 0+: rest/bottom = h0/s + h1/s^2 + …
    numbers: list[Scalar] = []
    remaining = [ZERO] * (degree - len(rest)) + list(reversed(rest))
    for _ in range(degree):
        first = remaining[0]
        numbers.append(first)
        following = reversed(found.bottom[:-1])
        remaining = [value - first * factor for value, factor in zip([*remaining[1:], ZERO], following, strict=True)]
    sequence = PowerSequence(((constant(ONE), tuple((number,) for number in numbers)),), exact=True)
    return impulses, waveform({0: ONE}, sequence, modes(factored(found.bottom)))
