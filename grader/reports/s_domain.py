"""The step of the worked solution in the s-domain: impedances, sources for what is held, node equations, the answers in s."""

import math
from collections.abc import Iterable, Iterator
from typing import Any

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.characteristic import characteristic
from grader.circuit.elements import (
    Capacitor,
    Circuit,
    CoupledInductors,
    CurrentSource,
    Drive,
    Element,
    Inductor,
    Resistor,
    Signal,
    Source,
    Storage,
    own_signal,
)
from grader.circuit.laplace import Values, inverse, probed
from grader.circuit.network import instant_of
from grader.circuit.response import Solved
from grader.circuit.statics import ResistiveCircuit
from grader.circuit.transformed import delivered_by, held_before, refuse_other_changes
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.catalogue import question_of
from grader.quantities.records import TRANSFORM
from grader.quantities.s_domain import FUNCTION, IMPULSE_RESPONSE
from grader.rubric.references import Reference
from grader.solution import BoardLine, SolutionStep
from grader.solution.formula import (
    ZERO,
    Formula,
    added,
    exponential,
    name,
    number,
    polynomial_formula,
    root_formula,
    whole,
)
from grader.solution.node_equations import Notation, derived, node_equations, picture
from grader.values.laplace import VARIABLE, delayed_parts, fraction
from grader.values.laplace import S as S_ITSELF
from grader.values.scalar import ONE, Scalar, sign
from grader.values.term import Term
from grader.values.waveform import Waveform, constant

S = name(VARIABLE)

BEHIND_FUNCTION = (IMPULSE_RESPONSE, "poles", "zeros")
"""Finds whose answers come from a transfer function, or from a transform."""

IN_S_DOMAIN = (TRANSFORM, FUNCTION, "impedance", *BEHIND_FUNCTION)
"""Finds that this step works out."""


def s_domain_step(problem: Problem, solved: Solved, found: Iterable[Reference]) -> SolutionStep | None:
    """The step; None where nothing is asked in the s-domain."""
    asked = [(problem.item(one.item), one) for one in found if one.problem == problem.id and one.find in IN_S_DOMAIN]
    if not asked:
        return None
    lines = [*_impedances(solved.circuit)]
    sentences = ["Every inductor has the impedance sL, every capacitor 1/(sC); divide and combine them as resistances."]
    static = None
    if any(_function_of(item) == TRANSFORM for item, _ in asked):
        beside = [*_sources(solved)]
        static = _with_what_is_held(solved)
        lines += [*beside, *node_equations(static, IN_S)]
        if beside:
            sentences.append(
                "A source acts with its transform; what is held at 0− acts as v(0−)/s or L·i(0−) in series with the impedance, "
                "or, the same, as C·v(0−) or i(0−)/s beside it."
            )
    for item, one in asked:
        whole_item = replace(item, find=_function_of(item))
        function = question_of(problem, whole_item, solved).answer_to(whole_item)
        assert isinstance(function, Waveform)
        before, sides = _way_to(problem, solved, static, whole_item, function)
        shown = BoardLine(
            label="" if item.find in BEHIND_FUNCTION else one.item, sides=(*sides, added(_delayed_quotients(function)))
        )
        known = [line.sides for line in lines]
        lines += [line for line in (*before, shown) if line.sides not in known]
        lines += _from_function(one, function)
    return SolutionStep(
        heading=("In the s-domain",), sentences=tuple((sentence,) for sentence in sentences), lines=tuple(lines)
    )


def _function_of(item: Item) -> str:
    """The function of s that an item asks, or that its answer comes from."""
    if item.find in BEHIND_FUNCTION:
        return FUNCTION if item.of else TRANSFORM
    return item.find


def _way_to(
    problem: Problem, solved: Solved, static: ResistiveCircuit | None, item: Item, function: Waveform
) -> tuple[tuple[BoardLine, ...], tuple[Formula, ...]]:
    """What leads to a function of s: lines before, and the sides of its own."""
    if item.find != TRANSFORM:
        return _of_the_circuit(problem, solved, item, function)
    assert item.signal is not None
    left = name(f"{_capital(item.signal.symbol)}(s)")
    return (), (left, *_by_law(solved.circuit, item.signal), *derived(static, item.signal, function, notation=IN_S))


def _from_function(one: Reference, function: Waveform) -> Iterator[BoardLine]:
    """An impulse response by partial fractions; poles or zeros from the side of the quotient that is to vanish."""
    if one.find == IMPULSE_RESPONSE:
        assert isinstance(one.answer, Waveform)
        assert one.dimension is not None
        parts = _partial_fractions(function)
        if parts is not None and parts != _quotient(function.number):
            yield BoardLine(label="in partial fractions", sides=(name("H(s)"), parts))
        yield BoardLine(label=one.item, sides=(name("h(t)"),), value=one.answer, dimension=one.dimension)
    elif one.find in BEHIND_FUNCTION:
        quotient = fraction(function.number)
        side = quotient.top if one.find == "zeros" else quotient.bottom
        yield BoardLine(label=one.item, sides=(polynomial_formula(tuple(reversed(side))), ZERO))
        for root in characteristic(tuple(value / side[-1] for value in side)).roots:
            times = f"{root.multiplicity} times" if root.multiplicity > 1 else ""
            yield BoardLine(label=times, sides=(S, root_formula(root)))


def _partial_fractions(function: Waveform) -> Formula | None:
    """One quotient for each exponential, and the impulse's number; None where one oscillates."""
    impulses, found = inverse(function.number)
    if any(term.frequency != 0 for term in found.terms):
        return None
    return added((*map(number, impulses), *map(_partial_fraction, found.terms)))


def _partial_fraction(term: Term) -> Formula:
    """``c k!/(s − λ)^(k + 1)`` of ``c t^k e^(λt)``."""
    size = term.cosine * math.factorial(term.power)
    shifted = S if term.rate == 0 else S + number(-term.rate) if sign(term.rate) < 0 else S - number(term.rate)
    fraction = number(size if sign(size) > 0 else -size) / shifted ** (term.power + 1)
    return fraction if sign(size) > 0 else -fraction


def _by_law(circuit: Circuit, signal: Signal) -> tuple[Formula, ...]:
    """``C (s V_C − v_C(0−))`` of a capacitor's current, ``L (s I_L − i_L(0−))`` of a coil's voltage."""
    element = next((e for e in circuit.elements if e.name == signal.of), None)
    coupled = any(isinstance(e, CoupledInductors) for e in circuit.elements)
    if not isinstance(element, Storage) or coupled or {signal.kind, element.stores} != {"current", "voltage"}:
        return ()
    state = own_signal(element).symbol
    return (name(element.name) * (S * name(f"{_capital(state)}(s)") - name(f"{state}(0−)")),)


def _capital(small: str) -> str:
    """The letter of a transform: ``V_C1``."""
    return f"{small[0].upper()}{small[1:]}"


def _impedances(circuit: Circuit) -> Iterator[BoardLine]:
    for element in circuit.elements:
        if isinstance(element, (Capacitor, Inductor)):
            sides = [S * name(element.name), number(element.value) * S]
            if isinstance(element, Capacitor):
                sides = [whole(1) / side for side in sides]
            yield BoardLine(sides=(name(f"Z_{element.name}"), *sides))


def _sources(solved: Solved) -> Iterator[BoardLine]:
    """The transforms of the sources, and those of what is held: a voltage beside the impedance."""
    for source, value in delivered_by(solved.circuit).items():
        if value:
            yield BoardLine(sides=(name(f"{source}(s)"), _quotient(value)))
    for held, value in held_before(solved).items():
        if value:
            element = solved.circuit.element(held)
            if isinstance(element, Capacitor):
                sides = (name(f"v_{held}(0−)") / S, number(value) / S)
            else:
                sides = (name(held) * name(f"i_{held}(0−)"), number(element.value * value))  # type: ignore[attr-defined]
            yield BoardLine(label=held, sides=sides)


def _delayed_quotients(answer: Waveform) -> Iterator[Formula]:
    """The quotient of every delay, with its factor."""
    for delay, found in delayed_parts(answer):
        quotient = _quotient(found.value)
        yield quotient * exponential(-(number(delay) * S)) if delay else quotient


def _quotient(value: Scalar) -> Formula:
    """A function of s, numerator over denominator."""
    found = fraction(value)
    top, bottom = (polynomial_formula(tuple(reversed(side))) for side in found)
    return top if len(found.bottom) == 1 else top / bottom


# -- node equations --------------------------------------------------------------------------------


def _through(voltage: Formula, impedance: Scalar) -> Formula:
    """The current: by the admittance where that is the simpler one, ``s C V``."""
    if len(fraction(impedance).bottom) > 1:
        return _quotient(ONE / impedance) * voltage
    return voltage / _quotient(impedance)


def _value(value: Any, _: Any) -> Formula:
    return _quotient(value.number if isinstance(value, Waveform) else value)


IN_S = Notation(
    letters={"voltage": "V", "current": "I"},
    amount=_value,
    through=_through,
    line=lambda left, value: BoardLine(sides=(left, _quotient(value.number))),
)
"""Voltages and currents as functions of s."""


def _resistive(circuit: Circuit, instant: fmpq | None, delivered: Values, held: Values) -> ResistiveCircuit | None:
    """The circuit with impedances for resistances: what a storage element held acts as a current source beside it.

    None where coils are coupled, or the equations have no single solution.
    """
    if any(isinstance(element, CoupledInductors) for element in circuit.elements):
        return None
    elements: list[Element] = []
    for element in circuit.elements:
        if isinstance(element, (Capacitor, Inductor)):
            plates = isinstance(element, Capacitor)
            impedance = ONE / (S_ITSELF * element.value) if plates else S_ITSELF * element.value
            elements.append(Resistor(name=element.name, between=element.between, value=impedance))
            if before := held.get(element.name):
                driven = constant(-(element.value * before) if plates else before / S_ITSELF)
                held_there = f"{element.name}(0−)"
                elements.append(CurrentSource(name=held_there, between=element.between, drive=Drive.always(driven)))
        elif isinstance(element, Source):
            acting = constant(delivered[element.name]) if delivered.get(element.name) else Waveform()
            elements.append(replace(element, drive=Drive.always(acting)))
        else:
            elements.append(element)
    return picture(replace(circuit, elements=tuple(elements)), instant)


def _with_what_is_held(solved: Solved) -> ResistiveCircuit | None:
    """The circuit from t = 0 on; None where it changes at other instants, too."""
    try:
        refuse_other_changes(solved)
    except NotDefined:
        return None
    return _resistive(solved.circuit, fmpq(0), delivered_by(solved.circuit), held_before(solved))


def _of_the_circuit(
    problem: Problem, solved: Solved, item: Item, answer: Waveform
) -> tuple[tuple[BoardLine, ...], tuple[Formula, ...]]:
    """Of a transfer function or an impedance: the equations with a source of 1, and what the answer is by them."""
    circuit, instant = solved.circuit, instant_of(solved.circuit, question_of(problem, item, solved).index)
    if item.find == FUNCTION:
        assert item.signal is not None
        source, signal = item.of[0], item.signal
        sides = (name("H(s)"), name(f"{_capital(signal.symbol)}(s)") / name(f"{source}(s)"))
        given = BoardLine(label="all else 0", sides=(name(f"{source}(s)"), whole(1)))
    else:
        circuit, source, nodes = probed(circuit, item.between, item.by)
        signal = Signal(kind="voltage", of=nodes)
        sides = (name("Z(s)"), name("V(s)") / name("I(s)"))
        given = BoardLine(label=f"into {nodes[0]}, out of {nodes[1]}", sides=(name("I(s)"), whole(1)))
    static = _resistive(circuit, instant, {source: ONE}, {})
    return (given, *node_equations(static, IN_S)), (*sides, *derived(static, signal, answer, notation=IN_S))
