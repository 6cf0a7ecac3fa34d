"""Reference answers: what the solver finds for every item of a rubric, with all that marking needs to know of it."""

from collections.abc import Iterator, Mapping
from itertools import chain
from typing import Any, NamedTuple

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import Circuit, Switch
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined, RubricError
from grader.place import Placed
from grader.problem import Rubric
from grader.quantities import Answer, Asked, Rule, asked, follow
from grader.quantities.catalogue import question_of
from grader.quantities.design import Requirement, from_own_designs
from grader.quantities.intervals import interval_items, with_interval_items
from grader.quantities.part import in_own_part
from grader.quantities.question import Question
from grader.quantities.records import VALUE
from grader.quantities.unasked import by_way_of_unasked
from grader.reading.meaning import things_in
from grader.rubric.bounds import bounded_time, working_on
from grader.rubric.formatting import answer_text, exact_text
from grader.rubric.magnitudes import same, scale_of
from grader.rubric.names import Named, called, names
from grader.values.dimension import Dimension, unit_symbol
from grader.values.functions import exp
from grader.values.laplace import S
from grader.values.scalar import ONE
from grader.values.waveform import TIME as TIME_ITSELF
from grader.values.waveform import Waveform, constant


class Reference(Placed, Struct, frozen=True, kw_only=True):
    """The right answer to one item; frozen and picklable."""

    problem: str
    item: str
    find: str
    kind: str
    """``"value"``, ``"expression"``, ``"response"``, ``"roots"`` or ``"choice"``."""
    answer: Answer
    """SI base units; an expression in global t (seconds)."""
    others: tuple[Answer, ...] = ()
    """What else is right within the tolerance, where that is no matter of size."""
    dimension: Dimension | None
    """None for a choice."""
    unit: str = ""
    """SI symbol without prefix."""
    start: fmpq | None = None
    """Where the interval on which an expression holds begins, seconds."""
    end: fmpq | None = None
    """Where it ends; None: it lasts."""
    clocks: tuple[fmpq, ...] = ()
    """Zero, and the instants at which the circuit changes: from any of them a student may count, seconds."""
    scale: float = 0.0
    """Size of the signal: its largest value over all intervals, for a tolerance near zero; 0 where it has symbols."""
    rules: tuple[Rule, ...] = ()
    """How the answer follows from earlier items; each leads from their right answers to this one."""
    requirement: Requirement | None = None
    """What an answer is right by where several are; None: by agreeing with ``answer``."""
    intervals: tuple["Reference", ...] = ()
    """Of a response: the expression for each interval."""
    text: str
    """As an instructor would write it, in engineering notation."""
    exact: str
    """What sympy's parser reads."""
    names: tuple[Named, ...] = ()
    """What a student may use in the answer."""
    called: tuple[str, ...] = ()
    """What a student may call the answer."""
    acting: tuple[tuple[str, tuple[tuple[fmpq, bool | None], ...]], ...] = ()
    """Everything that acts in the circuit: when, seconds, and whether a switch closes then; None for what does not."""
    closed: tuple[tuple[str, bool], ...] = ()
    """Every switch, and whether it is closed on the interval."""
    figures: int = 0
    """Significant figures that the item asks for and the text shows."""
    note: str = ""
    """Says so where the answer is not exact."""


ROUNDED = "Shown rounded; worked out to more digits."


class Unanswered(NamedTuple):
    """A problem without a response, or an item without an answer (``item`` "": the whole problem), and why."""

    problem: str
    item: str
    sentence: str


def references(rubric: Rubric) -> tuple[Reference, ...]:
    """The reference answers of a rubric, in its order.

    Raises
    ------
    RubricError
        If a circuit has no unique response, or an item no answer: one sentence each.
    """
    found, missing = answered(rubric)
    if missing:
        raise RubricError(tuple(_located(rubric, one) for one in missing))
    return found


def _located(rubric: Rubric, missing: Unanswered) -> str:
    item = f", item '{missing.item}'" if missing.item else ""
    return f"{rubric.name}, problem '{missing.problem}'{item}: {missing.sentence}"


def answered(rubric: Rubric) -> tuple[tuple[Reference, ...], tuple[Unanswered, ...]]:
    """The reference answers that there are, and what has none."""
    with bounded_time():
        return _answered(rubric)


def _answered(rubric: Rubric) -> tuple[tuple[Reference, ...], tuple[Unanswered, ...]]:
    found: list[Reference] = []
    missing: list[Unanswered] = []
    for problem in rubric.problems:
        working_on(f"{rubric.name}, problem '{problem.id}'")
        try:
            solved = None if problem.circuit is None else solve(problem.circuit)
        except (CircuitError, NotDefined) as error:
            missing.append(Unanswered(problem.id, "", _sentence(error)))
            continue
        answers: dict[str, Answer] = {}
        known: dict[Any, Any] = {}
        whole = with_interval_items(problem)
        for item in problem.items:
            working_on(f"{rubric.name}, problem '{problem.id}', item '{item.id}'")
            try:
                *intervals, reference = [
                    _reference(question_of(whole, one, solved, known), answers)
                    for one in (*interval_items(problem, item), item)
                ]
            except (CircuitError, NotDefined) as error:
                missing.append(Unanswered(problem.id, item.id, _sentence(error)))
            else:
                found.append(replace(reference, intervals=tuple(intervals)))
    return tuple(found), tuple(missing)


def _sentence(error: Exception) -> str:
    text = str(error).rstrip(".")
    return f"{text}."


def _reference(question: Question, answers: dict[str, Answer]) -> Reference:
    """One item's reference; its answer is added to the ``answers`` before it."""
    item, entry = question.item, asked(question.item.find)
    answer = answers[item.id] = entry.reference(question)
    dimension = entry.dimension(question.problem, item)
    symbol = entry.unit or ("" if dimension is None else unit_symbol(dimension))
    start, end = _interval(question)
    kind = entry.kind(question.problem, item)
    figures = item.marking.significant_figures if kind == VALUE else 0
    inexact = isinstance(answer, Waveform) and not answer.exact
    return Reference(
        problem=question.problem.id,
        item=item.id,
        find=item.find,
        kind=kind,
        answer=answer,
        others=entry.others(question),
        dimension=dimension,
        start=start,
        end=end,
        clocks=_clocks(question),
        scale=scale_of(question, answer, dimension),
        rules=tuple(_rules(in_own_part(question), entry, answers)),
        requirement=entry.requirement(question),
        unit=symbol,
        text=entry.written(item, answer) or answer_text(answer, symbol, dimension, start, figures),
        exact=exact_text(answer),
        names=tuple(names(question, answers)),
        called=things_in(item.text or "") if item.options else called(question, dimension),
        acting=_acting(question.problem.circuit),
        closed=_closed(question.problem.circuit, start),
        figures=figures,
        note=" ".join(filter(None, (ROUNDED if inexact else "", entry.note(question)))),
    )


def _rules(question: Question, entry: Asked, answers: Mapping[str, Answer]) -> Iterator[Rule]:
    """What the entry says, what follows from elements designed before, and what does by way of what was not asked."""
    right = answers[question.item.id]
    offered = chain(entry.rules(question), from_own_designs(question) if entry.circuit else ())
    direct = [rule for rule in offered if _is_sound(rule, right, answers)]
    yield from direct
    if question.response is None:
        return
    known = {rule.items for rule in direct if not rule.aside}

    def leads(rule: Rule, to: Question) -> bool:
        wanted = to.answer_to(to.item)
        return _is_sound(rule, wanted, answers) and _rests_on_all(rule, wanted, answers)

    for rule in by_way_of_unasked(question, leads):
        if rule.items not in known and leads(rule, question):
            yield rule


def _is_sound(rule: Rule, right: Answer, answers: Mapping[str, Answer]) -> bool:
    """Whether it leads from the right earlier answers to the right one."""
    led = follow(rule, answers) if all(item in answers for item in rule.items) else None
    return led is not None and same(led, right)


def _rests_on_all(rule: Rule, right: Answer, answers: Mapping[str, Answer]) -> bool:
    """Whether each of its items makes a difference: where a response starts says nothing of tau."""
    return all(
        any(
            (led := follow(rule, {**answers, item: other})) is None or not same(led, right)
            for other in _others(answers[item])
        )
        for item in rule.items
    )


def _others(answer: Answer) -> Iterator[Answer]:
    """Answers of the same kind that are wrong: of another size; a function also of another shape, as a time hangs on that alone."""
    if isinstance(answer, Waveform):
        yield answer.scaled(fmpq(4, 3)) if answer.terms else constant(ONE)
        if not answer.is_number:
            yield answer * exp(-TIME_ITSELF)
        elif answer.is_symbolic:
            yield answer * constant(ONE / (ONE + S))
    elif isinstance(answer, tuple):
        yield tuple((real.scaled(fmpq(4, 3)), imaginary) for real, imaginary in answer)
    else:
        yield answer


def _interval(question: Question) -> tuple[fmpq | None, fmpq | None]:
    if question.response is None:
        return None, None
    interval = question.solved.intervals[question.index_asked]
    return interval.start, interval.end


def _clocks(question: Question) -> tuple[fmpq, ...]:
    intervals = () if question.response is None else question.response.intervals
    return tuple(dict.fromkeys((fmpq(0), *(one.start for one in intervals if one.start is not None))))


def _closed(circuit: Circuit | None, start: fmpq | None) -> tuple[tuple[str, bool], ...]:
    """Every switch, and where its last action up to an instant leaves it."""
    elements = () if circuit is None or start is None else circuit.elements
    return tuple(
        (one.name, next((closed for at, closed in reversed(one.actions) if at <= start), one.before))
        for one in elements
        if isinstance(one, Switch)
    )


def _acting(circuit: Circuit | None) -> tuple[tuple[str, tuple[tuple[fmpq, bool | None], ...]], ...]:
    """Everything that acts, with its instants and what a switch does then."""
    elements = () if circuit is None else circuit.elements
    return tuple(
        (one.name, one.actions if isinstance(one, Switch) else tuple((at, None) for at in one.acts()))
        for one in elements
        if one.acts()
    )
