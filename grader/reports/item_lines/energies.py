"""Charges, energies and mean powers: the integral of an expression, and what is stored at an instant."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

from flint import fmpq

from grader.circuit.elements import Circuit, CoupledInductors, Resistor, Signal, Source, Storage, own_signal
from grader.circuit.response import Solved
from grader.circuit.signals import Impulse
from grader.quantities.finds.energies import whole_of
from grader.quantities.question import Question
from grader.quantities.steps import integral as integrated
from grader.quantities.stretches import energy_taken, taken_at_once
from grader.reports.item_lines.derivation import Derivation, expression_line
from grader.solution import BoardLine
from grader.solution.formula import HALF, Formula, added, amount, integral, name
from grader.solution.words import instant_text, value_line
from grader.values.dimension import CHARGE, CURRENT, ENERGY, FLUX, INDUCTANCE, RESISTANCE, TIME
from grader.values.scalar import ONE
from grader.values.waveform import Waveform


class _Integral(NamedTuple):
    """A signal over a part of an interval: lines that lead there, the integral in letters and figures, its value."""

    before: tuple[BoardLine, ...]
    sides: tuple[Formula, ...]
    value: Waveform


def charge_passed(question: Question) -> Derivation | None:
    """The integral of the current."""
    return _of_integrals(question, name(f"q_{question.signal.of}"), (question.signal,))


def energy_taken_by(question: Question, *, sign: int = 1) -> Derivation | None:
    """The integral of the power taken; with the other sign, of what is delivered."""
    return _of_integrals(question, _energy_of(question.item.of), _powers(question.item.of), sign=sign)


def _energy_of(names: Sequence[str]) -> Formula:
    return name(f"w_{names[0]}" if len(names) == 1 else "w")


def _powers(names: Sequence[str]) -> tuple[Signal, ...]:
    return tuple(Signal(kind="power", of=one) for one in names)


def average_power(question: Question) -> Derivation | None:
    """The energy over the time that it takes."""
    start, end = question.stretch()
    energy = name(f"w_{question.signal.of}")
    found = _of_integrals(question, energy, (question.signal,), lasting=False)
    if found is None or end is None or not isinstance(found.value, Waveform):
        return None
    lasting = end - start
    total = value_line(*found.sides, value=found.value, dimension=ENERGY)
    figures = amount(found.value, ENERGY) / amount(lasting, TIME)
    mean = found.value.scaled(ONE / lasting)
    return Derivation((name("p_av"), energy / name("T"), figures), mean, (*found.before, total))


def _of_integrals(
    question: Question, left: Formula, signals: Sequence[Signal], *, sign: int = 1, lasting: bool = True
) -> Derivation | None:
    """Every signal over every interval that the stretch of time meets, and what passes at once, added up."""
    stretches = tuple(question.parts_of(*question.stretch(lasting=lasting)))
    parts = [
        _over(question, signal, index, start, end)
        for signal in signals
        for index, start, end in stretches
        if question.solved.waveform(signal, index).terms
    ]
    parts += [part for signal in signals for part in _at_once(question, signal, lasting=lasting)]
    if not parts:
        return None
    before = tuple(line for part in parts for line in part.before)
    _, sides, total = parts[0]
    if len(parts) > 1:
        dimension = signals[0].dimension.times(TIME)
        before += tuple(value_line(*part.sides, value=part.value, dimension=dimension) for part in parts)
        total = sum((part.value for part in parts), Waveform())
        sides = (added(part.sides[0] for part in parts), added(amount(part.value, dimension) for part in parts))
    signed = sides if sign > 0 else tuple(-side for side in sides)
    return Derivation((left, *signed), total.scaled(fmpq(sign)), before)


def _over(question: Question, signal: Signal, index: int, start: fmpq, end: fmpq | None) -> _Integral:
    """The signal's expression, an antiderivative, and its values at both ends."""
    whole, opened = question.solved.waveform(signal, index), question.solved.intervals[index].start
    antiderivative, dimension = whole.antiderivative(), signal.dimension.times(TIME)
    upper = antiderivative.limit() if end is None else antiderivative.at(end)
    assert upper is not None
    ends = ("∞" if end is None else instant_text(end), instant_text(start))
    named = name(f"F({ends[0]})") - name(f"F({ends[1]})")
    figures = amount(upper, dimension) - amount(antiderivative.at(start), dimension)
    integrand = name(signal.symbol)
    primitive = BoardLine(
        sides=(name("F(t)"), integral(integrand)), value=antiderivative, dimension=dimension, start=opened
    )
    return _Integral(
        (*_expressions(question, signal, index), primitive),
        (integral(integrand, *map(name, reversed(ends))), named, figures),
        integrated(whole, start, end),
    )


def _at_once(question: Question, signal: Signal, *, lasting: bool) -> Iterator[_Integral]:
    """The charge that an impulse of current carries, or the energy that an element takes up by it."""
    start, end = question.stretch(lasting=lasting)
    charge = signal.kind == "current"
    for impulse in question.solved.impulses:
        inside = start <= impulse.time and (end is None or impulse.time < end)
        if not inside or impulse.element != signal.of or (charge and impulse.kind != "charge"):
            continue
        value = impulse.amount if charge else taken_at_once(question, impulse)
        left = name(f"Δ{'q' if charge else 'w'}_{impulse.element}({instant_text(impulse.time)})")
        if value.terms:
            yield _Integral((), (left, *_law_at_once(question, impulse, charge)), value)


def _law_at_once(question: Question, impulse: Impulse, charge: bool) -> tuple[Formula, ...]:
    """What a storage element gains, ``C (v(0+) − v(0−))`` or energy; a source's voltage times the charge, its current times the flux."""
    solved, index, at = question.solved, question.index_at(impulse.time), instant_text(impulse.time)
    element = question.circuit.element(impulse.element)
    if isinstance(element, Storage):
        kept = Signal(kind=element.stores if charge else "energy", of=element.name)
        after, before = solved.just_after(kept, index), solved.just_before(kept, index)
        letters = name(f"{kept.symbol}({at}+)") - name(f"{kept.symbol}({at}−)")
        figures = amount(after, kept.dimension) - amount(before, kept.dimension)
        if not charge:
            return letters, figures
        return name(element.name) * letters, amount(element.value, element.dimension) * figures
    if isinstance(element, Source) and not charge:
        own = Signal(kind=element.delivers, of=element.name)
        passed, dimension = ("q", CHARGE) if impulse.kind == "charge" else ("λ", FLUX)
        level = amount(solved.just_after(own, index), own.dimension)
        named = name(f"{own.symbol}({at}+)") * name(f"Δ{passed}_{element.name}({at})")
        return named, level * amount(impulse.amount, dimension)
    return ()


def _expressions(question: Question, signal: Signal, index: int) -> Iterator[BoardLine]:
    """The expression of a current; of a power what it is the product of, first."""
    if signal.kind != "power":
        yield expression_line(question, signal, index)
        return
    element = question.circuit.element(str(signal.of))
    current = Signal(kind="current", of=signal.of)
    yield expression_line(question, current, index)
    if isinstance(element, Resistor):
        square = name(current.symbol) ** 2
        law: tuple[Formula, ...] = (name(element.name) * square, amount(element.value, RESISTANCE) * square)
    else:
        voltage = Signal(kind="voltage", of=signal.of)
        yield expression_line(question, voltage, index)
        law = (name(voltage.symbol) * name(current.symbol),)
    yield expression_line(question, signal, index, *law)


def stored_energy(question: Question) -> Derivation | None:
    """``½ C v²`` and ``½ L i²``, added up."""
    at, item = question.item.at, question.item

    def state(own: Signal) -> Waveform:
        solved: Solved = question.solved
        return solved.final(own, question.index) if at is None else solved.waveform(own, question.index_at(at)).at(at)

    when = "∞" if at is None else instant_text(at)
    left = name(f"{_energy_of(item.of).text}({when})")
    letters, figures, total = _stored(question.circuit, item.of, state)
    return Derivation((left, letters, figures), total)


def energy_lost(question: Question) -> Derivation:
    """What was stored just before, less what is stored just after."""
    solved, index = question.solved, question.index
    holding = tuple(e.name for e in question.circuit.elements if isinstance(e, Storage))
    lines, levels, names = [], [], []
    for side, read in (("−", solved.just_before), ("+", solved.just_after)):
        left = name(f"w({instant_text(question.start, side)})")
        letters, figures, total = _stored(question.circuit, holding, partial(read, index=index))
        lines.append(value_line(left, letters, figures, value=total, dimension=ENERGY))
        names.append(left)
        levels.append(total)
    (before, after), (early, late) = levels, names
    figures = amount(before, ENERGY) - amount(after, ENERGY)
    return Derivation((early - late, figures), before - after, tuple(lines))


def _stored(
    circuit: Circuit, names: Sequence[str], state: Callable[[Signal], Waveform]
) -> tuple[Formula, Formula, Waveform]:
    """The energy of storage elements and of the couplings between them: in letters, with figures, its value."""
    letters, figures, total = [], [], Waveform()
    states: dict[str, tuple[Signal, Waveform]] = {}
    for one in names:
        element = circuit.element(one)
        assert isinstance(element, Storage)
        own = own_signal(element)
        value = state(own)
        states[one] = own, value
        letters.append(HALF * name(one) * name(own.symbol) ** 2)
        figures.append(HALF * amount(element.value, element.dimension) * amount(value, element.state_dimension) ** 2)
        total = total + (value * value).scaled(element.value / 2)
    for coupling in circuit.elements:
        if isinstance(coupling, CoupledInductors) and set(coupling.inductors) <= set(names):
            (_, first), (_, second) = both = [states[coil] for coil in coupling.inductors]
            letters.append(name("M") * name(both[0][0].symbol) * name(both[1][0].symbol))
            figures.append(amount(coupling.mutual, INDUCTANCE) * amount(first, CURRENT) * amount(second, CURRENT))
            total = total + (first * second).scaled(coupling.mutual)
    return added(letters), added(figures), total


def energy_share(question: Question) -> Derivation | None:
    """One energy over another, both counted positive."""
    lines, shares, named = [], [], []
    for names in (question.item.of, whole_of(question.item)):
        taken = energy_taken(question, names)
        left = _energy_of(names)
        found = _of_integrals(question, left, _powers(names))
        if found is not None and found.value == taken:
            lines += [*found.before, value_line(*found.sides, value=taken, dimension=ENERGY)]
        shares.append(-taken if taken.value() < 0 else taken)
        named.append(left if taken.value() >= 0 else -left)
    part, whole = shares
    figures = amount(part, ENERGY) / amount(whole, ENERGY)
    return Derivation((named[0] / named[1], figures), part.value() / whole.value(), tuple(lines))
