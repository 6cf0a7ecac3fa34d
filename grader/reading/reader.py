"""The public entry point: `read` turns what a student typed into ranked readings, or into a refusal.

>>> readings = read("2.4(1 - e^-500t) mA", expects="expression")
>>> readings[0].text, readings[0].unit
('2.4(1 − e^(−500t)) mA', 'mA')
>>> from grader.reading.value.evaluate import evaluate
>>> quantity = evaluate(readings[0].tree)
>>> round(quantity.waveform.value(0.002), 6), quantity.dimension.ampere  # amperes at t = 2 ms
(0.001517, 1)
>>> read("2.4 *").sentence
'The answer breaks off at the end: something must follow.'
"""

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import lru_cache

from msgspec.structs import replace

from grader.reading.choices import chosen
from grader.reading.limits import MAX_CHARACTERS, MAX_READINGS
from grader.reading.line.beside import free_values, with_values_beside
from grader.reading.line.chain import comes_to, in_another_unit
from grader.reading.line.changing import directed, direction_told, is_changed
from grader.reading.line.choose import Attempt, left_over
from grader.reading.line.choose import choose as choose_part
from grader.reading.line.core import core_asked
from grader.reading.line.falling import (
    TURNED,
    is_counted_backwards,
    negative,
    roots_with_sign,
    roots_without_sign,
    sign_in_words,
    without_sign,
)
from grader.reading.line.fit import (
    BARE,
    NAMES_ASKED,
    OF_ANOTHER_KIND,
    OF_THE_KIND_ASKED,
    fit,
    is_formula_asked,
    is_mixed,
    is_open,
    naming,
)
from grader.reading.line.mathematics import is_mathematics
from grader.reading.line.phrases import phrase_of
from grader.reading.line.records import Kind, Line
from grader.reading.line.root_list import is_of_no_root
from grader.reading.line.said_of import said_of
from grader.reading.line.set_aside import without_set_aside
from grader.reading.line.split import is_wordy, split, with_equal_signs
from grader.reading.line.spoken import WIDE, in_brackets
from grader.reading.line.unit_said import measured, unit_of_a_number, with_corrected_unit, without_unit_of_label
from grader.reading.part import each_once, readings_of
from grader.reading.record import Aside, Reading, Reads
from grader.reading.refusals import CannotRead, Refusal, example_of, refusal
from grader.reading.stated import completed, labelled, stated_in_words
from grader.reading.text.cell import Cell, texts_before_date, tidy
from grader.reading.text.glyphs import Plain, normalize
from grader.reading.text.layout import without_layout
from grader.reading.text.operators import in_operators, letters_of
from grader.reading.text.phrases import without_frame
from grader.reading.text.s_domain import with_impulse, with_quotient, with_variable, without_second
from grader.reading.text.time_origin import without_origin
from grader.reading.tokens import Question, question_of
from grader.reading.tree import Name, Negative, Number, Roots, walk
from grader.reading.value_words import value_in_words
from grader.regex import regex
from grader.values.dimension import NUMBER, Dimension
from grader.values.laplace import IMPULSE, VARIABLE

EXPECTED = ("value", "expression", "roots", "choice", "choices", "equation")


def read(
    text: str,
    *,
    unit: str = "",
    expects: str = "value",
    dimension: Dimension | None = None,
    names: Mapping[str, Dimension | None] | None = None,
    options: tuple[str, ...] = (),
    called: tuple[str, ...] = (),
) -> tuple[Reading, ...] | Refusal:
    """Read one answer.

    Parameters
    ----------
    text : str
        As typed.
    unit : str
        What stands in the answer's own unit cell; it holds where the answer carries no unit.
    expects : str
        One of `EXPECTED`.
    dimension : Dimension or None
        What is asked; it ranks readings and units, and never decides what is right.
    names : mapping, optional
        Names that may occur, with their dimensions (None where not known).
    options : tuple of str
        What may be chosen, where a choice is expected; none: the damping types.
    called : tuple of str
        What the quantity asked may be called: ``iL``, ``i(0+)``; none where that is not known.

    Returns
    -------
    tuple of Reading or Refusal
        Readings, most plausible first, at most `MAX_READINGS`; or why there are none.  Never raises.
    """
    if len(text) > MAX_CHARACTERS:
        return refusal("too-long", text)
    known = tuple((names or {}).items())
    if expects == "equation":
        return _equation(text, unit, question_of("expression", dimension, known, ()))
    return _read(text, unit, question_of(expects, dimension, known, called), options)


def says_nothing(text: str) -> bool:
    """Whether a text is none of an explanation either: ``-``, ``idk``."""
    found = read(text, expects="value")
    return isinstance(found, Refusal) and found.is_blank


def _equation(text: str, unit: str, question: Question) -> tuple[Reading, ...] | Refusal:
    """An equation, its derivatives written as operators; a refusal speaks of the text as typed."""
    text = _EQUALS.sub("=", _BEHIND_EQUATION.sub("", _UP_TO_EQUATION.sub("", text)))
    operators = in_operators(text)
    found = _read(operators, unit, question)
    if operators == text or not isinstance(found, Refusal):
        letter, operator = letters_of(text)
        return (
            found
            if isinstance(found, Refusal)
            else tuple(one._replace(letter=letter, operator=operator) for one in found)
        )
    as_typed = _read(text, unit, question)
    return as_typed if isinstance(as_typed, Refusal) else replace(found, place=None)


_EQUALS = regex(r"\bequals?\b(?:\s+to\b)?", re.IGNORECASE)
_UP_TO_EQUATION = regex(
    r".*(?:\b(?:so|thus|hence|therefore|i\.e\.|that\s+is|which\s+(?:is|means|gives)|obeys?|satisf(?:y|ies)|fulfill?s?|governed\s+by)(?!\w)|[:⇒→])\s*(?=[^:=]*=)(?=[^:]*(?:d\s?[^\W\d_]\w*\s?/\s?dt|[^\W\d_]'))",
    re.DOTALL,
)
"""``RC v' + v = V with RC = 2 ms, so 0.002 v' + v = 9``: what leads up to the equation that a line comes to."""


_BEHIND_EQUATION = regex(
    r"[\s,;(]*\b(?:for|when|if)\s+t\s*[>≥]=?\s*0\+?\s*\)?[\s.]*$|[\s,;(]*\b(?:with|where)\s+[^\W\d_]\w*\s*(?:=|is)\s*[^\W\d_]\w*\s*\)?[\s.]*$",
    re.IGNORECASE,
)
"""``… = 9 for t > 0``, ``… with y = vC``: what its letters are."""


_NO_UNIT = regex(r"(?<=[0-9])\s*(?:\[-\]|\(-\)|\s-)\s*$")
"""``0.6 -``, ``0.6 [-]``: a dash in the place of the unit of a plain number."""


@lru_cache(maxsize=2048)
def _read(text: str, unit: str, question: Question, options: tuple[str, ...] = ()) -> tuple[Reading, ...] | Refusal:
    """`read`, remembered: a class writes the same few answers over and over."""
    line, expects, dimension = normalize(text), question.expects, question.dimension
    if dimension == NUMBER:
        line = Plain(_NO_UNIT.sub(lambda match: " " * len(match[0]), line.text), line.edits)
    try:
        if expects in {"choice", "choices"}:
            return chosen(text, line, options, question.called, several=expects == "choices")
        left, of_label = without_unit_of_label(without_layout(line.text, steps=expects == "value"), question)
        line, unit = Plain(left, line.edits), unit or of_label
        before_date = texts_before_date(line.text)
        if before_date:
            return _before_date(before_date, unit, expects, dimension)
        if expects != "roots" and is_mathematics(line.text, question):
            with suppress(CannotRead):
                found = readings_of(Cell(line.text), question, unit)
                tree = found[0].tree
                if expects != "value" or (fit(tree, question) >= BARE and not is_mixed(tree, question)):
                    return found
        cell = tidy(without_frame(line.text))
        told, way = direction_told(cell.text, question)
        cell = cell._replace(text=told)
        turned = sign_in_words(cell.text, question)
        if expects == "roots":
            return _roots(cell, question, unit)
        said, origin = without_origin(cell.text) if expects == "expression" else (without_sign(cell.text), "")
        cell = cell._replace(text=said)
        found = (*_of_line(cell, question, unit), *_with_wide_words(cell, question, unit))
        if question.expects == "value" and is_counted_backwards(found[0].label, question):
            found = tuple(
                one._replace(tree=Negative(one.tree, one.tree.place), notes=(*one.notes, TURNED)) for one in found
            )
        found = directed(found, without_set_aside(cell.text, question), question, way, bool(turned))
        of = said_of(line.text, found[0].remarks, question)
        if origin or of:
            found = tuple(one._replace(origin=origin, of=of) for one in found)
        return _negative(found, turned)[:MAX_READINGS]
    except CannotRead as error:
        return _refusal(error, text, line, example_of(expects, dimension))


def _roots(cell: Cell, question: Question, unit: str) -> tuple[Reading, ...]:
    """The readings where roots are asked, a sign said of all of them being theirs."""
    said, negative_said = roots_without_sign(cell.text)
    readings = []
    for one in _of_line(cell._replace(text=said), question, unit):
        changed = is_changed(without_set_aside(cell.text, question), one.tree, question, turned=True)
        if isinstance(one.tree, Roots):
            tree, contradicted = roots_with_sign(one.tree, cell.text, negative_said=negative_said)
            notes = one.notes if tree is one.tree else (*one.notes, TURNED)
            surplus = (len(tree.roots) > 2 and ("=" in said or is_wordy(said, question))) or is_of_no_root(tree)
            one = one._replace(tree=tree, notes=notes, dropped=one.dropped or surplus)  # noqa: PLW2901
            changed = changed or contradicted
        readings.append(one._replace(changed=changed))
    return tuple(readings)


def _with_wide_words(cell: Cell, question: Question, unit: str) -> Iterator[Reading]:
    """The readings in which a word for times or over holds for all that stands beside it."""
    wide = in_brackets(cell.text) if question.expects != "roots" else None
    if wide is not None:
        with suppress(CannotRead):
            first = _of_line(cell._replace(text=wide[0]), question, unit)[0]
            yield first._replace(notes=(*first.notes, WIDE.format(wide[1])))


def _negative(readings: tuple[Reading, ...], said: str) -> tuple[Reading, ...]:
    """The readings where a word says their sign: with a minus sign, and as they are for rivals."""
    first, tree = readings[0], negative(readings[0].tree) if said else None
    if tree is None:
        return readings
    return first._replace(tree=tree, notes=(*first.notes, said)), first._replace(rival=True)


def _of_line(cell: Cell, question: Question, unit: str) -> tuple[Reading, ...]:
    """The readings of the part of a line that is the answer; those of rival parts come last and decide nothing."""
    worded = value_in_words(cell.text, question.dimension) if question.expects == "value" else None
    if worded is not None:
        return (Reading(worded),)
    if question.expects == "roots" and _NO_ROOTS.fullmatch(cell.text):
        raise CannotRead("no-value")  # none is no root at 0
    cell, unit = _in_letters_asked(cell, unit, question)
    line = split(with_corrected_unit(with_equal_signs(cell.text, question), question), question)
    cell, unit = cell._replace(text=line.text), unit or line.unit
    if question.expects != "value" and line.parts:
        question = question._replace(line=line.text)

    read_part = each_once(cell, question, unit)
    found = _of_parts_and_core(line, cell, question, read_part)
    concluded = _in_conclusion(found[0], line, question, read_part)
    if concluded is not None:
        return concluded
    if is_mixed(found[0].tree, question):
        found = tuple(one._replace(dropped=True) for one in found)
    return with_values_beside(found, line, question, read_part)


def _in_letters_asked(cell: Cell, unit: str, question: Question) -> tuple[Cell, str]:
    """An answer and its unit, δ and s being the impulse and the variable where these are asked for."""
    names = question.vocabulary.dimensions
    if IMPULSE in names:
        cell = cell._replace(text=with_impulse(cell.text))
    if VARIABLE in names:
        text = with_variable(without_second(with_quotient(cell.text), names), names)
        return cell._replace(text=text), without_second(unit, ())
    return cell, unit


def _of_parts_and_core(line: Line, cell: Cell, question: Question, read_part: Reads) -> tuple[Reading, ...]:
    """The readings of the part that is the answer, behind those of its core where it is not as asked or cannot be read."""
    found: tuple[Reading, ...] = ()
    try:
        found = _of_parts(line, cell, question, read_part)
    except CannotRead:
        core = core_asked(line, question, read_part, unread=True)
        if core is None:
            raise
    else:
        as_asked = _is_as_asked(found[0], line, question)
        several = fit(found[0].tree, question) == OF_THE_KIND_ASKED
        core = None if as_asked else core_asked(line, question, read_part, several=several)
    if core is None:
        return found
    cores = (completed(one, [*stated_in_words(line.text, one, question)], core.aside) for one in core.readings)
    return (*cores, *(one._replace(rival=True) for one in found))


def _in_conclusion(first: Reading, line: Line, question: Question, read_part: Reads) -> tuple[Reading, ...] | None:
    """The readings of a conclusion that has what was read in the unit asked: ``10 V over 50 mH makes 200 A``; else None."""
    if question.expects == "value" and line.parts and line.parts[-1].kind is Kind.CONCLUSION:
        with suppress(CannotRead):
            last = read_part(line.only(line.parts[-1]))
            if in_another_unit(first.tree, last[0].tree, fit(last[0].tree, question)):
                return last
    return None


def _is_as_asked(first: Reading, line: Line, question: Question) -> bool:
    """Whether a reading is of the kind asked, or a bare number that no words stand beside."""
    fits = fit(first.tree, question)
    if fits == OF_THE_KIND_ASKED:
        only = free_values(line.text, question) if question.expects == "value" and is_wordy(line.text, question) else []
        places = {node.place for node in walk(first.tree) if isinstance(node, Number)}
        return len(only) != 1 or not places or any(only[0].start() <= place < only[0].end() for place in places)
    zero = isinstance(first.tree, Number) and not first.tree.value and naming(first.label, question) == NAMES_ASKED
    as_asked = is_formula_asked(first.tree, question) or (fits == BARE and not is_wordy(line.text, question))
    return zero or (as_asked and not measured(line.text, question))


def _of_parts(line: Line, cell: Cell, question: Question, read_part: Reads) -> tuple[Reading, ...]:
    """The readings of the part that is the answer, and of rivals."""
    if not line.parts:
        found = read_part(cell.text)
        return *found, *_labelled_otherwise(found[0])
    best, others = _best_part(line, question, read_part)
    corrected = max((part.start for part in line.parts if part.kind is Kind.CORRECTION), default=0)
    if best.part.start < corrected and measured(line.text[corrected:], question):
        raise CannotRead("no-value")  # what it is corrected to stands among words
    own = line.only(best.part)
    elsewhere = "".join(" " if mine.strip() else sign for mine, sign in zip(own, line.text, strict=True))
    if question.expects == "expression" and best.result[0].unit is None:
        said = unit_of_a_number(elsewhere, own, question)
        best = best._replace(result=readings_of(cell._replace(text=own), question, said)) if said else best
    stated = [(one.label, one.tree) for other in others for one in labelled(other.result[0])]
    stated += stated_in_words(line.text, best.result[0], question)
    aside = left_over(line, best, others, question)
    whole = [completed(reading, stated, aside) for reading in best.result]
    return *whole, *_labelled_otherwise(whole[0])


def _best_part(line: Line, question: Question, read_part: Reads) -> tuple[Attempt, list[Attempt]]:
    """The part that is the answer, and the others; an expression whose numbers another part has goes behind one with its own."""
    enough = OF_THE_KIND_ASKED if question.expects == "expression" else BARE

    def fits(readings: tuple[Reading, ...]) -> float:
        tree, label = readings[0].tree, readings[0].label
        if question.expects == "roots" and not any(isinstance(node, Number) for node in walk(tree)):
            return OF_ANOTHER_KIND  # alpha from above: -3 ± j4
        named = isinstance(tree, Name) and tree.dimension is not None  # R1 counts as 4 ohm
        if named and measured(line.text, question):
            return OF_ANOTHER_KIND
        named = question.expects == "expression" and bool(label)
        own = named and naming(label.split()[-1], question) == NAMES_ASKED  # together i = 2 + 4e^(-40t) A
        return fit(tree, question) + own / 2

    best, others = choose_part(line, read_part, fits, enough)
    for part in line.parts if question.expects == "value" and best.fits == BARE else ():
        if part.kind is Kind.WORKING:  # 0.5*2e-6*30**2  # 9e-4 J
            with suppress(CannotRead):
                said = read_part(line.only(part))
                if fits(said) == OF_THE_KIND_ASKED and comes_to(best.result[0].tree, said[0].tree):
                    return Attempt(part, said, OF_THE_KIND_ASKED), [best, *others]
    if question.expects == "expression" and is_open(best.result[0].tree):
        whole = next((one for one in others if one.fits == best.fits and not is_open(one.result[0].tree)), best)
        return whole, [one for one in (best, *others) if one is not whole]
    return best, others


def _labelled_otherwise(first: Reading) -> Iterator[Reading]:
    """``vR1 = 12 V, vL = 4 V``: every value with a name of its own (or the one without) may be the one asked, and is a rival."""
    labels = [first.label, *(label for label, _ in first.others)]
    if first.remarks or first.worked_out or len({*labels}) == len(labels):
        stated = [(one.label, one.tree) for one in labelled(first)]
        for label, tree in first.others:
            if not _MULTIPLE.match(label):
                yield completed(Reading(tree, label=label, rival=True), stated, Aside())


_MULTIPLE = regex(r"[0-9][0-9.]*·")


def _before_date(texts: tuple[str, ...], unit: str, expects: str, dimension: Dimension | None) -> tuple[Reading, ...]:
    """What a date may have been before a spreadsheet made one of it."""
    readings = []
    for text in texts:
        found = read(text, unit=unit, expects=expects, dimension=dimension)
        assert not isinstance(found, Refusal)
        note = f"A spreadsheet had made a date of the answer; it was read as {text}."
        readings.append(found[0]._replace(notes=(note, *found[0].notes), slips=("spreadsheet-date",)))
    return tuple(readings)


_NO_ROOTS = regex(r"\s*(?:(?:there\s+are\s+)?(?:none|nothing|no\s\D*)|keine\D*)\W*", re.IGNORECASE)
_ONLY_WORDS = regex(r"(?=.*[^\W\d_]{3})(?:[^\W\d_]|[\s'.,!?\":()-])+")
"""Words and nothing else: no digit, sign or bracket that a value could be made of."""


def _refusal(error: CannotRead, text: str, line: Plain, example: str) -> Refusal:
    kind = error.kind
    place = None if error.place is None else line.original_place(error.place)
    if kind in {"unknown-word", "unknown-character", "unexpected", "no-value"} and _ONLY_WORDS.fullmatch(line.text):
        if phrase_of("no answer").match(line.text):  # no idea how to start
            return refusal("blank", text)
        return refusal("only-words", text, None, text.strip(), example)
    if kind == "unexpected" and (place is None or place >= len(text)):
        kind, place = "ends-too-soon", len(text)
    return refusal(kind, text, place, "" if kind == "unexpected" else error.piece, example)
