"""What lines and marks on them say beside mathematics: a bullet, a quotation, a fraction drawn over three lines.

Each replacement is as long as what it replaces, so that places stay places in the text.
"""

import re

from grader.reading.refusals import CannotRead
from grader.regex import regex

_BULLET = regex(r"\A\s*[->]\s+(?=[^\W\d_]\w*\s*(?:\([^()]*\))?\s*=)")
"""``- t = 34.7 ms``: a sign of its own would stand beside what it turns."""
_DRAWN = regex(r"^[^\n|]*?(?:-{3,}+(?!>)|─{2,}|_{3,})[^\n|]*$", re.MULTILINE)
_COMES_TO = regex(r"[-─_]{2}[^=\n]*=(?P<value>[^=\n]*[0-9][^=\n]*)\Z")


def without_layout(text: str) -> str:
    """The text without the bullet in front of it; of a drawn fraction what it comes to on the line of its stroke.

    Raises
    ------
    CannotRead
        If a fraction is drawn, and comes to nothing there: a person sees what stands above and below.

    Examples
    --------
    >>> without_layout("- t = 34.7 ms")
    '  t = 34.7 ms'
    """
    if (bullet := _BULLET.match(text)) is not None:
        return " " * bullet.end() + text[bullet.end() :]
    if "\n" not in text.strip():
        return text
    for line in _DRAWN.finditer(text):
        value = _COMES_TO.search(line[0].rstrip())
        if value is None:
            raise CannotRead("drawn", line.start())
        start, end = line.start() + value.start("value"), line.start() + value.end("value")
        return " " * start + text[start:end] + " " * (len(text) - end)
    return text
