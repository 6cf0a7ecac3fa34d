"""A right value of which its own line says that it is something else: a person looks.

The mirror of what `grader.marking.verdict` asks where an answer is wrong.
"""

from collections.abc import Iterable, Iterator
from string import ascii_letters
from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.marking import own_clock
from grader.marking.against import judge_answer
from grader.marking.following import Verdict
from grader.marking.interpretation import Interpretation
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size
from grader.marking.key import Key
from grader.marking.labels import asked_item, values_at, values_named, values_of
from grader.quantities import Answer
from grader.quantities.finding import Find
from grader.quantities.records import EQUATION, EXPRESSION, RESPONSE, TRANSFORM, VALUE, read_as
from grader.reading.line.chain import FAR
from grader.reading.line.fit import NAMES_ASKED, naming
from grader.reading.line.said_of import QUANTITIES
from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.render.typeset import tree_text
from grader.reading.tokens import Question, question_of
from grader.reading.tokens.vocabulary import FUNCTIONS, GREEK_NAMES, UNIT_LETTERS, normalized_name
from grader.reading.tree import (
    Call,
    Name,
    Node,
    Number,
    Parallel,
    Pieces,
    Power,
    Product,
    Quotient,
    Sum,
    Time,
    UnitSymbol,
    WithUnit,
    walk,
)
from grader.reading.value.evaluate import Quantity, evaluate
from grader.regex import regex
from grader.values.comparison import close
from grader.values.laplace import VARIABLE
from grader.values.scalar import ONE, ZERO, rational
from grader.values.waveform import Waveform, constant, number_of

NEAR = 10**FAR - 1
"""How near a side of an equal sign must come to the value: rounding to two figures is no contradiction."""
LONG = fmpq(10) ** 9
"""Seconds after which nothing goes on."""


_HEARD = (VALUE, EXPRESSION, RESPONSE, EQUATION, TRANSFORM)


class _Asked(NamedTuple):
    """A right answer with all that its line may be held against."""

    key: Key
    item: ItemKey
    taken: Interpretation
    question: Question
    own: Answer
    """In SI base units."""
    elsewhere: Iterable[Interpretation]


def heard(key: Key, item: ItemKey, verdict: Verdict, elsewhere: Iterable[Interpretation]) -> Verdict:
    """The verdict; one on a right value waits for a person, who is told why, where its line says that it is something else.

    ``elsewhere`` is what else stands in the line.
    """
    taken, reference = verdict.taken, item.reference
    if verdict.judgement.size is not Size.RIGHT or taken.contested or reference.kind not in _HEARD:
        return verdict
    question = question_of(read_as(reference.kind), reference.dimension, tuple(item.names.items()), reference.called)
    asked = _Asked(key, item, taken, question, taken.meant(verdict.judgement.meant), elsewhere)
    said = next(filter(None, (witness(asked) for witness in _WITNESSES)), "")
    return replace(verdict, taken=replace(taken, contested=True, notes=(*taken.notes, said))) if said else verdict


def _label(asked: _Asked) -> str:
    """``v(0-) = 6 V`` where the final value is asked; not ``i_R1 = 4 mA = i_C``."""
    reading = asked.taken.reading
    names = [side if isinstance(side, str) else side.name for side in reading.sides if isinstance(side, (str, Name))]
    if any(naming(name, asked.question) == NAMES_ASKED for name in names):
        return ""
    return next(filter(None, (_of_another(asked, name) for name in (*names[:1], reading.letter) if name)), "")


def _of_another(asked: _Asked, label: str) -> str:
    """What is said of a label that names another quantity of the circuit, of another value; its sign is the student's direction."""
    question = asked.question
    if question.called and (function := _FUNCTION.fullmatch(label)):
        of = function["of"]
        of_it = not of or naming(of, question) == NAMES_ASKED or bool(_by_its_letter(asked, {of}))
        return f"'{label}' is another function than the one asked." if of_it else ""
    if not question.called and asked.item.reference.kind not in (EQUATION, TRANSFORM):
        return ""
    values, tolerance = [*values_named(asked.key, asked.item, label)], asked.item.marking.tolerance
    if not values or any(_alike(asked, value, tolerance) for value in values):
        return ""
    return f"'{label}' is another quantity than the one asked, and has another value."


_FUNCTION = regex(
    rf"d\s?\w+\s?/\s?dt\b.*|(?!t\b)\w+['′](?:\(t\))?|\w+\([0-9.]+\s?t\)|(?:{'|'.join(FUNCTIONS)})(?:\((?P<of>.*)\)|\s+\w+)"
)
"""``dv/dt``, ``v(2t)``, ``sqrt(tau)``"""


def _sides(asked: _Asked) -> str:
    """``1/tau = 4 ms``, ``R1 + R2 = 20 ohm``: another side of an equal sign that comes to something else."""
    own = asked.own
    shifted = any(note.startswith(own_clock.COUNTED) for note in asked.taken.notes)  # t - 15 ms = 12 ms
    formulas = (side for side in asked.taken.reading.sides if not (shifted or isinstance(side, (str, Name, Time))))
    return next(filter(None, (_worked_out(asked, side, own) for side in formulas if isinstance(own, Waveform))), "")


def _worked_out(asked: _Asked, side: Node, own: Waveform) -> str:
    """What is said of a formula that does not come to the answer, the quantity asked being that."""
    nodes = walk(side)
    names, itself = _names(asked, nodes)
    in_t = any(isinstance(node, Time) for node in nodes)
    of_itself = bool(itself) or (in_t and "t" in asked.question.called)
    of_the_circuit = bool(names) and not in_t
    second = _second_letters(asked, nodes)
    if not (of_itself or of_the_circuit) or _is_ambiguous(nodes, second):
        return ""
    values = {name: value for name in names - itself if (value := _value(asked, name)) is not None}
    values |= dict.fromkeys(second, constant(ONE))
    try:
        found = evaluate(side, {**values, **dict.fromkeys(itself, own)}, asked.item.reference.start or ZERO)
        value = found.waveform.at(number_of(own)) if in_t and not itself else found.waveform
    except (ValueError, TypeError, ZeroDivisionError):
        return _DIFFERS.format(tree_text(side)) if of_itself else ""
    if not of_itself and (not found.consistent or _is_of_another_kind(side, found, asked)):
        return ""
    return "" if _alike(asked, value, NEAR) else _DIFFERS.format(tree_text(side))


def _functions(asked: _Asked) -> str:
    """``1/H = …``, ``V_s/V_C = …``, ``Y = …``: a function of what is asked, or the symbol of another one, where it is a function of s."""
    reading, find = asked.taken.reading, asked.item.reference.find
    if asked.item.reference.kind not in (TRANSFORM, EXPRESSION):
        return ""
    signal = asked.item.signal if find != "transfer function" else None
    letters = {"voltage": "VvUu", "current": "Ii"}.get(signal.kind, "") if signal else ascii_letters
    for side in reading.sides:
        if isinstance(side, str):
            if normalized_name(side).removesuffix("(s)") in _OTHERS_IN_S.get(find, ()):
                return _OF_ANOTHER_NAME.format(side)
        elif _is_of_one_letter(side, letters) or _is_turned_over(asked, side):
            return f"'{tree_text(side)}', which stands left of the equal sign, is another function than the one asked."
    return ""


_OTHERS_IN_S = {"impedance": ("y", "h"), "transfer function": ("y", "z")}


def _is_of_one_letter(side: Node, letters: str) -> bool:
    """``1/H``, ``H²``, ``s·H(s)``: what is asked by its letter, that is no number's unit, and what is done to it."""
    nodes = [node for node in walk(side) if not isinstance(node, (Number, Time)) and not _is_s(node)]
    found = [node for node in nodes if isinstance(node, (Name, UnitSymbol))]
    if len(found) != 1 or side is found[0] or _letter(found[0])[:1] not in letters:
        return False
    if not all(isinstance(node, (Quotient, Power, Product)) or node is found[0] for node in nodes):
        return False
    powers = any(isinstance(node, (Quotient, Power)) for node in nodes)
    return powers or (
        isinstance(side, Product) and (_is_s(side.left) or sum(map(_is_s, walk(side))) > 1)
    )  # once in H(s)


def _letter(node: Node) -> str:
    """What a letter that is no known name stands for; some read as units: ``1/V``."""
    return (
        node.symbol
        if isinstance(node, UnitSymbol)
        else node.name
        if isinstance(node, Name) and node.dimension is None
        else ""
    )


def _is_s(node: Node) -> bool:
    return isinstance(node, Name) and node.name == VARIABLE


def _is_turned_over(asked: _Asked, side: Node) -> bool:
    """``V_s/V_C`` for the transfer function from the source, ``I/V`` for an impedance."""
    if not isinstance(side, Quotient) or asked.item.reference.kind != TRANSFORM:
        return False
    above, below = ({node.name for node in walk(one) if isinstance(node, Name)} - {VARIABLE} for one in side[:2])
    driven = {*asked_item(asked.key, asked.item).of}
    if driven & above and not driven & below:
        return bool(below)
    top, bottom = ("".join(_letter(node)[:1] for node in walk(one) if not _is_s(node)) for one in side[:2])
    return asked.item.reference.find == "impedance" and bool(_CURRENT.fullmatch(top) and _VOLTAGE.fullmatch(bottom))


_CURRENT, _VOLTAGE = regex("[Ii]"), regex("[VvUu]")


def _names(asked: _Asked, nodes: list[Node]) -> tuple[set[str], set[str]]:
    """The names of a formula, and those of them that stand for what is asked; an element's stands for the element."""
    names = {node.name for node in nodes if isinstance(node, Name)}
    own = names - _given(asked.item)
    itself = {name for name in own if naming(name, asked.question) == NAMES_ASKED}
    return names, itself or _by_its_letter(asked, own)


def _by_its_letter(asked: _Asked, names: set[str]) -> set[str]:
    """The one name that nobody knows, where it is the letter of what is asked: ``R`` of a resistance seen, ``W`` of an energy."""
    unknown = {name for name in names if name not in asked.item.values}
    letters = {one[:1].lower() for one in asked.question.called}
    return unknown if len(unknown) == 1 and {*map(str.lower, unknown)} <= letters else set()


def _second_letters(asked: _Asked, nodes: list[Node]) -> set[str]:
    """The names that are no more than the second letter of what is asked: the L of ``vL/2``."""
    pairs = [(node.left, node.right) for node in nodes if isinstance(node, Product)]
    return {
        second.name
        for first, second in pairs
        if isinstance(first, Name) and isinstance(second, Name) and normalized_name(first.name + second.name) in asked.question.called
    }  # fmt: skip


def _given(item: ItemKey) -> set[str]:
    """What the circuit has values of: its elements."""
    return {*item.values} - {*dict(item.carries)}


_OF_ANOTHER_NAME = "'{}' is another quantity than the one asked."
_DIFFERS = "'{}', which stands beside an equal sign, is not what it is said to be equal to."


def _value(asked: _Asked, name: str) -> Waveform | None:
    """The value of a name that stands for one thing only: an element, a symbol, the signal asked at another instant."""
    item = asked.item
    value = item.values.get(name)
    if value is not None and name not in dict(item.carries):
        one_of_several = any(other[:1] == name != other and value == item.values[other] for other in item.values)
        return None if one_of_several else value  # R for R1 may be any resistance
    stem, *instant = normalized_name(name).split("(")
    if stem not in (asked.question.called if instant else (*GREEK_NAMES, "w_0", "w_d", "w0", "wd")):
        return None
    found = [*values_named(asked.key, item, name)]
    return found[0] if len(found) == 1 and isinstance(found[0], Waveform) else None


def _is_ambiguous(nodes: list[Node], second: set[str]) -> bool:
    """Whether a formula can be meant in two ways: ``1/√LC``, ``R/3R I0``, ``R1 || R2 + R3``, ``iR1 - iR2``, ``v(0.02)``, ``3 C``."""
    products = [node for node in nodes if isinstance(node, Product) and getattr(node.right, "name", "") not in second]
    fractions = any(isinstance(node.left, (Quotient, Call)) for node in products)
    return fractions or any(map(_is_spelled, products)) or any(isinstance(node, Parallel) for node in nodes[1:])


_VALUE = (Number, UnitSymbol, Product, WithUnit)


def _is_spelled(product: Product) -> bool:
    """Whether letters of one name were multiplied, or a name and what stands behind it; or a number and its unit."""
    before, behind = product.left.right if isinstance(product.left, Product) else product.left, product.right
    if isinstance(before, Name) and isinstance(behind, Name):
        return before.dimension is None or behind.dimension is None
    if isinstance(before, (Name, Time)):
        return isinstance(behind, (Name, Time)) or all(isinstance(node, _VALUE) for node in walk(behind))
    return isinstance(behind, Name) and behind.name in UNIT_LETTERS


def _is_of_another_kind(side: Node, found: Quantity, asked: _Asked) -> bool:
    """``with R1 + R2: 7.5 ms``, ``after 2 tau: 3 A``: what is of another kind, and no formula turned upside down, stands there in words."""
    words = isinstance(side, (Sum, Parallel)) or any(isinstance(node, Number) for node in walk(side))
    return not isinstance(side, Quotient) and words and found.dimension != asked.item.reference.dimension


def _range(asked: _Asked) -> str:
    """``… V for t < 0``: a range of t that is not the one asked."""
    reference, reading = asked.item.reference, asked.taken.reading
    pieces = any(isinstance(node, Pieces) for node in walk(reading.tree))
    if reference.kind not in (EXPRESSION, VALUE) or reference.find == Find.JUST_BEFORE or not pieces:
        return ""
    start = reference.start or ZERO
    late = LONG if reference.end is None else reference.end - (reference.end - start) / 32
    try:
        silent = [evaluate(reading.tree, asked.item.values, instant).silent for instant in (start, late)]
    except (ValueError, ZeroDivisionError):
        return ""
    elsewhere = any(silent) if reference.kind == EXPRESSION else all(silent)
    if not elsewhere or (reading.origin and start):
        return ""
    return "The range of t beside it is not the one asked."


def _pieces(asked: _Asked) -> str:
    """``0 < t < 1 s: P; 0 < t < 1 s: Q``, ``t < 0: 5 A`` where it was 2 A."""
    if asked.taken.told_twice:
        return "Two pieces are given for the same time."
    item, tree = asked.item, _read(asked, asked.taken.before)
    try:
        said = evaluate(tree, item.values).waveform.at(ZERO) if tree is not None else None
    except (ValueError, TypeError, ZeroDivisionError):
        return ""
    held = values_of(asked.key, item, Find.JUST_BEFORE) if said is not None else ()
    wrong = any(said and isinstance(one, Waveform) and not _is_close(said, one, item) for one in held)
    return "What it says of the time before is not so." if wrong else ""


def _read(asked: _Asked, text: str) -> Node | None:
    """What a text says of a quantity of the kind asked."""
    found = read(text, dimension=asked.item.reference.dimension, names=asked.item.names)
    return None if isinstance(found, Refusal) else found[0].tree


def _is_close(said: Waveform, held: Waveform, item: ItemKey) -> bool:
    if said.is_symbolic or held.is_symbolic:
        return said == held
    return close(said.value(), held.value(), item.marking.tolerance, item.reference.scale)


def _words(asked: _Asked) -> str:
    """``6 V before switching``, ``6 V across R2``, ``half life 4 ms``, ``6 V at 20 ms``: words that say it to be of something else."""
    return next((_OF_ANOTHER.format(kind) for kind, told in _told(asked) if told and not any(told)), "")


def _told(asked: _Asked) -> Iterator[tuple[str, list[bool]]]:
    """What kinds of things words beside a value say it to be of, and of which of them it has the value."""
    key, item, said = asked.key, asked.item, asked.taken.reading.of
    tolerance = item.marking.tolerance
    instants = [rational(one.removeprefix("t=")) for one in sorted(said) if one.startswith("t=")]
    if item.reference.start not in instants or item.reference.find not in (Find.JUST_BEFORE, Find.INITIAL):
        yield "instant", [_alike(asked, one, tolerance) for at in instants for one in values_at(key, item, at)]
    of_a_signal = item.reference.find in (Find.JUST_BEFORE, Find.INITIAL, Find.FINAL)
    finds = [find for one in sorted(said) for find in _FINDS.get(one, ()) if of_a_signal]
    yield "instant", [_alike(asked, one, tolerance) for find in finds for one in values_of(key, item, find)]
    yield "time", [_ends_at(item, rational(one.removeprefix("until="))) for one in said if one.startswith("until=")]
    elements = sorted(said & _given(item))
    if item.reference.find == Find.STORED:
        yield "element", [name in asked_item(key, item).of for name in elements]
    elif item.signal is not None:
        yield "element", [_alike(asked, one, tolerance) for name in elements for one in values_named(key, item, name)]
    quantities = said.intersection(QUANTITIES) - _FINDS.keys() - {item.reference.find}
    yield "quantity", [False for _ in quantities]


def _ends_at(item: ItemKey, instant: fmpq) -> bool:
    """Whether the interval asked ends there, on the problem's clock or on one from its start; what is asked of no interval does."""
    start, end = item.reference.start or ZERO, item.reference.end
    if item.reference.find not in (Find.FINAL, Find.EXPRESSION):
        return True
    return end is not None and any(abs(instant - one) * 50 <= one for one in (end, end - start))


_OF_ANOTHER = "The words beside it speak of another {} than the one asked."
_FINDS = {
    "before": (Find.JUST_BEFORE,),
    **dict.fromkeys(("at first", "initial value"), (Find.INITIAL,)),
    **dict.fromkeys(("at last", "final value"), (Find.FINAL,)),
    "steady state": (Find.JUST_BEFORE, Find.FINAL),
}


def _several(asked: _Asked) -> str:
    """``10 V? 6 V?``, where several answers earn nothing: a value beside it, unless it is given or of the same signal at another instant."""
    key, item = asked.key, asked.item
    if item.marking.several_answers != "none":
        return ""
    others = [one for one in asked.elsewhere if one.reading.unit and one.dimension == item.reference.dimension]
    known = [value for finds in _FINDS.values() for find in finds for value in values_of(key, item, find)]
    known += [item.values[name] for name in _given(item)]
    claimed = (one for one in others if not any(_agrees(item, one, value) for value in (item.reference.answer, *known)))
    return "There is another value beside it, and no more than one may be given." if any(claimed) else ""


def _agrees(item: ItemKey, taken: Interpretation, value: Answer) -> bool:
    return judge_answer(item, taken, value, item.marking.tolerance).size in (Size.RIGHT, Size.SIGN)


_WITNESSES = (_label, _sides, _functions, _range, _pieces, _words, _several)


def _alike(asked: _Asked, value: Answer, tolerance: float) -> bool:
    """Whether the answer is this value, its direction being the student's own."""
    return judge_answer(asked.item, asked.taken, value, tolerance).size in (Size.RIGHT, Size.SIGN)
