"""What a student may use in an answer, and what the answer may be called."""

import re
from collections.abc import Iterator, Mapping
from functools import reduce

from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import Circuit, Passive, Signal, Source, Storage
from grader.problem import Item
from grader.quantities import FINDS, Answer, asked
from grader.quantities.design import UNKNOWN
from grader.quantities.finding import Find
from grader.quantities.links import is_own_quantity
from grader.quantities.names import element_values
from grader.quantities.question import Question
from grader.quantities.records import EQUATION, EXPRESSION
from grader.quantities.words import LETTERS, stems
from grader.reading.text.operators import OPERATOR, QUANTITY
from grader.values.dimension import CAPACITANCE, ENERGY, INDUCTANCE, RESISTANCE, SYMBOLS, TIME, Dimension
from grader.values.scalar import Scalar, is_symbolic, to_float
from grader.values.symbolic import Symbolic
from grader.values.waveform import TIME as TIME_ITSELF
from grader.values.waveform import Waveform, constant


class Named(Struct, frozen=True, kw_only=True):
    """What a student may write in an answer: an element's value, or the answer to an earlier item.

    ``value`` is the right one; where ``item`` is set, the student's own answer to that item goes before it.
    """

    name: str
    dimension: Dimension | None
    value: Waveform
    item: str | None = None


def called(question: Question, dimension: Dimension | None) -> tuple[str, ...]:
    """What the quantity asked may be called: by its own symbol, or as the signal that it is a value of."""
    item, signal = question.item, question.item.signal
    own = asked(item.find).names(item)
    if item.find == "time constant" and question.response is not None:
        own = (*own, f"tau{question.index_asked}")  # tau2 = 5 ms, of the second interval
    if signal is not None and dimension == signal.dimension:
        return (*own, *stems(signal), *_between_ends(question, signal))
    return own or (_energy_of(item) if dimension == ENERGY else _instant_of(item) if dimension == TIME else ())


def _between_ends(question: Question, signal: Signal) -> tuple[str, ...]:
    """The signal by its nodes: ``v_ab`` of what lies from a to b, ``v_a`` and ``v_a0`` where b is ground."""
    circuit = question.problem.circuit
    if circuit is None:
        return ()
    between = [one.terminals() for one in circuit.elements if one.name == signal.of]
    ends = (replace(signal, of=between[0]),) if between and len(between[0]) == 2 else ()
    to_ground = not isinstance(signal.of, str) and signal.of[1] == circuit.ground
    others = (*ends, *((replace(signal, of=signal.of[0]),) if to_ground else ()))
    others += tuple(_from_or_to_ground(one, circuit.ground) for one in (signal, *ends))
    return tuple(name for one in others for name in stems(one))


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


def names(question: Question, answers: Mapping[str, Answer]) -> Iterator[Named]:
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
