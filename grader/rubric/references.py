"""Reference answers: what the solver finds for every item of a rubric, with all that marking needs to know of it."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import reduce
from itertools import chain
from typing import Any, NamedTuple

from flint import fmpq

from grader.circuit.elements import Circuit, Passive, Signal, Source, Storage
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined, RubricError
from grader.place import Placed
from grader.problem import Item, Rubric
from grader.quantities import FINDS, Answer, Asked, Rule, asked, follow
from grader.quantities.catalogue import question_of
from grader.quantities.design import UNKNOWN, Requirement, from_own_designs
from grader.quantities.finding import Find
from grader.quantities.intervals import interval_items, with_interval_items
from grader.quantities.links import is_own_quantity
from grader.quantities.names import element_values
from grader.quantities.part import in_own_part
from grader.quantities.question import Question
from grader.quantities.records import EQUATION, EXPRESSION
from grader.quantities.unasked import by_way_of_unasked
from grader.quantities.words import LETTERS, stems
from grader.reading.text.operators import OPERATOR, QUANTITY
from grader.rubric.bounds import bounded_time, working_on
from grader.rubric.formatting import answer_text, exact_text
from grader.rubric.magnitudes import same, scale_of
from grader.values.dimension import CAPACITANCE, ENERGY, INDUCTANCE, RESISTANCE, SYMBOLS, TIME, Dimension, unit_symbol
from grader.values.functions import exp
from grader.values.laplace import S
from grader.values.scalar import ONE, Scalar, is_symbolic, to_float
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME as TIME_ITSELF
from grader.values.waveform import Waveform, constant


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """What a student may write in an answer: an element's value, or the answer to an earlier item.

    ``value`` is the right one; where ``item`` is set, the student's own answer to that item goes before it.
    """

    name: str
    dimension: Dimension | None
    value: Waveform
    item: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference(Placed):
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
    acting: tuple[tuple[str, bool], ...] = ()
    """Everything that acts in the circuit, and whether it does so where the interval begins."""
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
    inexact = isinstance(answer, Waveform) and not answer.exact
    return Reference(
        problem=question.problem.id,
        item=item.id,
        find=item.find,
        kind=entry.kind(question.problem, item),
        answer=answer,
        others=entry.others(question),
        dimension=dimension,
        start=start,
        end=end,
        scale=scale_of(question, answer, dimension),
        rules=() if question.response is None else tuple(_rules(in_own_part(question), entry, answers)),
        requirement=entry.requirement(question),
        unit=symbol,
        text=entry.written(item, answer) or answer_text(answer, symbol, dimension, start),
        exact=exact_text(answer),
        names=tuple(_names(question, answers)),
        called=_called(question, dimension),
        acting=_acting(question.problem.circuit, start),
        note=" ".join(filter(None, (ROUNDED if inexact else "", entry.note(question)))),
    )


def _rules(question: Question, entry: Asked, answers: Mapping[str, Answer]) -> Iterator[Rule]:
    """What the entry says, what follows from elements designed before, and what does by way of what was not asked."""
    right = answers[question.item.id]
    offered = chain(entry.rules(question), from_own_designs(question) if entry.circuit else ())
    direct = [rule for rule in offered if _is_sound(rule, right, answers)]
    yield from direct
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


def _acting(circuit: Circuit | None, start: fmpq | None) -> tuple[tuple[str, bool], ...]:
    """Everything that acts, and whether at the start of the interval."""
    elements = () if circuit is None else circuit.elements
    return tuple((element.name, start in element.acts()) for element in elements if element.acts())


# -- names ---------------------------------------------------------------------------------------


def _called(question: Question, dimension: Dimension | None) -> tuple[str, ...]:
    """What the quantity asked may be called: by its own symbol, or as the signal that it is a value of."""
    item, signal, circuit = question.item, question.item.signal, question.problem.circuit
    own = asked(item.find).names(item)
    if signal is None or dimension != signal.dimension:
        return (
            own or (_energy_of(item) if dimension == ENERGY else ()) or (_instant_of(item) if dimension == TIME else ())
        )
    to_ground = circuit is not None and not isinstance(signal.of, str) and signal.of[1] == circuit.ground
    elements = () if circuit is None else circuit.elements
    between = [one.terminals() for one in elements if one.name == signal.of]
    ends = (
        (replace(signal, of=between[0]),) if between and len(between[0]) == 2 else ()
    )  # v_ab of what lies from a to b
    others = (*ends, *((replace(signal, of=signal.of[0]),) if to_ground else ()))
    others += tuple(_from_or_to_ground(one, circuit.ground) for one in (signal, *ends) if circuit is not None)
    return (*own, *stems(signal), *(name for one in others for name in stems(one)))


def _instant_of(item: Item) -> tuple[str, ...]:
    """``t``, and ``t(1.5A)`` where it is asked when a level is reached."""
    if item.level is None or item.signal is None or is_symbolic(item.level):
        return ("t",)
    return "t", f"t({to_float(item.level):.9g}{SYMBOLS.get(item.signal.dimension, '')})"


def _energy_of(item: Item) -> tuple[str, ...]:
    """The energy of one element, in the end where no instant is given."""
    if len(item.of) != 1:
        return ()
    name = f"{LETTERS['energy']}_{item.of[0]}"
    return (name, f"{name}(inf)") if item.find == "stored energy" and item.at is None else (name,)


def _from_or_to_ground(signal: Signal, ground: str) -> Signal:
    """A signal between nodes, ground being called so: its plus is at ground, or its minus."""
    if isinstance(signal.of, str):
        return signal
    first, second = ("ground" if end == ground else end for end in signal.of)
    return replace(signal, of=(first, second))


def _names(question: Question, answers: Mapping[str, Answer]) -> Iterator[Named]:
    """Elements first; then the earlier items, nearest first; a name taken is not given again.

    Letter case tells names apart where the circuit has both, as a resistor R and a coil's own r, and nowhere else.
    """
    taken: set[str] = set()
    of_the_circuit = {*question.problem.symbols}
    kind = asked(question.item.find).kind(question.problem, question.item)
    operators = (OPERATOR, QUANTITY) if kind == EQUATION else ()
    for name in (
        *(Named(name=letter, dimension=None, value=TIME_ITSELF) for letter in operators),
        *(Named(name=name, dimension=own, value=value) for name, own, value in asked(question.item.find).letters),
        *_elements(question),
        *_earlier(question, answers),
        *_instants(question),
    ):
        key = name.name.replace("_", "").lower()
        if key not in taken or name.name in of_the_circuit:
            taken.add(key)
            of_the_circuit.discard(name.name)
            yield name


def _elements(question: Question) -> Iterator[Named]:
    """The circuit's elements by name, the symbols of their values, and R, L or C where there is only one."""
    problem = question.problem
    if problem.circuit is None or question.response is None:
        return
    unknown = {name for name, text in problem.values if text == UNKNOWN}  # these are the student's own
    found = [
        Named(name=name, dimension=dimension, value=value)
        for name, value, dimension in element_values(
            problem.circuit, question.index_asked - (question.item.find == Find.JUST_BEFORE)
        )
        if name not in unknown
    ]
    yield from found
    for symbol in problem.symbols:
        own = Symbolic.symbol(symbol, problem.symbols)
        places = [dimension for value, dimension in _places(problem.circuit) if value and not is_symbolic(value / own)]
        yield Named(name=symbol, dimension=places[0] if places else None, value=constant(own))
    for letter, dimension in (("R", RESISTANCE), ("L", INDUCTANCE), ("C", CAPACITANCE)):
        of_kind = [one for one in found if one.dimension == dimension]
        if len(of_kind) == 1:
            yield Named(name=letter, dimension=dimension, value=of_kind[0].value)


def _places(circuit: Circuit) -> Iterator[tuple[Scalar, Dimension]]:
    """Every value that an element holds and what its place makes of it: a letter there carries that unit."""
    for element in circuit.elements:
        if isinstance(element, Passive):
            yield element.value, element.dimension
        if isinstance(element, Storage) and element.initial is not None:
            yield element.initial, element.state_dimension
        if isinstance(element, Source):
            for term in (term for _, drive in element.drive.pieces for term in drive.terms):
                yield term.cosine, reduce(lambda of, _: of.over(TIME), range(term.power), element.dimension)


def _earlier(question: Question, answers: Mapping[str, Answer]) -> Iterator[Named]:
    """The answers to earlier items: first those about the same signal, then the nearest; functions of t where one is asked."""
    varies = asked(question.item.find).kind(question.problem, question.item) == EXPRESSION
    before = sorted(question.earlier(*FINDS), key=lambda item: not question.about(item))
    for item in before:
        value = answers.get(item.id)
        if not isinstance(value, Waveform) or not (value.is_constant or varies):
            continue
        entry = asked(item.find)
        for name in _named(question, item, value):
            if not (_is_bare(name) and _is_other(question, item)):
                yield Named(name=name, dimension=entry.dimension(question.problem, item), value=value, item=item.id)


def _named(question: Question, item: Item, value: Waveform) -> Iterator[str]:
    """What an earlier answer may be called: what cannot jump the initial value, too; ``vo(∞)``, the item asked being vo; ``iL``."""
    names = asked(item.find).names(item)
    if names and item.find == Find.JUST_BEFORE and item.signal is not None:
        starts = [interval.start for interval in question.solved.intervals]
        index = starts.index(item.after) if item.after else 1
        if is_own_quantity(question.circuit, item.signal) and question.solved.just_after(item.signal, index) == value:
            names = (*names, *asked(Find.INITIAL).names(item))
    if not value.is_constant and item.signal != question.item.signal:
        names = (*names, *stems(item.signal)[:-1])
    yield from names
    if " " not in item.id and len(item.id) > 1:
        yield item.id
    if question.about(item) == 1:
        yield from dict.fromkeys(f"{question.item.id}{name[name.index('(') :]}" for name in names if "(" in name)


def _instants(question: Question) -> Iterator[Named]:
    """Where a later switching stands before the interval asked: t0 is that instant, t1, t2, … those after t = 0 in order."""
    if question.response is None or not question.start:
        return
    later = [start for interval in question.solved.intervals if (start := interval.start) is not None and start > 0]
    for name, start in (("t0", question.start), *((f"t{number}", start) for number, start in enumerate(later, 1))):
        yield Named(name=name, dimension=TIME, value=constant(start))


def _is_bare(name: str) -> bool:
    """Whether a signal's name says nothing of its element: ``i(0)``, ``v_0``."""
    return re.fullmatch(r"[a-z](\(.*\)|_0)", name) is not None


def _is_other(question: Question, item: Item) -> bool:
    """Whether an item's signal is of the kind asked, but another: ``i(0)`` then means the one asked."""
    one, other = item.signal, question.item.signal
    return one is not None and other is not None and one.kind == other.kind and question.about(item) != 1
