"""Everything that one part of a line may say: its readings, one run for each way at a fork, what words say beside it set aside."""

from collections.abc import Iterator

from msgspec.structs import replace

from grader.reading.ambiguities import ANYWHERE, Ambiguities, Fork
from grader.reading.damping import DAMPING
from grader.reading.limits import MAX_READINGS, MAX_TOKENS_REREAD
from grader.reading.line.assemble import Assembled, assemble
from grader.reading.line.chain import WORKED_OUT, comes_to
from grader.reading.line.choose import names_in
from grader.reading.line.fit import dimension_of
from grader.reading.line.phrases import phrase_of, without_lead
from grader.reading.line.remarks import Remark, holds_value, matters, without_remark
from grader.reading.record import Reading, Reads, ignored
from grader.reading.refusals import CannotRead
from grader.reading.text.cell import Cell
from grader.reading.text.phrases import with_signs
from grader.reading.text.root_words import (
    equation_in_t,
    factors_as_roots,
    variable_of_equation,
    with_conjugate,
    without_doubling,
)
from grader.reading.tokens import Question, Token
from grader.reading.tokens.brackets import arrange
from grader.reading.tokens.scan import scan
from grader.reading.tree import Name, Number, Product, TimeUnit, written_in
from grader.reading.tree.alternatives import ReadingContext, TokenSummary, Variant, traits, variants
from grader.reading.tree.parse import parse
from grader.reading.tree.written_out import written_out
from grader.reading.value_words import value_in_words
from grader.regex import regex
from grader.values.dimension import NUMBER
from grader.values.laplace import VARIABLE

MAX_REMARKS = 8
"""Remarks set aside in one part; each costs one run."""


def readings_of(cell: Cell, question: Question, unit: str) -> tuple[Reading, ...]:
    """All readings of a part, what words say beside it being set aside.

    A word that follows a bare number may be a unit that nobody knows, and is no remark; and words leave something to read.
    """
    if question.expects == "value":
        worded = value_in_words(cell.text, question.dimension)
        if worded is not None and not isinstance(worded, Name):
            return (Reading(worded),)
        cell = cell._replace(text=without_lead(cell.text))
    elif question.expects == "roots":
        cell = cell._replace(text=with_signs(cell.text, "roots"))
    said: list[str] = []
    apart = True
    first: CannotRead | None = None
    for _ in range(MAX_REMARKS):
        try:
            readings = tuple(_readings(cell, question, unit))
        except CannotRead as error:
            first = first or error
            found = _set_aside(cell.text, error, question)
            if found is None:
                raise first from None
            cell, apart = cell._replace(text=found.text), apart and (found.apart or _is_damping(found.said))
            said.append(found.said)
            continue
        if first is not None and not apart and _is_bare(readings[0]):
            raise first
        return _with_remarks(readings, said, question) if said else readings
    raise first or CannotRead("too-long")


def each_once(cell: Cell, question: Question, unit: str) -> Reads:
    """What reads the parts of a line, each once, be it a reading or a refusal, whoever asks for it."""
    done: dict[str, tuple[Reading, ...] | CannotRead] = {}

    def read_part(text: str) -> tuple[Reading, ...]:
        if text not in done:
            try:
                done[text] = readings_of(cell._replace(text=text), question, unit)
            except CannotRead as error:
                done[text] = error
        found = done[text]
        if isinstance(found, CannotRead):
            raise found
        return found

    return read_part


def _set_aside(text: str, error: CannotRead, question: Question) -> Remark | None:
    """What is left of a part without the words around one that nobody knows."""
    if error.kind != "unknown-word" or error.place is None:
        return None
    return without_remark(text, error.place, lambda left: holds_value(left, question))


def _is_damping(words: str) -> bool:
    """Whether a remark behind bare numbers is no unit for certain: ``-100, -400 overdamped``."""
    return phrase_of(*DAMPING).fullmatch(words) is not None


def _is_bare(reading: Reading) -> bool:
    """Whether it is a number without a unit, other than zero, which needs none."""
    zero = isinstance(reading.tree, Number) and not reading.tree.value
    return reading.unit is None and not names_in(reading.tree) and not zero


def _upholds(words: str) -> bool:
    """Whether words say no more than that the value beside them is the answer: ``it must be``."""
    return phrase_of("upheld").search(words) is not None and not phrase_of("lead", "upheld").sub("", words).strip(
        " ,.:"
    )


def _with_remarks(readings: tuple[Reading, ...], said: list[str], question: Question) -> tuple[Reading, ...]:
    """The readings, each telling which remarks were set aside."""
    remarks = tuple(one for one in said if one and not _upholds(one))
    dropped = any(matters(one, question, readings[0].tree) for one in said)
    return tuple(
        one._replace(notes=(*one.notes, *map(ignored, remarks)), remarks=(*one.remarks, *remarks), dropped=dropped)
        for one in readings
    )


def _readings(cell: Cell, question: Question, unit: str) -> list[Reading]:
    """All readings: the first run's variants, then one run for every other way at a fork."""
    beside = ReadingContext(question, unit, cell.time_unit)
    text, doubled = cell.text, False
    if question.expects == "roots":
        text, doubled = without_doubling(with_conjugate(equation_in_t(factors_as_roots(text))))
    variable = variable_of_equation(cell.text) if question.expects == "roots" else "t"
    first = Ambiguities()
    assembled, shown, size = _run(text, question, first, doubled)
    found: list[tuple[Assembled, Ambiguities, Variant]] = []
    late: list[tuple[Assembled, Ambiguities, Variant]] = []  # t in milliseconds comes after every other way
    for variant in variants(assembled.tree, beside, shown):
        rank = late if isinstance(variant.tree, TimeUnit) and not cell.time_unit else found
        rank.append((assembled, first, variant))
    spent = size
    for other in _other_ways(first):
        spent += size
        if len(found) >= MAX_READINGS or spent > MAX_TOKENS_REREAD:
            break
        forks = Ambiguities(other)
        try:
            assembled, shown, _ = _run(text, question, forks, doubled)
        except CannotRead:
            continue
        found.append((assembled, forks, variants(assembled.tree, beside, shown)[0]))
    readings: list[Reading] = []
    for one in (*found, *late):
        reading = _reading(*one, cell.marks)
        reading = reading if variable == "t" else reading._replace(tree=written_in(reading.tree, variable))
        same = next((place for place, other in enumerate(readings) if reading.tree == other.tree), None)
        if same is None:
            readings.append(reading)
        elif len(reading.slips) < len(readings[same].slips):  # 0.4 H : 16 ohm = 25 ms divides, and nothing differs
            readings[same] = reading
    return readings[:MAX_READINGS]


def _run(text: str, question: Question, forks: Ambiguities, doubled: bool) -> tuple[Assembled, TokenSummary, int]:
    """Scan, arrange, parse and assemble once; also what the tokens show at a glance, and their number."""
    tree = written_out(text, question)
    if tree is not None:
        return Assembled(tree, place=tree.place), TokenSummary(unclear_time=True), 0
    tokens = scan(text, question, forks)
    if not tokens:
        raise CannotRead("no-value")
    if question.expects == "value":
        _stop_at_remark(tokens, question)
    arranged = arrange(tokens, question, forks)
    found = assemble(parse(arranged), question, forks, doubled)
    if type(found.tree) is Product and _has_working_behind(found.tree, text, question):
        found = replace(found, tree=found.tree.left)
    return found, traits(arranged), len(arranged)


def _has_working_behind(tree: Product, text: str, question: Question) -> bool:
    """Whether brackets come to the value before them, or as a factor would make another kind of it: ``2RC/3 (R1 || R2)``."""
    if _WORKING_BEHIND.fullmatch(text) and comes_to(tree.right, tree.left):
        return True
    if question.expects != "value" or not _BRACKETS_BEHIND.fullmatch(text):
        return False
    factor, asked = dimension_of(tree.right), question.dimension
    if factor in {None, NUMBER}:
        return False
    if VARIABLE in question.vocabulary.dimensions:
        return VARIABLE in names_in(tree.left) and VARIABLE not in names_in(tree.right)
    return asked is not None and asked == (dimension_of(tree.left) or NUMBER)


_BRACKETS_BEHIND = regex(r".*[\w)]\s+(?:\([^()]*\)|\[[^\[\]]*\])\s*")
_WORKING_BEHIND = regex(r"[^(]*[0-9]\s+\([^()]+\)\s*")
"""``0.04 (4000*10e-6)``: no product, where the brackets come to the number before them."""


def _stop_at_remark(tokens: list[Token], question: Question) -> None:
    """``2.4 mA in L1``, ``5 ms (L/R)``: letters of no known name behind a complete value are words, and no factors.

    Raises
    ------
    CannotRead
        At the first of them.
    """
    measured = False
    for index, token in enumerate(tokens):
        measured = measured or token.kind == "UNIT"
        following = tokens[index + 1 : index + 3]
        stands = (following and following[0].kind == "EQUALS") or tokens[index - 1].kind in {"EQUALS", "PLUS", "MINUS"}
        if token.kind != "NAME" or stands:
            continue
        name = token.value.name
        if measured and token.value.dimension is None and question.vocabulary.find(name) is None:
            raise CannotRead("unknown-word", token.start, name)
        value = [one.kind for one in following] == ["NUMBER", "UNIT"] and following[0].start > token.end
        if value and following[1].value.dimension == question.dimension:  # from V1 1.8 A
            raise CannotRead("unknown-word", token.start, name)


def _other_ways(forks: Ambiguities) -> Iterator[tuple[Fork, int]]:
    """One fork taken otherwise; before that, where several are of a kind, all of them."""
    if not forks.met:  # as in most lines of mathematics
        return
    kinds = [fork[:2] for fork in forks.met]
    together = {fork[:2]: fork._replace(place=ANYWHERE) for fork in forks.met if kinds.count(fork[:2]) > 1}
    for fork in (*together.values(), *forks.met):
        for way in range(1, len(fork.ways)):
            yield fork, way


def _reading(assembled: Assembled, forks: Ambiguities, variant: Variant, marks: str) -> Reading:
    notes: dict[str, None] = {}
    slips: dict[str, None] = {}
    for note, slip in (*forks.ways_from(assembled.place), *variant.ways):
        if note:
            notes[note] = None
        if slip:
            slips[slip] = None
    if marks:
        notes[f"The '{marks}' was ignored."] = None
    worked_out = slips.pop(WORKED_OUT, 0) is None
    found = Reading(
        variant.tree, variant.unit, tuple(notes), tuple(slips), assembled.others, assembled.label, assembled.sides
    )
    return found._replace(worked_out=worked_out, remarks=(marks,) * bool(marks)) if worked_out or marks else found
