"""The cell as a whole, before its characters are read: blank marks, damage done by spreadsheets, remarks.

What is set aside is overwritten with blanks of the same length, so that places stay places in the text.
"""

import re
from typing import NamedTuple

from grader.reading.line.phrases import says
from grader.reading.refusals import CannotRead
from grader.reading.text.number_words import with_digits
from grader.reading.text.phrases import NEEDS_PHRASES, ODD_SIGNS, without_phrases
from grader.reading.tokens.units import look_up
from grader.reading.tokens.vocabulary import WORDS
from grader.regex import regex


class Cell(NamedTuple):
    """Text without its remarks; ``time_unit`` is the unit in which t counts, if the answer states one, ``marks`` stood behind it."""

    text: str
    time_unit: str = ""
    marks: str = ""


_MARKS_ONLY = regex(r"[-?./_*\s…=]*")
_SPREADSHEET_ERROR = regex(r"#[A-ZÄÖÜ][A-ZÄÖÜ0-9/]*[!?]?|#{2,}", re.IGNORECASE)
_SUSPECT = regex(r"[#?!\"'%$\[<>≤≥iI]|s\)\s*$|t\se[nm]\s")
_NEEDS_LOOK = regex(r"[#?!\"'%$]|t\s?\[|\.\s*$|\(m?s\)\s*$|\b(?:in|en|em)\b|^\s*[<>≤≥]", re.IGNORECASE)
"""Whether anything below may apply; `_SUSPECT`, one set of characters, spares most answers even that."""
_TIME_UNIT = regex(
    r"(?:[(\[,;#%]|//)?\s{0,3}(?:\b(?:with|where|for|if|when|and|mit)\b\s{0,3})?\bt\s{0,3}(?:is\s{0,3})?(?:(?:(?:measured|put|given|taken|counted|entered|expressed)\s{0,3})?\b(?:in|en|em)\b\s{0,3})\[?\s{0,3}"
    r"(?P<unit>ms|μs|us|s|sec|seconds?|milliseconds?|microseconds?|msec|millisec|microsec|sekunden|millisekunden|min|minutes?|minuten|hours?|stunden)\b\s{0,3}\]?\s{0,3}[)\]]?",
    re.IGNORECASE,
)
_UNIT_BESIDE_T = regex(r"(?<![^\W\d_]t)(?<=t)\s?\[\s*(?P<unit>ms|μs|us|s)\s*\]")
"""``e^(-t[ms]/15)``: the unit in square brackets is the one in which t counts."""

_UNIT_BEHIND_ANOTHER = regex(r"(?<=[0-9) m][AV]\s)\(\s*(?P<unit>ms|s)\s*\)\s*$")
"""``2e^(-t/5) A (ms)``"""
_TIME_UNITS = (_TIME_UNIT, _UNIT_BESIDE_T, _UNIT_BEHIND_ANOTHER)
_PERCENT_FOR_EQUALS = regex(r"^(\s*[^\W\d_]\w*\s*(?:\([^()]*\))?\s*)%(?=\s*[-+(0-9.])")
_QUOTES = regex(r"^\s*'+|\"|(?<=[0-9])'(?=\s?(?!s\b)[^\W\d_])")
_QUOTED = regex(r"(\s*'.*[^'])'+\s*", re.DOTALL)
_FULL_STOP = regex(r"(?<=[^\W\d_])\.\s*$|(?<=[)\]])\.\s*$")
_MARKUP = regex(r"</?[a-zA-Z][^<>]*>")
_COMPARES = regex(r"[<>≤≥]")
_FOR = regex(
    r"\b(?:para|pour|für|per|quando|quand|cuando|wenn|ab|при|dla)\b(?=\s*(?:t\s*[<>≤≥]|[0-9.,]+\s*[mμ]?s?\s*[<≤]\s*=?\s*t\b))",
    re.IGNORECASE,
)
"""``para t > 8 ms``: what opens a range of t in other languages."""
_LINE_GOES_ON = regex(r"(?<=[-+*/^(])\n|(?<=[-+*/^(] )\n")
"""``2(1 -`` with the rest of it on the next line."""
_UNIT_BELOW = regex(r"(?<=[0-9)])[ ]*\n\s*(?P<unit>[^\W\d_]{1,14})(?:/m?s)?[ ]*(?=\n|$)")
"""``15`` with its ``ms`` on a line of its own."""
_BOUND = regex(r"^\s*[<>≤≥]=?")


def tidy(text: str) -> Cell:
    """Set aside what is no part of the answer.

    Raises
    ------
    CannotRead
        Where nothing was answered, where the spreadsheet put an error in place of the answer, and where only a
        bound is given.
    """
    if text.isspace() or (
        len(text) < 30 and (_MARKS_ONLY.fullmatch(text) or not text.strip(".!? ") or says(text, "no answer"))
    ):
        raise CannotRead("blank")
    text = spelled_out(text)
    if (not _SUSPECT.search(text) and not text.rstrip().endswith(".")) or not _NEEDS_LOOK.search(text):
        return Cell(text)
    damage = _SPREADSHEET_ERROR.search(text)
    if damage is not None:
        raise CannotRead("spreadsheet-error", damage.start(), damage[0])
    if _MARKUP.search(text):
        raise CannotRead("markup")
    bound = _BOUND.match(text)
    if bound is not None:
        raise CannotRead("only-a-bound", bound.start(), bound[0].strip())
    return _without_marks(text)


def spelled_out(text: str) -> str:
    """A text with words and signs as the scanner knows them: digits for words, lines that go on joined."""
    if "\n" in text:
        text = _UNIT_BELOW.sub(_on_one_line, _LINE_GOES_ON.sub(" ", text))
    if NEEDS_PHRASES.search(text) or ODD_SIGNS.search(text):
        text = without_phrases(text)
    text = with_digits(text)
    if _COMPARES.search(text):
        text = _FOR.sub(lambda match: "for".rjust(len(match[0])), text)
    return text


def _on_one_line(below: re.Match[str]) -> str:
    return below[0].replace("\n", " ") if look_up(below["unit"]) else below[0]


def _without_marks(text: str) -> Cell:
    """The cell without quotation marks, full stops, what else stands around an answer, and words for the unit in which t counts."""
    marks = ""
    bare = text.rstrip().rstrip("?! ")
    if bare != text.rstrip():
        marks = text[len(bare) :].strip()
        text = bare + " " * (len(text) - len(bare))
    if (quoted := _QUOTED.fullmatch(text)) is not None:
        text = text[: quoted.end(1)] + " " * (len(text) - quoted.end(1))
    for pattern in (_QUOTES, _FULL_STOP):
        text = pattern.sub(lambda match: " " * len(match[0]), text)
    if "%" in text:
        text = _PERCENT_FOR_EQUALS.sub(r"\1=", text)
    stated = next((found for unit in _TIME_UNITS if (found := unit.search(text)) is not None), None)
    if stated is None:
        return Cell(text, "", marks)
    text = text[: stated.start()] + " " * len(stated[0]) + text[stated.end() :]
    return Cell(text, stated["unit"], marks)


# -- dates ---------------------------------------------------------------------------------------

_MONTHS = {name: number for number, names in enumerate(WORDS["months"], start=1) for name in names}
MAX_DATE = 30
_DATE_LIKE = regex(r"\s*(?:[0-9]{4}-|[0-9]{1,2}[-. ]+[^\W\d_]{3}|[^\W\d_]{3,9}[-. ]+[0-9]{1,2}\s*$)")
_DAY_MONTH = regex(r"\s*([0-9]{1,2})[-. ]+([^\W\d_]{3,9})\.?(?:[-. ]+[0-9]{2,4})?\s*")
_MONTH_DAY = regex(r"\s*([^\W\d_]{3,9})[-. ]+([0-9]{1,2})\s*")
_ISO = regex(r"\s*[0-9]{4}-([0-9]{2})-([0-9]{2})(?:[T ][0-9:.]*)?\s*")


def texts_before_date(text: str) -> tuple[str, ...]:
    """What may have been typed where a spreadsheet made a date of it; empty if the text is no date.

    Examples
    --------
    >>> texts_before_date("1-Feb")
    ('1/2', '2/1', '1.2', '2.1')
    """
    day = month = 0
    if len(text) > MAX_DATE or not _DATE_LIKE.match(text):
        return ()
    if (match := _DAY_MONTH.fullmatch(text)) and match[2].lower() in _MONTHS:
        day, month = int(match[1]), _MONTHS[match[2].lower()]
    elif (match := _MONTH_DAY.fullmatch(text)) and match[1].lower() in _MONTHS:
        day, month = int(match[2]), _MONTHS[match[1].lower()]
    elif match := _ISO.fullmatch(text):
        day, month = int(match[2]), int(match[1])
    if not day:
        return ()
    return (f"{day}/{month}", f"{month}/{day}", f"{day}.{month}", f"{month}.{day}")
