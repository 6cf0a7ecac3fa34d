"""What lines and marks on them say beside mathematics: a bullet, a quotation, a program's lines, a table, a fraction drawn over several lines.

No replacement is longer than what it replaces, so that places stay places in the text; only a table and a list divided by its
power of ten may be.
"""

import re
from decimal import Decimal

from grader.reading.refusals import CannotRead
from grader.regex import regex

_BULLET = regex(r"\A\s*[->]\s+(?=[^\W\d_]\w*\s*(?:\([^()]*\))?\s*=)")
"""``- t = 34.7 ms``: a sign of its own would stand beside what it turns."""
_LISTED = regex(r"^[ ]*(?:[-+*•]|[0-9]{1,2}[.)])[ ]+(?=[^\W\d_])", re.MULTILINE)
_NUMBERED = regex(r"^[ ]*(?P<number>[0-9]{1,2})[.)][ ]+(?=\S)", re.MULTILINE)
_HEADED = regex(r"\A[^\n0-9=]*:[ ]*\n")
_HEADING = regex(r"^[ ]*#{1,6}[ ]+[^\n0-9]*$", re.MULTILINE)
_FENCE = regex(r"(?:```|''')[a-z]*(?=\n)|\n(?:```|''')(?![a-z]*\n)")
"""Marks of code; what stands behind them belongs to its last line."""
_TICKS = regex(r"`{1,3}(?=[^`\n]+`)|(?<=[^`\n])`{1,3}(?!`)")
_PROMPTED = regex(r"\A(?s:.*)^[ ]*(?:>>>?|In ?\[[0-9]*\]:)[^\n]*\n(?=[ ]*[^\s>])", re.MULTILINE)
"""What was typed up to a program's last prompt, where the next line tells what it comes to."""
_SCALED = regex(r"(?P<scale>1\.0{1,4}e[-+]?[0-9]{1,2})[ ]*\*[ ]*\n(?P<list>[-+0-9.ij\s]++)\Z")
_NUMBER = regex(r"[0-9]+(?:\.[0-9]+)?")
_TABLE = regex(r"(?:\A|(?<=\n))[ ]*\|[^\n]+\|[ ]*(?:\n[ ]*\|[^\n]+\|[ ]*)++(?=\n|\Z)")
_COLUMNS = regex(r"[ ]\|[ ]|\t")
_VALUE = regex(r"(?<![\w.(])[1-9][0-9.,]*")
"""A number that is no part of a name."""
_RULE = regex(r"[|:\-\s]+")
_DRAWN = regex(r"^[^\n|]*?(?:-{3,}+(?!>)|─{2,}|_{3,})[^\n|]*$", re.MULTILINE)
_COMES_TO = regex(r"[-─_]{2}[^=\n]*=(?P<value>[^=\n]*[0-9][^=\n]*)\Z")


def without_layout(text: str, *, steps: bool = False) -> str:
    """The text without marks of layout; a table as values with labels, a drawn fraction as what it comes to on the line of its stroke.

    ``steps``: of lines that are counted the last tells what they come to.

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
    if lines > 1:
        text = _as_lines(text, steps=steps)
    if (bullet := _BULLET.match(text)) is not None:
        return " " * bullet.end() + text[bullet.end() :]
    if "`" not in text and lines == 1:
        return text
    for marks in (_FENCE, _TICKS, _PROMPTED):
        text = marks.sub(lambda match: " " * len(match[0]), text)
    text = _in_two_columns(_TABLE.sub(lambda table: _labelled(table[0]), _SCALED.sub(_multiplied, text)))
    for line in _DRAWN.finditer(text):
        value = _COMES_TO.search(line[0].rstrip())
        if value is None:
            raise CannotRead("drawn", line.start())
        start, end = line.start() + value.start("value"), line.start() + value.end("value")
        return " " * start + text[start:end] + " " * (len(text) - end)
    return text


def _as_lines(text: str, *, steps: bool) -> str:
    """The lines of a list without what counts them, and without the heading above."""
    headed = _HEADED.match(text)
    start = headed.end() if headed is not None else 0
    items, count = text[start:], text[start:].strip().count("\n") + 1
    counted = list(_NUMBERED.finditer(items))
    if [int(one["number"]) for one in counted] == [*range(1, count + 1)] and count > 1:
        last = counted[-1]
        comes_to = steps and not items[last.end() :].lstrip().startswith(("=", "-", "+"))
        items = items[: last.start()] + ("=>" if comes_to else "").ljust(len(last[0])) + items[last.end() :]
        items = _NUMBERED.sub(lambda match: " " * len(match[0]), items)
    elif len(_LISTED.findall(items)) == count:
        items = _LISTED.sub(lambda match: " " * len(match[0]), items)
    else:
        return text
    return " " * max(start - 1, 0) + "\n" * bool(start) + items


def _in_two_columns(text: str) -> str:
    """A table of labels and values without strokes around it; a single line may be a parallel connection."""
    rows = [[cell.strip() for cell in _COLUMNS.split(line)] for line in text.split("\n") if line.strip()]
    if len(rows) < 2 or any(len(row) != 2 for row in rows):
        return text
    labelled = all(label[:1].isalpha() and not _VALUE.search(label) for label, _ in rows)
    headed = len(rows) == 2 and all(map(str.isalpha, rows[0])) and all(_NUMBER.match(cell) for cell in rows[1])
    return _labelled(text.replace("\t", "|")) if labelled or headed else text


def _labelled(table: str) -> str:
    """A table, its first column or its one row of values with the labels that stand beside or above them."""
    lines = [line for line in table.split("\n") if line.strip() and not _RULE.fullmatch(line)]
    rows = [[cell.strip() for cell in line.strip(" |").split("|")] for line in lines]
    if not rows:
        return table
    heads, *below = rows
    if len(below) == 1 and len(heads) == len(below[0]) and _NUMBER.search(below[0][0]):
        rows = [[head, value] for head, value in zip(heads, below[0], strict=True)]
    told = [" = ".join(row) for row in rows if _NUMBER.search(row[-1]) or _is_formula(row[-1])]
    return "\n".join(told).ljust(len(table))


def _is_formula(cell: str) -> bool:
    return any(sign in cell for sign in "*/+^(√")


def _multiplied(found: re.Match[str]) -> str:
    """The list that a power of ten stands in front of, with its own numbers."""
    power = Decimal(found["scale"]).adjusted()
    numbers = _NUMBER.sub(lambda one: f"{Decimal(one[0]).scaleb(power):f}", found["list"].strip())
    return numbers.rjust(len(found[0]))
