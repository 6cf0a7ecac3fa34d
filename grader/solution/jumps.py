"""What is kept where states jump: the charge of the plates that meet at a node, the flux linkage of coils."""

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CoupledInductors,
    Element,
    IdealOpAmp,
    IdealTransformer,
    Inductor,
    Positions,
    Signal,
    Storage,
    own_signal,
)
from grader.circuit.network import branch, grouped, positions
from grader.circuit.response import Solved
from grader.solution.board import BoardLine
from grader.solution.formula import added, amount, name
from grader.solution.node_equations import is_stiff
from grader.solution.words import instant_text, value_line
from grader.values.dimension import CAPACITANCE, CHARGE, FLUX, VOLTAGE
from grader.values.scalar import Scalar
from grader.values.text import listed
from grader.values.waveform import Waveform


class _Share(NamedTuple):
    """A share of a charge or a flux linkage: a factor, and the state of a storage element that it multiplies."""

    factor: str
    size: Scalar
    element: Storage
    turn: int = 1


def shared_charge(solved: Solved, index: int) -> Iterator[BoardLine]:
    """The charge kept by the plates that meet at a node, where nothing but capacitors can bring any in no time."""
    circuit, where = solved.circuit, positions(solved.circuit, solved.opening(index))
    plates = [e for e in circuit.elements if isinstance(e, Capacitor)]
    wire, floating = _floating(circuit, where)
    for node, inside in floating:
        meeting = [e for e in plates if len(inside & set(e.between)) == 1]
        if len(meeting) < 2:
            continue
        shares = [_Share(e.name, e.value, e, 1 if e.between[0] in inside else -1) for e in meeting]
        charge = _total(solved, index, shares, after=True)
        yield _kept(solved, index, shares, f"charge at {node}", charge)
        if len({tuple(wire[n] for n in e.between) for e in meeting}) == 1:
            at = instant_text(solved.opening(index), "+")
            together = [name(f"v_{e.name}({at})") for e in meeting]
            size = added(amount(e.value, CAPACITANCE) for e in meeting)
            voltage = solved.just_after(Signal(kind="voltage", of=meeting[0].name), index)
            common = amount(charge, CHARGE) / size
            yield value_line(*together, common if shares[0].turn > 0 else -common, value=voltage, dimension=VOLTAGE)


def kept_flux(solved: Solved, index: int) -> Iterator[BoardLine]:
    """The flux linkage that coils keep, of one coupled to another, or of two on one loop, where a current jumps."""
    circuit = solved.circuit
    coils = [e for e in circuit.elements if isinstance(e, Inductor)]
    couplings = [e for e in circuit.elements if isinstance(e, CoupledInductors)]
    shares = {coil.name: [_Share(coil.name, coil.value, coil), *_mutual(circuit, couplings, coil)] for coil in coils}

    def jumps(coil: Storage) -> bool:
        return _state(solved, index, coil, after=False) != _state(solved, index, coil, after=True)

    moved = [coil for coil in coils if any(jumps(share.element) for share in shares[coil.name])]
    for coil in moved:
        if len(shares[coil.name]) > 1:
            yield from _flux_line(solved, index, [coil], shares[coil.name])
    for one, other in combinations(moved, 2):
        here, there = (_state(solved, index, coil, after=True) for coil in (one, other))
        turn = 1 if here == there else -1
        if here == there.scaled(fmpq(turn)):
            turned = [share._replace(turn=turn) for share in shares[other.name]]
            yield from _flux_line(solved, index, [one, other], [*shares[one.name], *turned])


def _mutual(circuit: Circuit, couplings: Sequence[CoupledInductors], coil: Inductor) -> Iterator[_Share]:
    for coupling in couplings:
        if coil.name in coupling.inductors:
            other = next(circuit.element(each) for each in coupling.inductors if each != coil.name)
            assert isinstance(other, Inductor)
            yield _Share("M" if len(couplings) == 1 else coupling.name, coupling.mutual, other)


def _flux_line(solved: Solved, index: int, coils: Sequence[Inductor], shares: Sequence[_Share]) -> Iterator[BoardLine]:
    """The line, where that flux linkage is kept."""
    after = _total(solved, index, shares, after=True)
    if _total(solved, index, shares, after=False) == after:
        yield _kept(solved, index, shares, f"flux linkage of {listed([coil.name for coil in coils])}", after)


def _kept(solved: Solved, index: int, shares: Sequence[_Share], label: str, total: Waveform) -> BoardLine:
    """``C1 v_C1(0−) − C2 v_C2(0−)``, the same just after, and how much that is."""
    plates = isinstance(shares[0].element, Capacitor)
    sides = []
    for side in "−+":
        at = instant_text(solved.opening(index), side)
        terms = [name(one.factor) * name(f"{'v' if plates else 'i'}_{one.element.name}({at})") for one in shares]
        sides.append(added(term if one.turn > 0 else -term for term, one in zip(terms, shares, strict=True)))
    return BoardLine(label=label, sides=tuple(sides), value=total, dimension=CHARGE if plates else FLUX)


def _total(solved: Solved, index: int, shares: Sequence[_Share], *, after: bool) -> Waveform:
    states = (_state(solved, index, one.element, after=after).scaled(one.size * one.turn) for one in shares)
    return sum(states, Waveform())


def _state(solved: Solved, index: int, element: Storage, *, after: bool) -> Waveform:
    own = own_signal(element)
    return solved.just_after(own, index) if after else solved.just_before(own, index)


def _feeding(element: Element) -> Sequence[str]:
    """The nodes that an element brings charge to in no time: of an op amp the output alone, as its inputs draw nothing."""
    if isinstance(element, IdealOpAmp):
        return (element.output,)
    return element.terminals() if is_stiff(element) or isinstance(element, IdealTransformer) else ()


def _floating(circuit: Circuit, where: Positions) -> tuple[dict[str, str], list[tuple[str, set[str]]]]:
    """What closed switches join, by node; of the joined nodes those that no voltage is laid on and that are not ground."""
    wires = [branch(circuit, e, where) for e in circuit.elements if where.get(e.name, False) is not False]
    stiff = {n for e in circuit.elements for n in _feeding(e)}
    group = grouped(dict.fromkeys(n for e in circuit.elements for n in e.terminals()), wires, circuit.ground)
    found = []
    for node in dict.fromkeys(group.values()):
        inside = {other for other, own in group.items() if own == node}
        if circuit.ground not in inside and not inside & stiff:
            found.append((node, inside))
    return group, found
