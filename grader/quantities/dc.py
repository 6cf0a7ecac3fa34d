"""How values in the dc steady state follow from one another: coils are short circuits, capacitors open ones.

So elements carry the same current, or have the same voltage, that do not otherwise.
"""

from collections.abc import Iterator
from functools import partial

from msgspec.structs import replace

from grader.circuit.elements import Resistor, Signal
from grader.quantities.links import CURRENT_AND_VOLTAGE, asked_value, beside, from_states, proportion, weights_on
from grader.quantities.question import Question, nodes_of_voltage
from grader.quantities.rules import Rule
from grader.quantities.words import phrase
from grader.values.scalar import ONE
from grader.values.waveform import Waveform, constant


def from_dc(question: Question, find: str) -> Iterator[Rule]:
    """A value in the dc steady state from another there, coils being shorts and capacitors open: the same, or by Ohm's law.

    ``find`` says when: in the end, or just before the first switching.
    """
    mine, kind = asked_value(question, question.signal), question.signal.kind
    if kind not in CURRENT_AND_VOLTAGE or mine is None or not mine.terms:
        return
    resistors = [element for element in question.circuit.elements if isinstance(element, Resistor)]
    for item in beside(question, find):
        assert item.signal is not None
        theirs = asked_value(question, item.signal)
        says = f"This follows from your own {phrase(item.signal)} in the dc steady state."
        if theirs is None:
            continue
        if kind == item.signal.kind and mine in (theirs, -theirs) and _nothing_between(question, item.signal):
            yield Rule(formula="x0" if mine == theirs else "-x0", uses=(("x0", item.id),), says=says)
        elif {kind, item.signal.kind} == set(CURRENT_AND_VOLTAGE):
            for resistor in resistors:
                sizes = {one: asked_value(question, Signal(kind=one, of=resistor.name)) for one in CURRENT_AND_VOLTAGE}
                if mine in _both_ways(sizes[kind]) and theirs in _both_ways(sizes[item.signal.kind]):
                    factor = resistor.value if kind == "voltage" else ONE / resistor.value
                    sign = "" if mine == theirs.scaled(factor) else "-"
                    given = (("k", constant(factor)),)
                    yield Rule(formula=f"{sign}k*x", uses=(("x", item.id),), given=given, says=says)


def _nothing_between(question: Question, other: Signal) -> bool:
    """Whether two voltages are between nodes that nothing drops between in the end; true of any two currents."""
    if question.signal.kind == "current":
        return True
    mine, theirs = (nodes_of_voltage(question.circuit, one) for one in (question.signal, other))
    ways = [] if mine is None or theirs is None else [(mine, theirs), (mine, theirs[::-1])]
    nothing, drop = Waveform(), partial(Signal, kind="voltage")
    return any(
        all(ends[0] == ends[1] or asked_value(question, drop(of=ends)) == nothing for ends in zip(*way, strict=True))
        for way in ways
    )


def _both_ways(value: Waveform | None) -> tuple[Waveform, ...]:
    """A value counted in either direction."""
    return () if value is None else (value, -value)


def from_states_in_dc(question: Question, find: str, index: int) -> Iterator[Rule]:
    """A current from the states by the way of another element that carries the same one then: all of it goes on through that."""
    mine = asked_value(question, question.signal)
    if question.signal.kind != "current" or mine is None or not mine.terms:
        return
    for element in question.circuit.elements:
        other = Signal(kind="current", of=element.name)
        here = replace(question, item=replace(question.item, signal=other))
        if isinstance(element, Resistor) and other != question.signal and asked_value(here, other) in (mine, -mine):
            sign = "" if asked_value(here, other) == mine else "-"
            for rule in from_states(here, find, index=index):
                yield Rule(formula=f"{sign}x", uses=(), through=(("x", rule),), says=rule.says)


def from_kindred_in_dc(question: Question, find: str, index: int) -> Iterator[Rule]:
    """A current or voltage from an own current by the resistor that carries the same one then: by Kirchhoff's and Ohm's laws from that."""
    mine, signal = asked_value(question, question.signal), question.signal
    if signal.kind not in CURRENT_AND_VOLTAGE or mine is None:
        return
    states = question.solved.reduced(index).columns.states.values()
    weights = weights_on(question, signal, index)
    for item in beside(question, find):
        assert item.signal is not None
        theirs = asked_value(question, item.signal)
        for element in question.circuit.elements if item.signal.kind == "current" else ():
            twin = Signal(kind="current", of=element.name)
            held = asked_value(question, twin) if isinstance(element, Resistor) else None
            factor = proportion(weights, weights_on(question, twin, index), states) if held is not None else None
            if held is not None and factor is not None and held in _both_ways(theirs):
                given = (("a", mine - held.scaled(factor)), ("k", constant(factor if held == theirs else -factor)))
                says = f"This follows from your own {phrase(item.signal)} in the dc steady state."
                yield Rule(formula="a+k*x", uses=(("x", item.id),), given=given, says=says)
