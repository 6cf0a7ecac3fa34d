"""A right value of which its own line says that it is something else: a person looks.

The mirror of what `grader.marking.verdict` asks where an answer is wrong.
"""

from typing import NamedTuple

from flint import fmpq
from msgspec.structs import replace

from grader.marking.against import judge_answer
from grader.marking.following import Verdict
from grader.marking.interpretation import Interpretation
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size
from grader.marking.key import Key
from grader.marking.labels import value_of, values_named
from grader.quantities import Answer
from grader.quantities.finding import Find
from grader.quantities.records import EQUATION, EXPRESSION, RESPONSE, TRANSFORM, VALUE, read_as
from grader.reading.line.chain import FAR
from grader.reading.line.fit import NAMES_ASKED, naming
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
from grader.values.scalar import ZERO
from grader.values.waveform import Waveform, number_of

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


def heard(key: Key, item: ItemKey, verdict: Verdict) -> Verdict:
    """The verdict; one on a right value waits for a person, who is told why, where its line says that it is something else."""
    taken, reference = verdict.taken, item.reference
    if verdict.judgement.size is not Size.RIGHT or taken.contested or reference.kind not in _HEARD:
        return verdict
    question = question_of(read_as(reference.kind), reference.dimension, tuple(item.names.items()), reference.called)
    asked = _Asked(key, item, taken, question, taken.meant(verdict.judgement.meant))
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
        of_it = not of or naming(of, question) == NAMES_ASKED
        return f"'{label}' is another function than the one asked." if of_it else ""
    if not question.called and asked.item.reference.kind not in (EQUATION, TRANSFORM):
        return ""
    values, tolerance = [*values_named(asked.key, asked.item, label)], asked.item.marking.tolerance
    if not values or any(_alike(asked, value, tolerance) for value in values):
        return ""
    return f"'{label}' is another quantity than the one asked, and has another value."


_FUNCTION = regex(rf"d\s?\w+\s?/\s?dt\b.*|\w+\([0-9.]+\s?t\)|(?:{'|'.join(FUNCTIONS)})\((?P<of>.*)\)")
"""``dv/dt``, ``v(2t)``, ``sqrt(tau)``"""


def _sides(asked: _Asked) -> str:
    """``1/tau = 4 ms``, ``R1 + R2 = 20 ohm``: another side of an equal sign that comes to something else."""
    own = asked.own
    formulas = (side for side in asked.taken.reading.sides if not isinstance(side, (str, Name, Time)))
    return next(filter(None, (_worked_out(asked, side, own) for side in formulas if isinstance(own, Waveform))), "")


def _worked_out(asked: _Asked, side: Node, own: Waveform) -> str:
    """What is said of a formula that does not come to the answer, the quantity asked being that."""
    nodes = walk(side)
    names, itself = _names(asked, nodes)
    in_t = any(isinstance(node, Time) for node in nodes)
    of_itself = bool(itself) or (in_t and "t" in asked.question.called)
    of_the_circuit = bool(names) and not in_t
    if not (of_itself or of_the_circuit) or _is_ambiguous(nodes):
        return ""
    values = {name: value for name in names - itself if (value := _value(asked, name)) is not None}
    try:
        found = evaluate(side, {**values, **dict.fromkeys(itself, own)}, asked.item.reference.start or ZERO)
        value = found.waveform.at(number_of(own)) if in_t and not itself else found.waveform
    except (ValueError, TypeError, ZeroDivisionError):
        return _DIFFERS.format(tree_text(side)) if of_itself else ""
    if not of_itself and (not found.consistent or _is_of_another_kind(side, found, asked)):
        return ""
    return "" if _alike(asked, value, NEAR) else _DIFFERS.format(tree_text(side))


def _names(asked: _Asked, nodes: list[Node]) -> tuple[set[str], set[str]]:
    """The names of a formula, and those of them that stand for what is asked; an element's stands for the element."""
    names = {node.name for node in nodes if isinstance(node, Name)}
    elements = {*asked.item.values} - {*dict(asked.item.carries)}
    return names, {name for name in names - elements if naming(name, asked.question) == NAMES_ASKED}


_DIFFERS = "'{}', which stands beside an equal sign, is not what it is said to be equal to."


def _value(asked: _Asked, name: str) -> Waveform | None:
    """The value of a name that stands for one thing only: an element, a symbol, the signal asked at another instant."""
    item = asked.item
    value = item.values.get(name)
    if value is not None and name not in dict(item.carries):
        one_of_several = any(other[:1] == name != other and value == item.values[other] for other in item.values)
        return None if one_of_several else value  # R for R1 may be any resistance
    stem, *instant = normalized_name(name).split("(")
    if stem not in (asked.question.called if instant else GREEK_NAMES):
        return None
    found = [*values_named(asked.key, item, name)]
    return found[0] if len(found) == 1 and isinstance(found[0], Waveform) else None


def _is_ambiguous(nodes: list[Node]) -> bool:
    """Whether a formula can be meant in two ways: ``1/√LC``, ``R/3R I0``, ``R1 || R2 + R3``, ``iR1 - iR2``, ``v(0.02)``, ``3 C``."""
    products = [node for node in nodes if isinstance(node, Product)]
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
    if reference.kind != EXPRESSION or not any(isinstance(node, Pieces) for node in walk(reading.tree)):
        return ""
    start = reference.start or ZERO
    late = LONG if reference.end is None else reference.end - (reference.end - start) / 32
    try:
        silent = [evaluate(reading.tree, asked.item.values, instant).silent for instant in (start, late)]
    except (ValueError, ZeroDivisionError):
        return ""
    if not any(silent) or (reading.origin and start):
        return ""
    return "The range of t beside it is not the one asked."


def _pieces(asked: _Asked) -> str:
    """``0 < t < 1 s: P; 0 < t < 1 s: Q``."""
    return "Two pieces are given for the same time." if asked.taken.told_twice else ""


def _instants(asked: _Asked) -> str:
    """``6 V before switching`` where the final value is asked, and is another."""
    told = asked.taken.reading.instants
    values = [value_of(asked.key, asked.item, _FINDS[instant]) for instant in told if instant in _FINDS]
    if not values or any(value is None or _alike(asked, value, asked.item.marking.tolerance) for value in values):
        return ""
    return "The words beside it speak of another instant than the one asked."


_FINDS = {"before": Find.JUST_BEFORE, "at first": Find.INITIAL, "at last": Find.FINAL}


_WITNESSES = (_label, _sides, _range, _pieces, _instants)


def _alike(asked: _Asked, value: Answer, tolerance: float) -> bool:
    """Whether the answer is this value, its direction being the student's own."""
    return judge_answer(asked.item, asked.taken, value, tolerance).size in (Size.RIGHT, Size.SIGN)
