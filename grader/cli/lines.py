"""Text in lines as long as the terminal is wide."""

import shutil
import textwrap
from collections.abc import Iterable, Iterator


def wrapped(text: str, first: str = "", hanging: int | None = None) -> list[str]:
    """A text in lines, the first one behind some words, the others under the text.

    Parameters
    ----------
    text : str
        What is wrapped; a word that is longer than a line stays whole.
    first : str
        What stands before it on the first line.
    hanging : int or None
        Blanks before the other lines; None: as many as `first` is long.
    """
    width = shutil.get_terminal_size((100, 24)).columns
    indent = " " * (len(first) if hanging is None else hanging)
    lines = textwrap.wrap(
        first + text,
        width,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
        drop_whitespace=True,
    )
    return lines or [first.rstrip()]


def fitted(lines: Iterable[str]) -> Iterator[str]:
    """Lines as wide as the terminal: longer ones go on below, a little further in."""
    for line in lines:
        inset = line[: len(line) - len(line.lstrip())]
        yield from wrapped(line.lstrip(), inset, hanging=len(inset) + 2)
