"""Dates that a spreadsheet made out of answers: what was probably typed.

``1/2`` becomes 2 January or 1 February, ``2.4`` the second of April, ``3/45`` March 1945, depending on the country the
program is set to, and nothing in the file says which (common practice, no source).  So all texts are kept.
"""

from datetime import date

from grader.regex import regex
from grader.uploads.content.document import Cell
from grader.uploads.names import folded

_MONTHS = (
    ("jan", "januar"), ("feb", "febr"), ("mar", "mär", "mrz", "mars"), ("apr", "avr"), ("may", "mai"), ("jun", "juin"),
    ("jul", "juil"), ("aug", "août"), ("sep", "sept"), ("oct", "okt"), ("nov",), ("dec", "dez", "déc"),
)  # fmt: skip
"""Month names as English, German and French spreadsheets shorten them (from memory)."""

_MONTH_OF = {name: number for number, names in enumerate(_MONTHS, 1) for name in names}
_DAY_MONTH = regex(r"(\d{1,2})\.?[-\s.]\s?([^\W\d_]{3,7})\.?")
_MONTH_NUMBER = regex(r"([^\W\d_]{3,7})\.?[-\s.]\s?(\d{2})")


def date_cell(moment: date, *, day_shown: bool = True) -> Cell:
    """Turn a date of a cell back into the texts that may have been typed.

    Parameters
    ----------
    moment : date
        Day, month and year as stored.
    day_shown : bool
        False where the cell shows month and year alone.
    """
    if day_shown or moment.day != 1:
        return _typed_as(moment.day, moment.month)
    return _month_and(moment.month, moment.year % 100)


def time_cell(seconds: int) -> Cell:
    """Turn a time of day, in seconds since midnight, back into what was typed: hours and minutes with a colon."""
    return Cell(f"{seconds // 3600}:{seconds // 60 % 60:02}", ("the spreadsheet had turned this into a time of day",))


def date_text_cell(text: str) -> Cell | None:
    """Recognise a text such as ``2-Jan`` or ``01. Feb``, which a delimited file keeps of such a date.

    Examples
    --------
    >>> date_text_cell("1-Feb").alternatives
    ('2/1', '1.2')
    >>> date_text_cell("10 mA") is None
    True
    """
    word = folded(text)
    if (found := _DAY_MONTH.fullmatch(word)) and found[2] in _MONTH_OF and 1 <= int(found[1]) <= 31:
        return _typed_as(int(found[1]), _MONTH_OF[found[2]])
    if (found := _MONTH_NUMBER.fullmatch(word)) and found[1] in _MONTH_OF:
        return _month_and(_MONTH_OF[found[1]], int(found[2]))
    return None


def _typed_as(day: int, month: int) -> Cell:
    texts = tuple(dict.fromkeys((f"{day}/{month}", f"{month}/{day}", f"{day}.{month}")))
    return _doubtful(texts)


def _month_and(month: int, number: int) -> Cell:
    return _doubtful((f"{month}/{number}", f"{month}.{number}"))


def _doubtful(texts: tuple[str, ...]) -> Cell:
    rest = " or ".join(texts[1:])
    note = f"the spreadsheet had turned this into a date; it was read as {texts[0]}, and may have been {rest}"
    return Cell(texts[0], (note,), (), texts[1:])
