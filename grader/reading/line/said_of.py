"""Of what the words beside the one value of a line say that it is: ``initial value 6 V``, ``6 V across R2``, ``6 V at 20 ms``.

Only words that do nothing but describe are heard: where a line says more than that, it says nothing for certain.
"""

import re
from collections.abc import Iterable, Iterator

from grader.reading.line.instants import clauses, instants_told
from grader.reading.line.phrases import in_table, opened, phrase_of, spelled
from grader.reading.line.split import is_wordy
from grader.reading.line.unit_said import measured
from grader.reading.tokens import Question
from grader.reading.tokens.units import look_up
from grader.regex import regex
from grader.values.dimension import TIME

QUANTITIES = (
    "initial value",
    "final value",
    "steady state",
    "half life",
    "settling time",
    "rise time",
    "period",
    "conductance",
    "admittance",
    "quality factor",
    "damped natural frequency",
    "average",
)
"""What words name, as the catalogue calls it where it can be asked."""
_HEARD = ("before", "at first", "at last", *QUANTITIES)
_BORDER = regex(r"[;\n]|,(?![0-9])|\.(?=\s)")
_WORD = regex(r"[^\W\d_]\w*|[0-9]+")
_NOTHING = regex(r"(?!)")
_RESPONSE = regex(r"(?<![^\W\d_])e\s?\^|\bexp\b")
_CALCULATES = regex(r"[-+*/^·|<>](?!\s*$)")
_POSSESSIVE = regex(r"['’]s\b")
_ELEMENT = regex(r"(?:[RLCVI][a-z0-9]+)$")
_AT = regex(
    r"(?<![\w])(?:(?:at|nach|bei|à|in)\s+)?(?P<sign>t\s*=\s*)?(?P<number>[0-9]+(?:\.[0-9]+)?)\s?(?P<unit>m?s|[μµ]s|us)?(?![\w+/^·*])(?![.,]?[0-9])(?!\s*[-+*/^=(<>])"
)
_AT_LAST = regex(
    r"\)\s?[^\W\d_]{0,3}[\s,(]*\b(?:at|for|when|where|if)\s+t\s*=\s*(?P<number>[0-9]+(?:\.[0-9]+)?)\s?(?P<unit>m?s|[μµ]s|us)?[\s).]*$"
)
"""Behind an expression: it is told for one instant."""
_UNTIL = regex(
    r"(?:[0-9)]|[0-9)]\s?[^\W\d_]{1,3})[\s,(]*(?:only\s+)?(?:until|till|up\s+to|bis|jusqu'à|hasta|até|fino\s+a)\s+(?:t\s*=\s*)?(?P<number>[0-9]+(?:\.[0-9]+)?)\s?(?P<unit>m?s|[μµ]s|us)\b"
)
"""``6 V until 4 ms, then 0``"""


def said_of(text: str, remarks: Iterable[str], question: Question) -> frozenset[str]:
    """What words beside the one value of a line say it to be of: elements, quantities, instants (``t=0.02``, in seconds).

    Parameters
    ----------
    text : str
        The line, in the one alphabet.
    remarks : iterable of str
        Words that were set aside.
    question : Question
    """
    if question.expects not in {"value", "expression"}:
        return frozenset()
    of_a_value = question.expects == "value"
    values = measured(text, question) if of_a_value else []
    if not values:  # an expression, letters, a plain number
        heard = _HEARD if of_a_value else ()
        only = [one for one in remarks if not is_wordy(text.replace(one, " "), question)]
        found = (one for words in only for one in _described(words, question, heard))
        return frozenset(_instants(text, question)).union(found)
    told = instants_told(text, question)
    if len(values) != 1:
        return told
    found = (one for words in _beside(text, values[0]) for one in _described(words, question, _HEARD))
    around = f"{text[: values[0].start()]};{text[values[0].end() :]}"
    return told.union(found, _instants(text, question, around if question.dimension != TIME else ""))


def _beside(text: str, value: re.Match[str]) -> Iterator[str]:
    """The words of a value's own clause."""
    for start, end in clauses(text, _BORDER):
        if start <= value.start() < end:
            yield f"{text[start : value.start()]} {text[value.end() : end]}"


def _described(words: str, question: Question, heard: tuple[str, ...]) -> set[str]:
    """What words name that do nothing but describe; nothing where one of them does more."""
    phrases = phrase_of(*heard) if heard else _NOTHING
    named = {opened(*heard)[spelled(one[0])] for one in phrases.finditer(words)}
    left = _POSSESSIVE.sub(" ", phrases.sub(" ", words))
    rest = _WORD.findall(left) if not _CALCULATES.search(left) else [words]
    elements = {found for word in rest if _ELEMENT.match(found := question.vocabulary.find(word) or "")}
    plain = {word for word in rest if question.vocabulary.find(word) not in elements}
    return named | elements if {in_table(word) for word in plain} <= opened("describing").keys() else set()


def _instants(text: str, question: Question, around: str = "") -> Iterator[str]:
    """The one instant at which a line says that it has its value, and until when; ``around`` is the line without the value."""
    until = _UNTIL.search(text)
    if until is not None and not _RESPONSE.search(text, until.end()):
        yield f"until={_seconds(until)}"
    if question.expects == "expression":
        found = [one for one in (_AT_LAST.search(text),) if one]
    else:
        found = [one for one in _AT.finditer(around) if _is_instant(one)]
    if until is None and len(found) == 1:
        yield f"t={_seconds(found[0])}"


def _is_instant(found: re.Match[str]) -> bool:
    """``at 20 ms``, ``t = 0``; not ``t = 60`` and the unit left out."""
    return bool(found["unit"] or not float(found["number"])) and bool(found["sign"] or found[0][0].isalpha())


def _seconds(found: re.Match[str]) -> float:
    scale = look_up(found["unit"].replace("µ", "μ"))[0].scale if found["unit"] else 1
    return float(found["number"]) * float(scale)
