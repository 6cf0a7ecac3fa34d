"""How answers hang together by the theory: the pieces from which the entries make their rules.

`references` keeps a rule only where it leads from the right earlier answers to the right one, so a rule may be offered
wherever it is plausible (an exponential's formula where the response is one).
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from functools import partial
from typing import Any

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import (
    Capacitor,
    Circuit,
    Inductor,
    Passive,
    Resistor,
    Signal,
    Source,
    Storage,
    other_signal,
    own_signal,
)
from grader.circuit.elimination import Row
from grader.circuit.network import difference
from grader.circuit.reduction import Reduced
from grader.circuit.resistance import storage_combination
from grader.circuit.signals import current_row, voltage_row
from grader.errors import CircuitError, NotDefined
from grader.problem import Item
from grader.quantities import steps
from grader.quantities.finding import Find
from grader.quantities.question import Question, nodes_of_voltage, same_signal
from grader.quantities.rules import Given, Rule, Step, from_first
from grader.quantities.words import phrase
from grader.values.scalar import ONE, ZERO
from grader.values.waveform import Waveform, constant

# -- from the student's own expression -------------------------------------------------------------


def from_expression(question: Question, step: Step, says: str, *, index: int | None = None) -> Iterator[Rule]:
    """What an earlier expression of the same signal says (its value at an instant, its slope …).

    ``index`` is the interval whose expression counts, unless it is that of the item.
    """
    wanted = question.index if index is None else index
    own = (one for one in question.earlier(Find.EXPRESSION) if question.about(one) == 1)
    yield from from_first((one for one in own if question.index_of(one) == wanted), "x", says, step=step)


def at_instant(question: Question, time: fmpq, *, index: int | None = None) -> Iterator[Rule]:
    """The own expression's value at an instant."""
    says = "This follows from your own expression at that instant."
    yield from from_expression(question, partial(steps.derivative_at, time=time), says, index=index)


# -- the same element, the same instant ------------------------------------------------------------


def _laws(element: Passive) -> Iterator[tuple[str, str, str]]:
    """What follows from what by an element's law: (kind, formula in ``x`` and ``k``, kind of x)."""
    if isinstance(element, Resistor):
        yield from (
            ("voltage", "k*x", "current"),
            ("current", "x/k", "voltage"),
            ("power", "k*x^2", "current"),
            ("power", "x^2/k", "voltage"),
        )
    elif isinstance(element, Capacitor):
        yield from (
            ("charge", "k*x", "voltage"),
            ("voltage", "x/k", "charge"),
            ("energy", "(1/2)*k*x^2", "voltage"),
            ("energy", "x^2/(2*k)", "charge"),
        )
    elif isinstance(element, Inductor):
        yield from (
            ("flux", "k*x", "current"),
            ("current", "x/k", "flux"),
            ("energy", "(1/2)*k*x^2", "current"),
            ("energy", "x^2/(2*k)", "flux"),
        )


def passives(circuit: Circuit, signal: Signal) -> Iterator[Passive]:
    """The resistor, capacitor or inductor a signal belongs to; every one across its nodes, for a voltage between nodes."""
    for element in circuit.elements:
        if isinstance(element, Passive) and signal.of in (element.name, element.between):
            yield element


def from_law(question: Question, find: str) -> Iterator[Rule]:
    """The item from an earlier one on the same element at the same instant (``v = R i``, ``w = L i^2/2``)."""
    circuit, kind = question.circuit, question.signal.kind
    for element in passives(circuit, question.signal):
        for formula, from_kind in ((f, x) for y, f, x in _laws(element) if y == kind):
            source = Signal(kind=from_kind, of=element.name)
            here = (one for one in question.earlier_here(find) if one.at == question.item.at)
            items = (one for one in here if is_signal(circuit, one, source))
            says = f"This follows from your own {from_kind} of {element.name}."
            yield from from_first(items, formula, says, given={"k": constant(element.value)})


def source_law(question: Question) -> Iterator[Rule]:
    """The power that a source takes, what it delivers times its own other quantity."""
    signal, circuit = question.signal, question.circuit
    for source in circuit.elements:
        if isinstance(source, Source) and signal == Signal(kind="power", of=source.name):
            other = Signal(kind="current" if source.delivers == "voltage" else "voltage", of=source.name)
            drive = question.solved.waveform(Signal(kind=source.delivers, of=source.name), question.index)
            items = (one for one in question.earlier_here(Find.EXPRESSION) if is_signal(circuit, one, other))
            says = f"This follows from your own {other.kind} of {source.name}."
            yield from from_first(items, "k*x", says, given={"k": drive})


def from_derivative(
    question: Question, time: fmpq | None = None, *, find: str = Find.EXPRESSION, index: int | None = None
) -> Iterator[Rule]:
    """An answer by the law of a storage element, ``i = C dv/dt`` or ``v = L di/dt``: its own, or what is in proportion to it.

    It is an expression, or the value at a ``time``, from an own expression or slope; ``index`` is the interval whose counts, unless it
    is that of the item.
    """
    wanted = question.index if index is None else index
    formula, step = ("k*dx/dt", partial(steps.derivative, time=time)) if find == Find.EXPRESSION else ("k*x", None)
    for item in question.earlier(find):
        for element in question.circuit.elements if question.index_of(item) == wanted else ():
            k = _by_its_rate(question, item, element, wanted) if isinstance(element, Storage) else None
            if k is not None and item.signal is not None:
                says = f"This follows from your own {phrase(item.signal)} by the law of {element.name}, which has a derivative in it."
                yield Rule(formula=formula, uses=(("x", item.id),), given=(("k", constant(k)),), says=says, step=step)
                return


def _by_its_rate(question: Question, item: Item, element: Storage, index: int) -> Any:
    """What the rate of change of a signal in proportion to an element's own (an op amp's output) makes the one asked with; or None."""
    itself = is_signal(question.circuit, item, own_signal(element))
    its_law = same_signal(question.circuit, question.signal, other_signal(element))
    if item.signal is None or own_signal(element).kind != item.signal.kind or not (itself or its_law):
        return None
    factor = multiple_of(question, other_signal(element))
    share = None if factor is None else ratio(question, own_signal(element), item.signal, index)
    return None if share is None else element.value * factor * share


def is_signal(circuit: Circuit, item: Item, signal: Signal) -> bool:
    """Whether an item asks for that very signal."""
    return item.signal is not None and same_signal(circuit, item.signal, signal) == 1


# -- Kirchhoff's laws with the states held --------------------------------------------------------


def from_states(question: Question, *finds: str, index: int | None = None) -> Iterator[Rule]:
    """A current or voltage from the storage elements' own quantities at the same time, ``y = a + b1 x1 + …``.

    With every capacitor held at its voltage and every inductor at its current the rest of the circuit is resistive,
    so that any current or voltage is a weighted sum of these, plus what the sources add.  The finds are what counts as the
    states' values, the item's own first; ``index`` is the interval whose circuit counts, unless it is that of the item.
    """
    circuit, signal = question.circuit, question.signal
    index = question.index_asked if index is None else index
    if signal.kind not in CURRENT_AND_VOLTAGE or is_own_quantity(circuit, signal):
        return
    weights = weights_on(question, signal, index)
    found = [*_weighted(question, weights, finds, "Kirchhoff's laws", index)]
    if finds[0] != Find.EXPRESSION:  # whoever worked with the expression may have left the value beside it open
        others = _weighted(question, weights, finds, "Kirchhoff's laws", index, expressions=True)
        found += [rule for rule in others if rule.uses not in [one.uses for one in found]]
    yield from found


def from_kept(question: Question) -> Iterator[Rule]:
    """Where a state jumps, its value just after from those just before: capacitors joined keep their charge, coils their flux."""
    reduced = question.solved.reduced(question.index)
    for element in passives(question.circuit, question.signal):
        jump = reduced.jump.get(reduced.columns.derivatives.get(element.name, -1))
        if jump and own_signal(element).kind == question.signal.kind:
            column = reduced.columns.states[element.name]
            weights = {**jump, column: jump.get(column, ZERO) + ONE}
            laws = "the charge or flux that is kept"
            yield from _weighted(question, weights, (Find.JUST_BEFORE,), laws, question.index_asked)
            return


def weights_on(question: Question, signal: Signal, index: int) -> Mapping[int, Any]:
    """What a current or voltage is made of on an interval, by column: states and sources."""
    reduced = question.solved.reduced(index)
    weights: Mapping[int, Any] = reduced.full(row_of(question.circuit, signal, reduced))
    return weights


def row_of(circuit: Circuit, signal: Signal, reduced: Reduced) -> Row:
    """A current or voltage in the solved equations."""
    if not isinstance(signal.of, str):
        return difference(reduced.columns, signal.of)
    element = circuit.element(signal.of)
    return current_row(reduced, element) if signal.kind == "current" else voltage_row(reduced, element)


def from_kindred(question: Question, find: str) -> Iterator[Rule]:
    """A current or voltage from another that the same states make up in the same proportion, ``y = a + k x``.

    That is Ohm's law at a resistor, Kirchhoff's voltage law around a source (``i = (V - v)/R``), and the like.
    """
    signal = question.signal
    if signal.kind not in CURRENT_AND_VOLTAGE:
        return
    mine, weights = asked_value(question, signal), weights_on(question, signal, question.index_asked)
    states = question.solved.reduced(question.index).columns.states.values()
    own = is_own_quantity(question.circuit, signal)
    for item in beside(question, find):
        assert item.signal is not None
        if item.signal.of == signal.of or (is_own_quantity(question.circuit, item.signal) and not own):
            continue  # `from_law`, `from_states`
        theirs, others = asked_value(question, item.signal), weights_on(question, item.signal, question.index_asked)
        factor = together(question, item.signal) if own else proportion(weights, others, states)
        if factor is not None and mine is not None and theirs is not None:
            yield Rule(
                formula="a+k*x",
                uses=(("x", item.id),),
                given=(("a", mine - theirs.scaled(factor)), ("k", constant(factor))),
                says=f"This follows from your own {phrase(item.signal)} by the laws of Ohm and Kirchhoff.",
            )


CURRENT_AND_VOLTAGE = ("current", "voltage")


def beside(question: Question, find: str) -> Iterator[Item]:
    """The earlier items for another current or voltage at the same time."""
    for item in question.earlier_here(find):
        electrical = item.signal is not None and item.signal.kind in CURRENT_AND_VOLTAGE
        if electrical and item.at == question.item.at and not question.about(item):
            yield item


def multiple_of(question: Question, other: Signal) -> Any:
    """The factor by which the current or voltage asked is another on the interval meant; None where it is no multiple of it."""
    if question.signal.kind != other.kind or other.kind not in CURRENT_AND_VOLTAGE:
        return None
    return ratio(question, question.signal, other, question.index_asked)


def ratio(question: Question, one: Signal, other: Signal, index: int) -> Any:
    """The factor by which a current or voltage is another on an interval, sources included; None where it is no multiple of it."""
    mine, theirs = (weights_on(question, signal, index) for signal in (one, other))
    return proportion(mine, theirs, {*mine, *theirs})


def together(question: Question, other: Signal) -> Any:
    """The factor between two states that go together on the interval meant: capacitors in parallel, coils in series; None for others."""
    index = question.index_asked
    reduced = question.solved.reduced(index)
    mine, theirs = (reduced.free({**weights_on(question, one, index)}) for one in (question.signal, other))
    return proportion(mine, theirs, range(len(reduced.independent)))


def proportion(mine: Mapping[int, Any], theirs: Mapping[int, Any], states: Iterable[int]) -> Any:
    """The factor between two sums of states; None where they are not proportional."""
    own = {column: mine[column] for column in states if mine.get(column)}
    other = {column: theirs[column] for column in states if theirs.get(column)}
    if not own or own.keys() != other.keys():
        return None
    first = next(iter(own))
    factor = own[first] / other[first]
    return factor if all(own[column] == factor * other[column] for column in own) else None


def slope_from_states(question: Question) -> Iterator[Rule]:
    """A state's initial slope from the initial states: ``dv/dt = i/C`` with the current that Kirchhoff's laws give."""
    reduced = question.solved.reduced(question.index)
    for element in passives(question.circuit, question.signal):
        if element.name in reduced.columns.derivatives and own_signal(element).kind == question.signal.kind:
            weights = reduced.full({reduced.columns.derivatives[element.name]: ONE})
            finds, laws = (Find.INITIAL, Find.JUST_BEFORE, Find.AT), "Kirchhoff's laws and the element's law"
            yield from _weighted(question, weights, finds, laws, question.index_asked)
            return


def _weighted(
    question: Question,
    weights: Mapping[int, Any],
    finds: tuple[str, ...],
    laws: str,
    index: int,
    *,
    expressions: bool = False,
) -> Iterator[Rule]:
    """A rule for a weighted sum of states, with the circuit of an interval; those that were not asked keep the solver's values.

    ``expressions``: whether the own expressions of the states go before the values asked beside them.
    """
    rest = asked_value(question, question.signal)
    columns = question.solved.reduced(index).columns.states
    terms: list[str] = ["a"]
    uses: list[tuple[str, str]] = []
    given: dict[str, Waveform] = {}
    for number, (name, column) in enumerate(columns.items(), start=1):
        own = own_signal(question.circuit.element(name))
        asked = (Find.EXPRESSION, *finds) if expressions else (*finds, Find.EXPRESSION)
        item = _state_item(question, own, asked, index)
        value = asked_value(question, own, finds[0])
        if column not in weights or item is None or value is None or rest is None:
            continue
        rest = rest - value.scaled(weights[column])
        terms.append(f"b{number}*x{number}")
        uses.append((f"x{number}", item.id))
        given[f"b{number}"] = constant(weights[column])
    if uses and rest is not None:
        yield Rule(
            formula="+".join(terms),
            uses=tuple(uses),
            given=(("a", rest), *given.items()),
            says=f"This follows from {laws} with your own values of the storage elements.",
            step=partial(steps.weighted_sum, time=_instant(question, finds[0]))
            if finds[0] != Find.EXPRESSION
            else None,
        )


def _instant(question: Question, find: str) -> fmpq | None:
    """When a value is meant; None: in the end."""
    if question.item.at is not None:
        return question.item.at
    return None if find == Find.FINAL else question.start


def _state_item(question: Question, own: Signal, finds: tuple[str, ...], index: int) -> Item | None:
    """The earlier item that gives a storage element's own quantity at the same time; of expressions that on an interval."""
    for find in finds:
        for item in question.earlier(find):
            if find == Find.EXPRESSION:  # its value at that time
                here = question.index_of(item) == index
            else:
                same = item.at is not None or question.index_of(item) == question.index
                begins = find == Find.AT and question.item.at is None and item.at == question.start
                here = begins or (item.at == question.item.at and same)
            if here and is_signal(question.circuit, item, own):
                return item
    return None


def asked_value(question: Question, signal: Signal | None, find: str = "") -> Waveform | None:
    """The solver's own answer for a signal, to another find unless it is that of the item; None where it has none."""
    try:
        answer = question.answer_to(replace(question.item, find=find or question.item.find, signal=signal))
    except (NotDefined, CircuitError):
        return None
    return answer if isinstance(answer, Waveform) else None


def is_own_quantity(circuit: Circuit, signal: Signal) -> bool:
    """Whether a signal cannot jump: a capacitor's voltage, charge, energy; an inductor's current, flux, energy."""
    if signal.kind == "voltage":
        nodes = nodes_of_voltage(circuit, signal)
        return any(isinstance(e, Capacitor) and nodes in (e.between, e.between[::-1]) for e in circuit.elements)
    return any(signal.kind in element.lasting for element in passives(circuit, signal))


def held_before(question: Question) -> Iterator[Item]:
    """Earlier items that ask what a storage element holds in the intervals before in which nothing can change that, nearest first."""
    kept, signal, solved = question.index, question.signal, question.solved
    for element in passives(question.circuit, signal):
        if isinstance(element, Storage) and signal.kind in element.lasting:
            while kept > 1 and not _moves(solved.reduced(kept - 1), element):
                kept -= 1
    for item in question.earlier(Find.JUST_BEFORE, Find.INITIAL, Find.AT, Find.FINAL):
        index = question.index_of(item) if item.at is None else question.index_at(item.at)
        if kept <= index < question.index and question.about(item) == 1:
            yield item


def _moves(reduced: Reduced, element: Storage) -> bool:
    """Whether a state can change on an interval, whatever the states and sources."""
    return any(reduced.full({reduced.columns.derivatives[element.name]: ONE}).values())


def with_storage(question: Question, by: str | None, coil: str, plates: str) -> Iterator[tuple[str, Given]]:
    """Of two formulas that of each storage element, a coil's in ``L`` or a capacitor's in ``C``, with its value; ``by`` names one alone.

    Where none is named, and several act as one, that of the one that they make up, too.
    """
    circuit = question.circuit
    found = [(type(e), e.value) for e in circuit.elements if isinstance(e, Storage) and by in (None, e.name)]
    if len(found) > 1 and by is None:
        with suppress(CircuitError):
            together = storage_combination(circuit, question.index)
            found.append((together.kind, together.value))
    for kind, value in found:
        yield (coil, (("L", constant(value)),)) if kind is Inductor else (plates, (("C", constant(value)),))
