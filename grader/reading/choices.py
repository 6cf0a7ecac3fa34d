"""Answers that choose among options: by the letter first, else by what is said."""

from grader.reading.damping import DAMPING
from grader.reading.meaning import sign_alone
from grader.reading.record import Reading
from grader.reading.refusals import CannotRead
from grader.reading.several import choose_all
from grader.reading.text.cell import tidy
from grader.reading.text.glyphs import Plain
from grader.reading.tree import Choice
from grader.reading.words import choose, stands_alone


def chosen(
    text: str, line: Plain, options: tuple[str, ...], asked: frozenset[str] = frozenset(), *, several: bool
) -> tuple[Reading, ...]:
    """What an answer chooses, as typed and in the one alphabet; ``several`` where more than one option may be.

    ``asked`` is what the question is about.

    Raises
    ------
    CannotRead
        If it names none of the options, or several where one is asked.
    """
    text = sign_alone(text, options or DAMPING)
    written = stands_alone(text, options)
    if written is not None:
        return (Reading(Choice(written, 0)),)
    try:
        tidy(text if text.isalpha() else line.text)
    except CannotRead as error:
        if error.kind != "only-a-bound" or "0" not in text:  # > 0 may be an option
            raise
    if several:
        return (Reading(choose_all(text, options)),)
    found = choose(text, options, asked)
    return (Reading(found.choice, notes=found.notes, others=tuple(("", other) for other in found.others)),)
