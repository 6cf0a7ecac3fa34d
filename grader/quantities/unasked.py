"""How an answer follows by way of what nobody asked: heat from an initial current, through the energy it stored.

Whoever works such a step in the head starts from their own answers all the same.
"""

from collections.abc import Callable, Iterator
from itertools import chain, product
from typing import TypeAlias

from msgspec.structs import replace

from grader.circuit.elements import Resistor, Signal, Source, Storage, own_signal
from grader.errors import CircuitError, NotDefined
from grader.problem import Item
from grader.quantities.accumulated import CHARGE, ENERGIES
from grader.quantities.catalogue import asked
from grader.quantities.finding import Find
from grader.quantities.links import CURRENT_AND_VOLTAGE
from grader.quantities.question import Question
from grader.quantities.records import EQUATION, TRANSFORM
from grader.quantities.rules import SEVERAL_STEPS, Answer, Rule
from grader.quantities.s_domain import FUNCTION
from grader.quantities.stretches import parts_asked
from grader.values.waveform import Waveform

IsSound: TypeAlias = Callable[[Rule, Question], bool]
"""Whether a rule leads from the right earlier answers to the right one of a question, and from others to others."""


def by_way_of_unasked(question: Question, is_sound: IsSound) -> Iterator[Rule]:
    """The rules that a question has if quantities in between had been asked, each of these worked out from what was.

    A power or an energy may lie two steps off: the current of its resistor comes before it; so may an equation, from a resistance.
    """
    item = question.item
    electrical = item.signal is not None and item.signal.kind in CURRENT_AND_VOLTAGE
    one_step = electrical and asked(item.find).answers != EQUATION and item.find != CHARGE
    finds = {one.id: one.find for one in question.problem.items}
    for rule in _by_way(question, is_sound, 1 if one_step else 2):
        if item.find != Find.INITIAL or any(finds[id] != Find.TAU for id in rule.items):
            yield rule  # nobody works out where something begins from tau alone


def _by_way(question: Question, is_sound: IsSound, steps: int) -> Iterator[Rule]:
    earlier = tuple(question.earlier(*_every_find(question)))[::-1]
    if not earlier:
        return
    between = {item.id: item for item in _in_between(question)}
    problem = replace(question.problem, items=(*between.values(), *earlier, question.item))
    ways: dict[str, tuple[Rule | Answer, ...]] = {}
    for rule in asked(question.item.find).rules(replace(question, problem=problem)):
        unasked = [(name, id) for name, id in rule.uses if id in between]
        for _, id in unasked:
            if id not in ways:
                ways[id] = tuple(_worked_out(question, earlier, between[id], is_sound, steps - 1))
        uses = tuple((name, id) for name, id in rule.uses if id not in between)
        for taken in product(*(ways[id] for _, id in unasked)):
            named = [(name, way) for (name, _), way in zip(unasked, taken, strict=True)]
            through = tuple((name, way) for name, way in named if isinstance(way, Rule))
            given = tuple((name, way) for name, way in named if isinstance(way, Waveform))
            if through and len(through) + len(given) == len(unasked):
                yield replace(
                    rule, uses=uses, given=(*rule.given, *given), through=(*rule.through, *through), says=SEVERAL_STEPS
                )


def _every_find(question: Question) -> set[str]:
    return {item.find for item in question.problem.items}


def _worked_out(
    question: Question, earlier: tuple[Item, ...], item: Item, is_sound: IsSound, steps: int
) -> Iterator[Rule | Answer]:
    """How a quantity in between follows from earlier items, each set of them once, and its value; nothing where it has none."""
    here = replace(question, problem=replace(question.problem, items=(*earlier, item)), item=item)
    try:
        right: Answer = here.answer_to(item)
    except (NotDefined, CircuitError):
        return
    known: set[tuple[str, ...]] = set()
    for rule in chain(asked(item.find).rules(here), _by_way(here, is_sound, steps) if steps else ()):
        if rule.items not in known and is_sound(rule, here):
            if not rule.aside:
                known.add(rule.items)
            yield rule
    yield right


_IN_S = {Find.POLES, Find.POLYNOMIAL, FUNCTION}
"""What tells the roots."""


def _in_between(question: Question) -> Iterator[Item]:
    """What a response is made of: of the signal asked and of every state its start, end and expression, what is stored; the roots."""
    item, intervals = question.item, question.solved.intervals
    instant = item.start if item.at is None else item.at
    index = question.index if instant is None else question.index_at(instant)
    if index == 0:
        return
    bare = Item(id="", find="", points=0.0, after=intervals[index].start)
    roots = (
        (Find.ROOTS, Find.POLYNOMIAL) if _IN_S & _every_find(question) else ()
    )  # else the entries have rules of their own
    of_equation = (Find.POLYNOMIAL, Find.TAU) if asked(item.find).answers == EQUATION else ()
    found = [replace(bare, find=find) for find in dict.fromkeys((*roots, *of_equation))]
    in_s = (TRANSFORM,) if asked(item.find).answers == TRANSFORM else ()
    before = (Find.JUST_BEFORE,) if item.find == Find.JUST_BEFORE else ()
    for signal in _signals(question):
        finds = (
            (*before, Find.INITIAL, Find.FINAL, Find.EXPRESSION, *in_s)
            if signal.kind in CURRENT_AND_VOLTAGE
            else (Find.EXPRESSION,)
        )
        found += [replace(bare, find=find, signal=signal) for find in finds]
        if index > 1:
            found.append(replace(bare, find=Find.EXPRESSION, signal=signal, after=intervals[index - 1].start))
    found += _spanned(question)
    storing = [element for element in question.circuit.elements if isinstance(element, Storage)]
    found += [replace(bare, find="stored energy", of=(one.name,), at=intervals[index].start) for one in storing]
    for number, one in enumerate(found):
        if (one.find, one.signal, one.after) != (item.find, item.signal, item.after):
            yield replace(one, id=f"{one.find} {number}, not asked {item.id}")


def _spanned(question: Question) -> Iterator[Item]:
    """Where a stretch of time spans several intervals: what is summed on each, or the signal's expression there."""
    item = question.item
    if item.find in (CHARGE, *ENERGIES):
        yield from parts_asked(question)
        return
    parts = list(question.parts_of(*question.stretch()))
    for index, _, _ in parts if len(parts) > 1 else ():
        opening = question.solved.intervals[index].start
        if opening is not None and item.signal is not None:
            yield Item(id="", find=Find.EXPRESSION, points=0.0, signal=item.signal, after=opening)


def _signals(question: Question) -> Iterator[Signal]:
    """The signal asked, the current of every resistor and the power of every source named, and what the storage elements hold."""
    item, seen = question.item, set()
    elements = question.circuit.elements
    names = (*item.of, *((item.signal.of,) if item.signal is not None and isinstance(item.signal.of, str) else ()))
    named = [element for element in elements if element.name in names]
    resistors = (Signal(kind="current", of=one.name) for one in named if isinstance(one, Resistor))
    sources = (
        Signal(kind=kind, of=one.name)
        for one in named
        if isinstance(one, Source)
        for kind in ("power", *CURRENT_AND_VOLTAGE)
    )
    states = (own_signal(element) for element in elements if isinstance(element, Storage))
    asked_for = () if item.signal is None else (item.signal,)
    for signal in (*asked_for, *resistors, *sources, *states):
        if signal not in seen:
            seen.add(signal)
            yield signal
