"""From the equations of an interval to independent state equations, by exact index reduction.

The joint equations are solved for all unknowns (node voltages, element currents, derivatives of the states)
in terms of states and sources.  What is left over are constraints among the states (capacitor loops, inductor
cut-sets, perfect coupling): each is differentiated and taken in as a further equation, until nothing is left
over.  The states not fixed by constraints then obey ``r' = A r + B w``.

References
----------
C. C. Pantelides, The consistent initialization of differential-algebraic systems, SIAM J. Sci. Stat. Comput. 9
(1988) 213, for the idea of differentiating constraints (from memory); here on exact linear equations.
"""

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from grader.circuit import soundness
from grader.circuit.elements import Circuit, Positions
from grader.circuit.elimination import Elimination, Row, add_scaled
from grader.circuit.network import Equation, Islands, UnknownIndex, equations, layout
from grader.circuit.sources import Exosystem
from grader.values.scalar import ONE


class Reduced(Struct, frozen=True, kw_only=True):
    """The solved equations of one interval.

    *Full* rows run over the columns of states and source states; *free* rows run over the independent states
    (numbered 0, 1, …) followed by the source states.
    """

    circuit: Circuit
    where: Positions
    columns: UnknownIndex
    exosystem: Exosystem
    unknowns: dict[int, Row]
    """Every unknown as a full row."""
    independent: tuple[str, ...]
    """The states left free by the constraints, in order."""
    states: dict[int, Row]
    """For every state's column, the state as a free row."""
    derivatives: tuple[Row, ...]
    """The derivative of every independent state as a free row: ``[A B]``."""
    jump: dict[int, Row]
    """What happens at the instant the interval opens, as full rows over states before and source states after: in a
    node's or current's column its impulse, in a derivative's column the jump of that state."""
    islands: Islands

    @property
    def order(self) -> int:
        """Number of independent states."""
        return len(self.independent)

    @property
    def matrix(self) -> tuple[Row, ...]:
        """The derivatives of independent states and source states as free rows: ``[[A, B], [0, S]]``."""
        shifted = ({self.order + k: v for k, v in row.items()} for row in self.exosystem.matrix)
        return (*self.derivatives, *shifted)

    def state(self, name: str) -> Row:
        """A capacitor's voltage or an inductor's current, as a row."""
        return {self.columns.states[name]: ONE}

    def acting_on(self, rows: Iterable[Row]) -> "Reduced":
        """The state equations of those states alone that rows over unknowns and states depend on; all where that is none."""
        left = [column for row in rows for column in self.free(self.full(row))]
        found: set[int] = set()
        while left:
            if (column := left.pop()) < self.order and column not in found:
                found.add(column)
                left += self.derivatives[column]
        if not found or len(found) == self.order:
            return self
        kept = sorted(found)
        number = {column: new for new, column in enumerate(kept)}
        width = self.order + len(self.exosystem.matrix)
        number |= {column: column - self.order + len(kept) for column in range(self.order, width)}
        return replace(
            self,
            independent=tuple(self.independent[column] for column in kept),
            derivatives=tuple({number[c]: value for c, value in self.derivatives[column].items()} for column in kept),
        )

    def full(self, row: Row) -> Row:
        """A row over unknowns and states as a full row.

        Raises
        ------
        NotDefined
            If it compares the voltages of parts that nothing connects.
        """
        soundness.refuse_floating(self.islands, self.columns, row)
        total: Row = {}
        for column, factor in row.items():
            add_scaled(total, self.unknowns.get(column, {column: ONE}), factor)
        return total

    def free(self, full: Row) -> Row:
        """A full row in terms of the independent states and the source states."""
        return _freed(full, self.states, self.order - self.columns.first_source_column)


def _freed(full: Row, states: dict[int, Row], shift: int) -> Row:
    total: Row = {}
    for column, value in full.items():
        add_scaled(total, states[column] if column in states else {column + shift: ONE}, value)
    return total


def reduce(circuit: Circuit, where: Positions, exosystem: Exosystem) -> Reduced:
    """Set up and solve the equations of an interval.

    Raises
    ------
    CircuitError
        If they contradict each other or leave something undetermined.
    """
    columns = layout(circuit, where)
    first_source = columns.first_source_column
    drives = {name: {first_source + k: v for k, v in row.items()} for name, row in exosystem.outputs.items()}
    stated, islands = equations(circuit, columns, where, drives)
    joint, constraints, conflict = _solved(columns, exosystem, [equation.row for equation in stated])
    if conflict is not None:
        tags = len(exosystem.matrix) + first_source
        tagged = [equation.row | {tags + i: ONE} for i, equation in enumerate(stated)]
        _, _, conflict = _solved(columns, exosystem, tagged)
        assert conflict is not None
        raise soundness.contradiction(circuit, where, [stated[c - tags].states for c in conflict if c >= tags])
    if joint.free():
        raise soundness.undetermined(circuit, columns, where, joint, joint.free()[0])
    dependent = constraints.solved
    independent = tuple(name for name, column in columns.states.items() if column not in dependent)
    number = {columns.states[name]: i for i, name in enumerate(independent)}
    shift = len(independent) - first_source
    states: dict[int, Row] = {}
    for column in columns.state_columns:
        row = {column: ONE} if column in number else constraints.value(column)
        states[column] = {number.get(c, c + shift): v for c, v in row.items()}
    unknowns = {column: joint.value(column) for column in columns.unknowns}
    return Reduced(
        circuit=circuit,
        where=where,
        columns=columns,
        exosystem=exosystem,
        unknowns=unknowns,
        independent=independent,
        states=states,
        derivatives=tuple(_freed(unknowns[columns.derivatives[name]], states, shift) for name in independent),
        jump=_jump(columns, stated, tuple(dependent.values())),
        islands=islands,
    )


def _solved(
    columns: UnknownIndex, exosystem: Exosystem, stated: list[Row]
) -> tuple[Elimination, Elimination, Row | None]:
    """Solve and reduce the index; the third result is what the sources would have to obey, where they do not."""
    last = columns.first_source_column + len(exosystem.matrix)
    joint = Elimination(columns.unknowns)
    constraints = Elimination(columns.state_columns)
    pending = list(reversed(stated))
    while pending:
        residue = joint.add(pending.pop())
        if not residue:
            continue
        left = constraints.add(residue)
        if left is None:
            pending.insert(0, _differentiated(residue, columns, exosystem))
        elif any(column < last for column in left):
            return joint, constraints, left
    return joint, constraints, None


def _differentiated(constraint: Row, columns: UnknownIndex, exosystem: Exosystem) -> Row:
    derivative_of = dict(zip(columns.state_columns, columns.derivatives.values(), strict=True))
    first = columns.first_source_column
    row: Row = {}
    for column, value in constraint.items():
        if column in derivative_of:
            add_scaled(row, {derivative_of[column]: ONE}, value)
        elif column - first < len(exosystem.matrix):
            add_scaled(row, {first + k: v for k, v in exosystem.matrix[column - first].items()}, value)
        else:
            row[column] = value  # which statements the constraint came from
    return row


def _jump(columns: UnknownIndex, stated: list[Equation], constraints: tuple[Row, ...]) -> dict[int, Row]:
    """Integrate all statements over the instant of an action.

    Bounded terms vanish; what may stay is the integral of a current (a charge) or of a voltage (a flux), and the
    jump of the states.  After the instant the constraints hold again.
    """
    if not constraints:
        return {}
    derivative_of = dict(zip(columns.state_columns, columns.derivatives.values(), strict=True))
    instant = Elimination(columns.unknowns)
    for equation in stated:
        instant.add({column: value for column, value in equation.row.items() if column in columns.unknowns})
    for row in constraints:
        jumps = {derivative_of[column]: value for column, value in row.items() if column in derivative_of}
        if instant.add(row | jumps):
            names = [name for name, column in columns.states.items() if column in row]
            raise soundness.fault("unbounded impulse", names)
    open_jumps = [name for name, column in columns.derivatives.items() if column not in instant.solved]
    if open_jumps:
        raise soundness.fault("open jump", open_jumps)
    return {column: instant.value(column) for column in instant.solved}
