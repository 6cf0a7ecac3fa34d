"""How well a value fits what is asked, as far as reading may know: its kind, never its size."""

from collections.abc import Iterable

from flint import fmpq

from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import ALIASES, GREEK_NAMES, normalized_name
from grader.reading.tree import Choice, Definition, Name, Node, Time, UnitSymbol, walk
from grader.reading.value.evaluate import evaluate
from grader.regex import regex
from grader.values.dimension import NUMBER, RATE, Dimension
from grader.values.laplace import VARIABLE
from grader.values.waveform import constant

OF_ANOTHER_KIND, BARE, OF_THE_KIND_ASKED = 0, 1, 2
NAMES_ANOTHER, NAMES_NONE, NAMES_ASKED = 0, 1, 2


def naming(label: str, question: Question) -> int:
    """Whether a label names what is asked, something else for certain (τ, ``i_R2``), or neither."""
    name = normalized_name(label).removesuffix("(t)")
    if not name or not question.called:
        return NAMES_NONE
    name = f"v{name[1:]}" if name[0] == "u" and name not in question.called else name
    if name in question.called:
        return NAMES_ASKED if label != "T" or name != "t" else NAMES_NONE  # T = 12 ms, t = 2.2 T
    if name != "t" and _LETTERS.get(name) in question.called:
        return NAMES_ASKED  # z = 0.3 for zeta
    if _is_of_another_instant(name, question):
        return NAMES_ANOTHER
    element, names = question.vocabulary.find(label), question.vocabulary.dimensions
    numbered = _NUMBERED.match(name) and label not in names  # i2 for the current of R2; not a source V1
    if numbered and any(_ELEMENT.sub("", called, count=1) == name for called in question.called):
        return NAMES_ASKED
    if element is not None and _ELEMENT_NAME.fullmatch(element):
        return (
            NAMES_ASKED if {f"i{name}", f"v{name}", f"w{name}"} & question.called else NAMES_ANOTHER
        )  # R3: 2 A, R4: 3 A
    return NAMES_ANOTHER if _is_another(name, question) else NAMES_NONE


def _is_of_another_instant(name: str, question: Question) -> bool:
    """Whether a name is that of the value just before, or in the end, and neither is asked."""
    return any(
        name.endswith(instant) and not any(called.endswith(asked) for called in question.called)
        for instant, asked in (("-)", "(0-)"), ("(inf)", "(inf)"))
    )


def _is_another(name: str, question: Question) -> bool:
    """Whether a name is that of an element's quantity, or a Greek letter, perhaps with a subscript, by which nothing asked is called."""
    if name[0] in "ivu" and len(name) > 1 and question.vocabulary.find(name[1:]) is not None:
        return True
    letter = _SUBSCRIPT.sub("", _LETTERS.get(name, name) if name != "t" else "")
    return letter in GREEK_NAMES and not any(called.startswith(letter) for called in question.called)


_LETTERS = {**ALIASES, "z": "zeta"}
"""Letters that label what has a Greek one; as a factor z is none."""
_SUBSCRIPT = regex("[0-9dn]$")
_ELEMENT_NAME = regex("[RLC][0-9]*")
_NUMBERED = regex("[ivu][0-9]")
_ELEMENT = regex("(?<=^[ivu])[rlc](?=[0-9])")
_SIZES = tuple(fmpq(size) for size in (2, 3, 5, 7, 11, 13, 17, 19))
"""Any values for names: only the kind of what they make is looked at."""


def in_hertz(tree: Node) -> bool:
    """Whether a rate counts whole turns: ``500 rad/s = 79.6 Hz`` is the former where a rate is asked."""
    return any(isinstance(node, UnitSymbol) and node.symbol.endswith("Hz") for node in walk(tree))


def fit(tree: Node, question: Question) -> int:
    """How well what a tree says fits what is asked."""
    if isinstance(tree, Choice):
        return OF_THE_KIND_ASKED
    nodes = walk(tree)
    given = {name for name, _ in tree.values} if isinstance(tree, Definition) else set()
    names = [node for node in nodes if isinstance(node, Name) and node.name not in given]
    if VARIABLE in question.vocabulary.dimensions and any(name.name == VARIABLE for name in names):
        return OF_THE_KIND_ASKED
    varies = any(name.name == "t'" for name in names) or any(isinstance(node, Time) for node in nodes)
    if question.expects != "value":
        return OF_THE_KIND_ASKED if varies or question.expects == "roots" else BARE
    if VARIABLE in question.vocabulary.dimensions and not varies:
        return BARE  # 24 ohm; 10/(s + 2)
    return OF_ANOTHER_KIND if varies else _fit_of_value(tree, names, question)


def dimension_of(tree: Node, names: list[Name] | None = None) -> Dimension | None:
    """The dimension of what names of any values make, all of it or those given; None where one has none, or it comes to nothing."""
    names = [node for node in walk(tree) if isinstance(node, Name)] if names is None else names
    if any(name.dimension is None for name in names):
        return None
    sizes = {name.name: constant(size) for name, size in zip(names, _SIZES, strict=False)}
    try:
        return evaluate(tree, sizes).dimension
    except (ValueError, ZeroDivisionError):
        return None


def is_mixed(tree: Node, question: Question) -> bool:
    """Whether letters and a unit make up what is of another kind: ``with 24 ohm 2V/3``."""
    nodes = walk(tree) if question.expects == "value" else []
    names = [node for node in nodes if type(node) is Name]
    if not names or not any(type(node) is UnitSymbol and node.dimension is not None for node in nodes):
        return False
    return any(name.name == VARIABLE for name in names) or dimension_of(tree, names) not in {None, question.dimension}


def _fit_of_value(tree: Node, names: list[Name], question: Question) -> int:
    """`fit` where a value is asked, by the dimension of the tree."""
    dimension = dimension_of(tree, names)
    if dimension in {None, NUMBER}:
        return BARE
    if dimension == RATE and in_hertz(tree):
        return OF_ANOTHER_KIND
    if question.dimension not in {None, dimension}:
        return OF_ANOTHER_KIND
    return BARE if names else OF_THE_KIND_ASKED


def may_define(name: Name, tree: Node, labels: Iterable[str]) -> bool:
    """Whether what stands right of an equal sign can be the value of a name: of its kind, and made of what has one.

    ``R seen by L: R1||R2`` is no inductance, and ``V1 = R i + v`` is an equation.
    """
    if name.dimension is None:
        return True
    of_its_kind = dimension_of(tree) in {None, NUMBER, name.dimension}
    unknown = {normalized_name(node.name) for node in walk(tree) if isinstance(node, Name) and node.dimension is None}
    return of_its_kind and unknown <= {normalized_name(label) for label in labels}


def is_formula_asked(tree: Node, question: Question) -> bool:
    """Whether a tree is a value of the kind asked in the letters of the circuit."""
    in_letters = question.expects == "value" and any(isinstance(node, Name) for node in walk(tree))
    return in_letters and dimension_of(tree) == question.dimension != NUMBER


def is_open(tree: Node) -> bool:
    """Whether a tree has names of no known kind: ``A e^(-t/tau)``, where another claim has their numbers."""
    given = {name for name, _ in tree.values} if isinstance(tree, Definition) else set()
    return any(isinstance(node, Name) and node.dimension is None and node.name not in given for node in walk(tree))
