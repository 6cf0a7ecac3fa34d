"""What lines and marks on them say beside mathematics: a bullet, a quotation, a program's lines, a table, a fraction drawn over several lines.

No replacement is longer than what it replaces, so that places stay places in the text; only a list divided by its power of ten may be.
"""

import re
from decimal import Decimal

from grader.reading.refusals import CannotRead
from grader.regex import regex

_BULLET = regex(r"\A\s*[->]\s+(?=[^\W\d_]\w*\s*(?:\([^()]*\))?\s*=)")
"""``- t = 34.7 ms``: a sign of its own would stand beside what it turns."""
_LISTED = regex(r"^[ ]*(?:[-+*•]|[0-9]{1,2}[.)])[ ]+(?=[^\W\d_])", re.MULTILINE)
_HEADING = regex(r"^[ ]*#{1,6}[ ]+[^\n0-9]*$", re.MULTILINE)
_FENCE = regex(r"(?:```|''')[a-z]*(?=\n)|\n(?:```|''')(?![a-z]*\n)")
"""Marks of code; what stands behind them belongs to its last line."""
_TICKS = regex(r"`{1,3}(?=[^`\n]+`)|(?<=[^`\n])`{1,3}(?!`)")
_PROMPTED = regex(r"\A(?s:.*)^[ ]*(?:>>>?|In ?\[[0-9]*\]:)[^\n]*\n(?=[ ]*[^\s>])", re.MULTILINE)
"""What was typed up to a program's last prompt, where the next line tells what it comes to."""
_SCALED = regex(r"(?P<scale>1\.0{1,4}e[-+]?[0-9]{1,2})[ ]*\*[ ]*\n(?P<list>[-+0-9.ij\s]++)\Z")
_NUMBER = regex(r"[0-9]+(?:\.[0-9]+)?")
_TABLE = regex(r"(?:\A|(?<=\n))[ ]*\|[^\n]+\|[ ]*(?:\n[ ]*\|[^\n]+\|[ ]*)++(?=\n|\Z)")
_RULE = regex(r"[|:\-\s]+")
_DRAWN = regex(r"^[^\n|]*?(?:-{3,}+(?!>)|─{2,}|_{3,})[^\n|]*$", re.MULTILINE)
_COMES_TO = regex(r"[-─_]{2}[^=\n]*=(?P<value>[^=\n]*[0-9][^=\n]*)\Z")


def without_layout(text: str) -> str:
    """The text without marks of layout; a table as values with labels, a drawn fraction as what it comes to on the line of its stroke.

    Raises
    ------
    CannotRead
        If a fraction is drawn, and comes to nothing there: a person sees what stands above and below.

    Examples
    --------
    >>> without_layout("- t = 34.7 ms")
    '  t = 34.7 ms'
    """
    if "#" in text and "\n" in text:
        text = _HEADING.sub(lambda match: " " * len(match[0]), text)
    text = text.replace(" -- ", " ;  ")  # a dash, and no two signs
    lines = text.strip().count("\n") + 1
    if lines > 1 and len(_LISTED.findall(text)) == lines:
        text = _LISTED.sub(lambda match: " " * len(match[0]), text)
    if (bullet := _BULLET.match(text)) is not None:
        return " " * bullet.end() + text[bullet.end() :]
    if "`" not in text and lines == 1:
        return text
    for marks in (_FENCE, _TICKS, _PROMPTED):
        text = marks.sub(lambda match: " " * len(match[0]), text)
    text = _TABLE.sub(_labelled, _SCALED.sub(_multiplied, text))
    for line in _DRAWN.finditer(text):
        value = _COMES_TO.search(line[0].rstrip())
        if value is None:
            raise CannotRead("drawn", line.start())
        start, end = line.start() + value.start("value"), line.start() + value.end("value")
        return " " * start + text[start:end] + " " * (len(text) - end)
    return text


def _labelled(table: re.Match[str]) -> str:
    """A table, its first column or its one row of values with the labels that stand beside or above them."""
    rows = [[cell.strip() for cell in line.strip(" |").split("|")] for line in table[0].split("\n")]
    rows = [row for line, row in zip(table[0].split("\n"), rows, strict=True) if not _RULE.fullmatch(line)]
    heads, *below = rows
    if len(below) == 1 and len(heads) == len(below[0]) and _NUMBER.search(below[0][0]):
        rows = [[head, value] for head, value in zip(heads, below[0], strict=True)]
    lines = [" = ".join(row) for row in rows if _NUMBER.search(row[-1])]
    return "\n".join(lines).ljust(len(table[0]))


def _multiplied(found: re.Match[str]) -> str:
    """The list that a power of ten stands in front of, with its own numbers."""
    power = Decimal(found["scale"]).adjusted()
    numbers = _NUMBER.sub(lambda one: f"{Decimal(one[0]).scaleb(power):f}", found["list"].strip())
    return numbers.rjust(len(found[0]))
