"""The net under reading: whatever else in a line may be the answer, looked at where what was read is wrong.

Nobody is marked down by a choice between parts while another part of the line is right: each reading is a rival, which decides
nothing, and where it alone is right a person looks.
"""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import lru_cache

from grader.reading.limits import MAX_CHARACTERS
from grader.reading.line.beside import free_values
from grader.reading.line.by_element import without_other_elements
from grader.reading.line.core import cores, that_counts
from grader.reading.line.fit import OF_ANOTHER_KIND, fit
from grader.reading.line.records import Kind
from grader.reading.line.split import is_strange, is_wordy, split
from grader.reading.line.unit_said import measured
from grader.reading.part import readings_of
from grader.reading.record import Aside, Reading
from grader.reading.refusals import CannotRead
from grader.reading.stated import completed, stated_in_words
from grader.reading.text.cell import Cell, tidy
from grader.reading.text.glyphs import normalize
from grader.reading.tokens import Question, question_of
from grader.reading.tokens.vocabulary import SEPARATING_WORDS
from grader.reading.tree import Sum
from grader.regex import regex
from grader.values.dimension import CHARGE, ENERGY, Dimension

_TAKEN_BACK = {Kind.DENIED, Kind.STRUCK, Kind.CONTEXT}
MAX_ELSEWHERE = 12
"""Other parts of a line that are tried."""
_NUMBER = regex(
    r"(?<![\w.,^])[-+]?\s?(?:[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)(?:\s?[*·]\s?10\s?\^\s?\(?[-+]?[0-9]+\)?|[eE][-+]?[0-9]+)?(?![\w^]|[.,][0-9])"
)
_OPERATOR_BEFORE = regex(r"[-+*/^|(]\s*$")
_OPERATOR_BEHIND = regex(r"\s*[-+*/^|%°]|\(")
_BRACKETS_BEHIND = regex(r"\w(?<!\bor)\s+\(")
"""``0.04 (4000*10e-6)``, ``30/20k (1.5 mA)``: a factor, or working."""
_WORD = regex(r"(?<![-+*/^|(\w])(?<![-+*/^|(]\s)[^\W\d_]\w*(?!\s?[-+*/^|(\w])")
"""A name that nothing is worked out of."""
_WORD_BEHIND = regex(r"\s?(?P<word>[^\W\d_]+)")


def elsewhere(
    text: str,
    *,
    expects: str,
    dimension: Dimension | None,
    names: Mapping[str, Dimension | None],
    called: tuple[str, ...],
) -> tuple[Reading, ...]:
    """What parts of an answer say that were not taken for it, each as a rival; nothing where it is one part."""
    if len(text) > MAX_CHARACTERS or expects not in {"value", "expression", "roots"}:
        return ()
    return _elsewhere(text, question_of(expects, dimension, tuple(names.items()), called))


@lru_cache(maxsize=2048)
def _elsewhere(text: str, question: Question) -> tuple[Reading, ...]:
    """Remembered, as what is read is: a class gives the same wrong answers again and again."""
    found: dict[str, Reading] = {}
    sums: tuple[Reading, ...] = ()
    with suppress(CannotRead):
        line = split(tidy(normalize(text).text).text, question)
        said = without_other_elements(that_counts(line, _TAKEN_BACK), question)
        if not line.parts and not is_wordy(said, question) and not _BRACKETS_BEHIND.search(said):
            return ()  # nothing but values: which of them counts, the rubric says
        for start, end in list(_spans(said, question))[:MAX_ELSEWHERE]:
            with suppress(CannotRead):
                reading = readings_of(Cell(" " * start + said[start:end]), question, "")[0]
                reading = completed(reading, [*stated_in_words(text, reading, question)], Aside())
                if fit(reading.tree, question) != OF_ANOTHER_KIND:
                    found.setdefault(reading.text, reading._replace(rival=True))
        sums = tuple(_sum_of(said, question))
    return (*found.values(), *sums)


def _sum_of(text: str, question: Question) -> Iterator[Reading]:
    """What energies or charges come to together: ``3 J in C1 and 3 J in L1``."""
    values = free_values(text, question) if question.dimension in {ENERGY, CHARGE} else []
    if len(values) > 1:
        trees = [readings_of(Cell(value[0]), question, "")[0].tree for value in values]
        yield Reading(Sum(tuple(trees), trees[0].place), rival=True)


def _spans(text: str, question: Question) -> Iterator[tuple[int, int]]:
    """Where values stand in a text that nothing is worked out of, and what stands between its words and signs."""
    if question.expects == "value":
        yield from (one.span() for one in free_values(text, question))
        for number in _NUMBER.finditer(text):
            worked = _OPERATOR_BEFORE.search(text, 0, number.start()) or _OPERATOR_BEHIND.match(text, number.end())
            word = _WORD_BEHIND.match(text, number.end())
            if not worked and (word is None or is_strange(word["word"], question) or word["word"] in SEPARATING_WORDS):
                yield number.span()
        yield from (one.span() for one in _WORD.finditer(text) if _is_of_the_kind_asked(one[0], question))
    for start, end in cores(text, question):
        if question.expects != "value" or measured(text[start:end], question):
            yield start, end


def _is_of_the_kind_asked(word: str, question: Question) -> bool:
    """Whether a word is a name of the circuit, for a quantity of the kind asked."""
    name = question.vocabulary.find(word)
    return name is not None and question.vocabulary.dimensions[name] == question.dimension
