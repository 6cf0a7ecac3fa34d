"""Steps of the worked solution at a pair of terminals: open-circuit voltage, short-circuit current, resistance."""

from collections.abc import Iterable, Iterator

from grader.circuit.elements import Resistor, Storage
from grader.circuit.equivalent import Combination
from grader.circuit.network import instant_of, positions
from grader.circuit.ports import Port, opened, shorted
from grader.circuit.response import Solved
from grader.circuit.series_parallel import resistance, structure_between
from grader.errors import CircuitError, NotDefined
from grader.problem import Item, Problem
from grader.quantities.catalogue import question_of
from grader.quantities.finding import Find
from grader.quantities.question import Question
from grader.quantities.words import terminals
from grader.rubric.references import Reference
from grader.solution import Prose, SolutionStep
from grader.solution.formula import amount, name
from grader.solution.node_equations import derived, node_equations
from grader.solution.thevenin import R_TH, combined, thevenin_resistance
from grader.solution.words import IntervalContext, value_line
from grader.values.dimension import RESISTANCE
from grader.values.waveform import Waveform

_PORTS = {
    Find.OPEN: ("Open-circuit voltage", "V_oc", opened),
    Find.SHORT: ("Short-circuit current", "I_sc", shorted),
}


def terminal_steps(problem: Problem, solved: Solved, found: Iterable[Reference]) -> tuple[SolutionStep, ...]:
    """A step for every such item of a problem; a resistance seen only where no time constant's step shows it.

    Parameters
    ----------
    problem : Problem
        Its items.
    solved : Solved
        The response of its circuit.
    found : iterable of Reference
        The reference answers, of this problem or of more.
    """
    answered = {reference.item for reference in found if reference.problem == problem.id}
    items = [item for item in problem.items if item.id in answered]
    return tuple(step for item in items for step in _steps(question_of(problem, item, solved), item))


def _steps(question: Question, item: Item) -> Iterator[SolutionStep]:
    if item.find in _PORTS:
        words, letter, treated = _PORTS[item.find]
        port = treated(question.circuit, question.index, item.between, item.by)
        yield _at_port(question, port, letter, f"{words} {terminals(question.problem, item)}")
    elif item.find == Find.BETWEEN:
        yield from _between(question, item)
    elif item.find == "resistance seen" and item.by is not None:
        yield from _seen(question, item.by)


def _at_port(question: Question, port: Port, letter: str, heading: str) -> SolutionStep:
    """The circuit at rest, its node equations, and what they give there."""
    by = question.item.by
    told = f"{by} is taken out; " if by is not None else ""
    if letter == "I_sc":
        told = f"A wire stands in the place of {by}; " if by is not None else "A wire joins the two; "
    resting = [e.name for e in question.circuit.elements if isinstance(e, Storage) and e.name != by]
    rest = "in the dc steady state capacitors are open and inductors short circuits." if resting else ""
    sentence = f"{told}{rest}" if rest else told.replace("; ", ".")
    value = port.value
    line = value_line(
        name(letter), *derived(port.static, port.signal, value), value=value, dimension=port.signal.dimension
    )
    return SolutionStep(
        heading=(heading,),
        sentences=((f"{sentence[0].upper()}{sentence[1:]}",),) if sentence else (),
        lines=(*node_equations(port.static), line),
    )


def _between(question: Question, item: Item) -> Iterator[SolutionStep]:
    """The circuit's own resistors combined; nothing where they are no series and parallel combination."""
    circuit, answer = question.circuit, question.answer_to(item)
    assert item.between is not None
    assert isinstance(answer, Waveform)
    values = {e.name: e.value for e in circuit.elements if isinstance(e, Resistor)}
    where = positions(circuit, instant_of(circuit, question.index))
    structure = structure_between(circuit, where, item.between)
    if structure is None or resistance(structure, values) != answer.number:
        return
    sides = (combined(structure, name), combined(structure, lambda each: amount(values[each], RESISTANCE)))
    told: Prose = ("Independent voltage sources become short circuits, independent current sources open circuits.",)
    yield SolutionStep(
        heading=(f"Resistance {terminals(question.problem, item)}",),
        sentences=(told,),
        lines=(value_line(name("R"), *sides, value=answer, dimension=RESISTANCE),),
    )


def _seen(question: Question, by: str) -> Iterator[SolutionStep]:
    """What one of several storage elements looks into."""
    try:
        found = question.solved.characteristic(question.index)
    except NotDefined:
        return
    element = question.circuit.element(by)
    if found.order < 2 or not isinstance(element, Storage):
        return
    interval = IntervalContext(solved=question.solved, index=question.index, characteristic=found)
    group = Combination(kind=type(element), members=(by,), value=element.value, nodes=None)
    try:
        seen = thevenin_resistance(interval, group, question.answer_to(question.item).number)
    except CircuitError:
        return
    told: Prose = ("Sources off, the other storage elements in their dc roles; ", R_TH, f" is what {by} looks into.")
    yield SolutionStep(
        heading=(f"Resistance seen by {by}",),
        picture=seen.picture,
        sentences=(told, *seen.sentences),
        lines=seen.lines,
    )
