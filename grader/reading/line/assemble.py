"""From parsed parts to what the answer says: labels, chains, ranges, values stated beside a formula, several answers."""

from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from grader.reading.ambiguities import Ambiguities
from grader.reading.line.chain import side_meant
from grader.reading.line.choose import names_in
from grader.reading.line.fit import (
    BARE,
    NAMES_ANOTHER,
    NAMES_ASKED,
    OF_ANOTHER_KIND,
    OF_THE_KIND_ASKED,
    dimension_of,
    fit,
    naming,
)
from grader.reading.line.given import ListedPart, values_given
from grader.reading.line.left_side import (
    MADE_OF_VALUES,
    formula_of_roots,
    from_its_values,
    is_multiple,
    is_square,
    label_of,
    reciprocal,
    turned,
)
from grader.reading.line.root_list import MULTIPLE, root_list, solved
from grader.reading.refusals import CannotRead
from grader.reading.render.typeset import tree_text
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import normalized_name
from grader.reading.tree import (
    Call,
    Definition,
    Name,
    Negative,
    Node,
    Number,
    Parallel,
    Pieces,
    PlusMinus,
    Product,
    Quotient,
    Sum,
    Time,
    UnitSymbol,
    WaveformPiece,
    WithUnit,
    walk,
)
from grader.reading.tree.parse import Condition
from grader.reading.tree.spread import unit_apart, unit_factor, without_unit
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import CURRENT, NUMBER, POWER, RESISTANCE, SYMBOLS, TIME, VOLTAGE


class Assembled(Struct, frozen=True):
    """An answer put together: its tree, label, further answers in the same cell, the other sides of its one equation, where it begins."""

    tree: Node
    label: str = ""
    others: tuple[tuple[str, Node], ...] = ()
    sides: tuple[str | Node, ...] = ()
    place: int = 0


def assemble(parts: tuple[Any, ...], question: Question, forks: Ambiguities, doubled: bool = False) -> Assembled:
    """Put the parts of an answer together.

    Parameters
    ----------
    parts : tuple
        Of `grader.reading.tree.parse.parse`.
    question : Question
    forks : Ambiguities
        Takes the remarks.
    doubled : bool
        The answer says that its root counts twice.

    Raises
    ------
    CannotRead
        If there is no value among the parts.
    """
    entries = _entries(parts, question, forks)
    sides = entries[0].sides if len(entries) == 1 else ()
    found = replace(_assembled(entries, question, forks, doubled), place=entries[0].tree.place, sides=sides)
    multiples = {
        tree_text(part[0])
        for part in parts
        if type(part) is tuple
        and is_multiple(part[0])
        and all(naming(name, question) != NAMES_ANOTHER for name in names_in(part[0]))
    }
    if question.expects != "roots" and found.label in multiples:  # s1/2 names both roots
        forks.remark(f"{found.label} stands left of the equal sign, which is a multiple of a quantity.", MULTIPLE)
    return found


def _assembled(entries: list[ListedPart], question: Question, forks: Ambiguities, doubled: bool) -> Assembled:
    if question.expects == "roots":
        entries = [
            one for one in entries if one.label or not _is_unknown(one.tree)
        ] or entries  # no, that is w0: -20, -80
        return Assembled(root_list([(entry.label, entry.tree) for entry in entries], doubled), entries[0].label)
    first, rest = entries[0], entries[1:]
    if not rest and not first.conditions:
        return Assembled(without_deviation(first.tree, forks), first.label)
    if any(entry.conditions for entry in entries):
        return _by_ranges(first, rest, question)
    if question.expects == "expression" and (made := from_its_values([entry[:2] for entry in entries])) is not None:
        forks.remark("The expression was made of its start, its end and its time constant.", MADE_OF_VALUES)
        return Assembled(made, first.label)
    return _of_several(entries, question, forks)


def _of_several(entries: list[ListedPart], question: Question, forks: Ambiguities) -> Assembled:
    """The one of several values that is meant, with those that it is given by and those that may be meant as well."""
    if question.expects == "expression" or not any(entry.label for entry in entries):
        entries = _in_one_unit(entries, question)
    meant = _meant(entries, question)
    first = meant[0]
    if first is not entries[0] and first.label:
        forks.remark(f"Of the values written, {first.label} is what is asked.")
    given = values_given(first, entries)
    others = _further(meant, [one for _, one in given])
    if given:
        values = tuple((name, one.tree) for name, one in given)
        whole = _in_si_units(Definition(first.tree, values, first.tree.place), question, forks)
        return Assembled(whole, first.label, others)
    if _same_value(first, others):
        forks.remark("The same value was written more than once; it was taken once.")
        return Assembled(first.tree, first.label)
    return Assembled(without_deviation(first.tree, forks), first.label, others)


def _in_si_units(formula: Definition, question: Question, forks: Ambiguities) -> Node:
    """``48 - 12*i with i = 4e^(-40t) A``, a voltage being asked: bare numbers beside a value with its unit are in SI units."""
    symbol = SYMBOLS.get(question.dimension) if question.dimension is not None else None
    if not symbol or any(getattr(node, "dimension", None) is not None for node in walk(formula.operand)):
        return formula  # units and names of the circuit say what kind it is
    apart = [(name, *unit_apart(tree)) for name, tree in formula.values]
    units = [unit for _, _, unit in apart if isinstance(unit, UnitSymbol)]
    if len(units) != 1 or units[0].scale != 1 or units[0].dimension in {None, TIME, question.dimension}:
        return formula
    forks.remark("The numbers of the formula were read in SI units.")
    unit = UnitSymbol(symbol, units[0].scale, question.dimension, formula.place)
    bare = tuple((name, tree) for name, tree, _ in apart)
    return formula._replace(operand=WithUnit(formula.operand, unit, formula.place), values=bare)


def _by_ranges(first: ListedPart, rest: list[ListedPart], question: Question) -> Assembled:
    """``2 - 2e^-t; 0 for t < 0``: what has no range holds where the others do not."""
    pieces = tuple(_piece(entry) for entry in (first, *rest) if entry.conditions)
    pieces = (*pieces[:-1], _with_unit_behind(pieces[-1], question))
    bare = [entry for entry in (first, *rest) if not entry.conditions]
    if bare and (bare[0] is first or not bare[0].label):
        pieces = (*pieces, WaveformPiece(bare.pop(0).tree, None, None))
    used = {normalized_name(name): name for piece in pieces for name in names_in(piece.operand)}
    given = [entry for entry in bare if entry.label and normalized_name(entry.label) in used]
    others = tuple((entry.label, entry.tree) for entry in bare if entry not in given)
    whole: Node = Pieces(pieces, first.tree.place)
    if given:
        whole = Definition(
            whole, tuple((used[normalized_name(one.label)], one.tree) for one in given), first.tree.place
        )
    return Assembled(whole, first.label, others)


def _with_unit_behind(piece: WaveformPiece, question: Question) -> WaveformPiece:
    """``2 - 2e^-t for 0 < t < 1; 0 for t > 1 A``: behind the last range stands the unit of the expressions."""
    for end in ("start", "end"):
        bound = getattr(piece, end)
        unit = bound.right if isinstance(bound, Product) else None
        if isinstance(unit, UnitSymbol) and unit.dimension not in {None, TIME} and unit.dimension == question.dimension:
            operand = WithUnit(piece.operand, unit, piece.operand.place)
            return piece._replace(operand=operand)._replace(**{end: bound.left})
    return piece


def _further(meant: list[ListedPart], given: list[ListedPart]) -> tuple[tuple[str, Node], ...]:
    """What else may be the answer; ``2.4 mA at t = 0`` says when, and is one answer."""
    return tuple((entry.label, entry.tree) for entry in meant[1:] if entry not in given and entry.label != "t")


def _same_value(first: ListedPart, others: tuple[tuple[str, Node], ...]) -> bool:
    """Whether all others are of the same name or none, and say the same as the first."""
    if any(label and label != first.label for label, _ in others):
        return False
    return _all_equal([first.tree, *(tree for _, tree in others)])


def _in_one_unit(entries: list[ListedPart], question: Question) -> list[ListedPart]:
    """``0.72 or 0.9 A``: the unit of the last holds for those that have none."""
    unit = unit_apart(entries[-1].tree)[1]
    of_a_value = question._replace(expects="value")
    if unit is None or question.dimension is None or fit(unit, of_a_value) != OF_THE_KIND_ASKED:
        return entries
    return [
        entry
        if entry.worked or entry.label != entries[-1].label or unit_apart(entry.tree)[1] is not None
        else entry._replace(tree=WithUnit(entry.tree, unit, entry.tree.place))
        for entry in entries
    ]


def _meant(entries: list[ListedPart], question: Question) -> list[ListedPart]:
    """The entry that is the answer, and behind it what may be meant as well.

    ``R = 8 Ω, τ = 5 ms``: what is of the kind asked; among bare numbers the label decides.  An expression goes before
    constants with names of their own, a value before an equation in t.
    """
    entries = _that_may_be(entries, question)
    fits = [fit(entry.tree, question) + _is_in_letters(entry.tree, question) / 2 for entry in entries]
    zero = [question.expects == "value" and _is_zero(entry.tree) for entry in entries]
    asked = [
        entry
        for entry, fits_so, is_zero in zip(entries, fits, zero, strict=True)
        if fits_so == max(fits) or (fits_so and is_zero and naming(entry.label, question) == NAMES_ASKED)
    ]
    first = entries[0]
    bare = max(fits) == OF_THE_KIND_ASKED and fits[0] == BARE and _may_lack_its_unit(first, question)
    if asked[0] is first or bare:
        asked = [entry for entry, fits_so in zip(entries, fits, strict=True) if fits_so or entry is first]
    asked = _named_as_asked(asked, question)
    return _come_to(asked) if question.expects == "value" else asked


def _that_may_be(entries: list[ListedPart], question: Question) -> list[ListedPart]:
    """Those that may be the answer by what they say: constants that an expression uses are none, nor is the zero of ``it is zero at 2 ms``."""
    if question.expects != "value":
        entries = _unused(told := _without_equations(entries, question)) or told
    elif not (entries[0].label or entries[0].worked) and fit(entries[0].tree, question) != OF_ANOTHER_KIND:
        used = {normalized_name(name) for name in names_in(entries[0].tree)}  # 1.8 tau with tau = 2 ms
        entries = [entry for entry in entries if normalized_name(entry.label) not in used]
    if question.dimension != TIME and "t" not in question.called:
        entries = [entry for entry in entries if entry.label != "t"] or entries  # at t = 0: 0.8
    if question.dimension == TIME:
        entries = [entry for entry in entries if not _is_zero(without_unit(entry.tree))] or entries
    return entries


def _is_in_letters(tree: Node, question: Question) -> bool:
    """Whether names make up a value of the kind asked, which a bare number beside it may be a step to."""
    asked = question.expects == "value" and question.dimension not in {None, NUMBER}
    return asked and bool(names_in(tree)) and dimension_of(tree) == question.dimension


def _may_lack_its_unit(entry: ListedPart, question: Question) -> bool:
    """A number by itself, where one may be the answer: in ``before 14 V, after: 6 + 8e^(-5t) V`` none is."""
    constant = question.expects != "value" and not names_in(entry.tree)
    return isinstance(entry.tree, (Number, Negative)) and not (entry.label or entry.worked or constant)


def _is_unknown(tree: Node) -> bool:
    """A name that is none of the circuit."""
    return isinstance(tree, Name) and tree.dimension is None


def _is_zero(tree: Node) -> bool:
    """Zero, which needs no unit."""
    return isinstance(tree, Number) and not tree.value


def _without_equations(entries: list[ListedPart], question: Question) -> list[ListedPart]:
    """``24 = 8i + v, v = 24e^(-400t) V``: an equation in the quantity asked is no answer where another entry states that."""
    asked = {entry.label for entry in entries if entry.label and naming(entry.label, question) == NAMES_ASKED}
    return [entry for entry in entries if not entry.worked or asked.isdisjoint(names_in(entry.tree))]


def _unused(entries: list[ListedPart]) -> list[ListedPart]:
    """Those whose labels no other one uses: of ``I(1 - e^-t), I = 1 A`` the first."""
    used = {normalized_name(name) for entry in entries for name in names_in(entry.tree)}
    return [entry for entry in entries if normalized_name(entry.label) not in used]


def _named_as_asked(entries: list[ListedPart], question: Question) -> list[ListedPart]:
    """``vR1 = 12 V, vL = 4 V``: what is named as the quantity asked, no constant beside an expression; else what is not named as another one."""
    told = [question.expects == "value" or fit(entry.tree, question) > BARE for entry in entries]
    found = [naming(entry.label if says else "", question) for entry, says in zip(entries, told, strict=True)]
    return [entry for entry, names in zip(entries, found, strict=True) if names == max(found)]


def _come_to(entries: list[ListedPart]) -> list[ListedPart]:
    """``12 V/6 ohm = 2 A, iL = 2 A*3/5 = 1.2 A``: what was worked out without a name is a step towards the one that has one."""
    named = [entry for entry in entries if entry.label.replace("_", "").isalnum() and entry.label != "t"]
    steps = [entry for entry in entries if entry not in named]
    return [*named, *steps] if len(named) == 1 and all(step.worked or step.label for step in steps) else entries


def _entries(parts: tuple[Any, ...], question: Question, forks: Ambiguities) -> list[ListedPart]:
    entries: list[ListedPart] = []
    waiting: list[Condition] = []
    for part in parts:
        if isinstance(part, Condition):
            if entries and not entries[-1].conditions:
                entries[-1] = entries[-1]._replace(conditions=(part,))
            else:
                waiting.append(part)
            continue
        if type(part[-1]) is str:
            raise CannotRead("ends-too-soon")
        if len(part) > 2 and type(part[1]) is str and (" " in part[1] or question.expects == "roots"):
            part = part[1:]  # noqa: PLW2901 (``V2 is upside down: -2 V``, ``roots: s1 = -2``)
        tree = _in_ohms(meant := side_meant(part, question, forks), question)
        label, tree = _named(part, tree, entries, question, forks)
        others = tuple(side for side in part if side is not meant)
        entries.append(ListedPart(label, tree, tuple(waiting), not label and bool(others), others))
        waiting = []
    if not entries:
        raise CannotRead("no-value")
    return entries


def _named(
    part: tuple[Any, ...], tree: Node, entries: list[ListedPart], question: Question, forks: Ambiguities
) -> tuple[str, Node]:
    """The label of a part and the value of what it names, where its left side is a function of that."""
    squared = tree_text(part[0].base) if len(part) > 1 and is_square(part[0]) else ""
    if squared and any(squared in names_in(entry.tree) for entry in entries):
        return squared, Call("sqrt", tree, tree.place)  # w0^2/(s^2 + w0^2), w0^2 = 1e6
    if question.expects == "expression" and (inverse := reciprocal(part)):
        return inverse, Quotient(part[0].top, tree, tree.place)  # e^(-t/tau), 1/tau = 40/s
    if opposite := turned(part, question):
        return opposite, Negative(tree, tree.place)
    if question.expects != "roots":
        return label_of(part), tree
    return formula_of_roots(part) or label_of(part), solved(part[0], tree, forks) if len(part) > 1 else tree


def _in_ohms(tree: Node, question: Question) -> Node:
    """``2k`` and ``2k || 6k`` where a resistance is asked: the trade leaves the Ω out behind a prefix (common use)."""
    if type(tree) in {Sum, Parallel}:
        return tree._replace(terms=tuple(_in_ohms(term, question) for term in tree.terms))
    if type(tree) is Negative:
        return tree._replace(operand=_in_ohms(tree.operand, question))
    if type(tree) is Quotient and question.dimension in {CURRENT, POWER}:
        volts = getattr(unit_apart(tree.top)[1], "dimension", None) == VOLTAGE  # 30V/12k
        return tree._replace(bottom=_in_ohms(tree.bottom, question._replace(dimension=RESISTANCE))) if volts else tree
    if question.dimension != RESISTANCE or type(tree) is not Product or type(tree.right) is not UnitSymbol:
        return tree
    prefix = tree.right
    if prefix.dimension is not None or prefix.scale < 1:
        return tree
    whole = UnitSymbol(f"{prefix.symbol}Ω", prefix.scale, RESISTANCE, prefix.place)
    return tree._replace(right=whole)


# -- ranges --------------------------------------------------------------------------------------


def _piece(entry: ListedPart) -> WaveformPiece:
    """Turn ``t > 0``, ``0 < t`` and ``0 < t < 2 ms`` into a start and an end."""
    start: Node | None = None
    end: Node | None = None
    for left, sign, right, last in entry.conditions:
        below = "<" in sign or sign == "≤"
        if last is not None:  # a < t < b
            start, end = left, last
        elif isinstance(left, Time):
            start, end = (start, right) if below else (right, end)
        elif isinstance(right, Time):
            start, end = (left, end) if below else (start, left)
        else:
            raise CannotRead("range-unclear", left.place)
    return WaveformPiece(entry.tree, start, end)


# -- several values ------------------------------------------------------------------------------


def _all_equal(trees: list[Node]) -> bool:
    """Whether the same value stands there several times: ``2.4 A or 2400 mA``."""
    if len(trees) < 2:
        return False
    try:
        worths = [evaluate(tree) for tree in trees]
    except (ValueError, ZeroDivisionError):
        return False
    first = worths[0]
    return all(worth.waveform == first.waveform and worth.dimension == first.dimension for worth in worths[1:])


def without_deviation(tree: Node, forks: Ambiguities) -> Node:
    """``2.40 ± 0.01 A`` is 2.40 A: the deviation is left out, its unit is not."""
    if not isinstance(tree, Sum) or not isinstance(tree.terms[-1], PlusMinus):
        return tree
    forks.remark("What follows ± was read as an uncertainty.")
    value: Node = tree.terms[0] if len(tree.terms) == 2 else Sum(tree.terms[:-1], tree.place)
    unit = unit_factor(tree.terms[-1])
    if unit is None or unit_factor(value) is not None:
        return value
    return WithUnit(value, unit, tree.place)
