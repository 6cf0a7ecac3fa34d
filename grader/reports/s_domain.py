"""The step of the worked solution in the s-domain: impedances, sources for what is held, node equations, the answers in s."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from flint import fmpq

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
)
from grader.circuit.laplace import Values, probed
from grader.circuit.network import instant_of
from grader.circuit.response import Solved
from grader.circuit.statics import ResistiveCircuit
from grader.circuit.transformed import delivered_by, held_before, refuse_other_changes
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.catalogue import question_of
from grader.quantities.records import TRANSFORM
from grader.quantities.s_domain import FUNCTION
from grader.rubric.references import Reference
from grader.solution import BoardLine, SolutionStep
from grader.solution.formula import Formula, added, exponential, name, number, polynomial_formula, whole
from grader.solution.node_equations import Notation, derived, node_equations, picture
from grader.solution.words import symbol
from grader.values.laplace import VARIABLE, delayed_parts, fraction
from grader.values.laplace import S as S_ITSELF
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import Waveform, constant

S = name(VARIABLE)


def s_domain_step(problem: Problem, solved: Solved, found: Iterable[Reference]) -> SolutionStep | None:
    """The step; None where nothing is asked in the s-domain."""
    asked = [one for one in found if one.problem == problem.id and one.kind == TRANSFORM]
    if not asked:
        return None
    lines = [*_impedances(solved.circuit)]
    sentences = ["Every inductor has the impedance sL, every capacitor 1/(sC); divide and combine them as resistances."]
    static = None
    if any(one.find == TRANSFORM for one in asked):
        beside = [*_sources(solved)]
        static = _with_what_is_held(solved)
        lines += [*beside, *_equations(static)]
        if beside:
            sentences.append(
                "A source acts with its transform; what is held at 0− acts as v(0−)/s or L·i(0−) in series with the impedance, "
                "or, the same, as C·v(0−) or i(0−)/s beside it."
            )
    for one in asked:
        item = problem.item(one.item)
        assert isinstance(one.answer, Waveform)
        answer = added(_delayed_quotients(one.answer))
        if one.find == TRANSFORM:
            assert item.signal is not None
            left = name(f"{_capital(symbol(item.signal))}(s)")
            sides = (*_by_law(solved.circuit, item.signal), *_by_nodes(static, item.signal, one.answer))
            lines.append(BoardLine(label=one.item, sides=(left, *sides, answer)))
            continue
        before, sides = _of_the_circuit(problem, solved, item, one.answer)
        lines += [*before, BoardLine(label=one.item, sides=(*sides, answer))]
    return SolutionStep(
        heading=("In the s-domain",), sentences=tuple((sentence,) for sentence in sentences), lines=tuple(lines)
    )


def _by_law(circuit: Circuit, signal: Signal) -> tuple[Formula, ...]:
    """``C (s V_C − v_C(0−))`` of a capacitor's current, ``L (s I_L − i_L(0−))`` of a coil's voltage."""
    element = next((e for e in circuit.elements if e.name == signal.of), None)
    coupled = any(isinstance(e, CoupledInductors) for e in circuit.elements)
    if not isinstance(element, Storage) or coupled or {signal.kind, element.stores} != {"current", "voltage"}:
        return ()
    state = symbol(Signal(kind=element.stores, of=element.name))
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
                driven = -(element.value * before) if plates else before / S_ITSELF
                elements.append(_current_source(f"{element.name}(0−)", element, driven))
        elif isinstance(element, Source):
            acting = constant(delivered[element.name]) if delivered.get(element.name) else Waveform()
            elements.append(replace(element, drive=Drive(pieces=((None, acting),))))
        else:
            elements.append(element)
    return picture(replace(circuit, elements=tuple(elements)), instant)


def _current_source(called: str, beside: Capacitor | Inductor, driven: Scalar) -> CurrentSource:
    return CurrentSource(name=called, between=beside.between, drive=Drive(pieces=((None, constant(driven)),)))


def _with_what_is_held(solved: Solved) -> ResistiveCircuit | None:
    """The circuit from t = 0 on; None where it changes at other instants, too."""
    try:
        refuse_other_changes(solved)
    except NotDefined:
        return None
    return _resistive(solved.circuit, fmpq(0), delivered_by(solved.circuit), held_before(solved))


def _equations(static: ResistiveCircuit | None) -> tuple[BoardLine, ...]:
    return () if static is None else node_equations(static, IN_S)


def _by_nodes(static: ResistiveCircuit | None, signal: Signal, answer: Waveform) -> tuple[Formula, ...]:
    return derived(static, signal, answer, notation=IN_S)


def _of_the_circuit(
    problem: Problem, solved: Solved, item: Item, answer: Waveform
) -> tuple[tuple[BoardLine, ...], tuple[Formula, ...]]:
    """Of a transfer function or an impedance: the equations with a source of 1, and what the answer is by them."""
    circuit, instant = solved.circuit, instant_of(solved.circuit, question_of(problem, item, solved).index)
    if item.find == FUNCTION:
        assert item.signal is not None
        source, signal = item.of[0], item.signal
        sides = (name("H(s)"), name(f"{_capital(symbol(signal))}(s)") / name(f"{source}(s)"))
        given = BoardLine(label="all else 0", sides=(name(f"{source}(s)"), whole(1)))
    else:
        circuit, source, nodes = probed(circuit, item.between, item.by)
        signal = Signal(kind="voltage", of=nodes)
        sides = (name("Z(s)"), name("V(s)") / name("I(s)"))
        given = BoardLine(label=f"into {nodes[0]}, out of {nodes[1]}", sides=(name("I(s)"), whole(1)))
    static = _resistive(circuit, instant, {source: ONE}, {})
    return (given, *_equations(static)), (*sides, *_by_nodes(static, signal, answer))
