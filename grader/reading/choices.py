"""Answers that choose among options: by the letter first, else by what the line comes to."""

from grader.reading.line.records import Kind
from grader.reading.line.split import split
from grader.reading.options import written_out
from grader.reading.record import Reading
from grader.reading.refusals import CannotRead
from grader.reading.text.cell import Cell, tidy
from grader.reading.text.glyphs import Plain
from grader.reading.tokens import Question
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree import Choice
from grader.reading.words import choose, choose_all


def chosen(text: str, line: Plain, options: tuple[str, ...], *, several: bool) -> tuple[Reading, ...]:
    """What an answer chooses, as typed and in the one alphabet; ``several`` where more than one option may be.

    Raises
    ------
    CannotRead
        If it names none of the options, or several where one is asked.
    """
    written = written_out(text, options)
    if written is not None:
        return (Reading(Choice(written, 0)),)
    cell = tidy(line.text)
    return (Reading(choose_all(cell.text, options)),) if several else _come_to(cell, options)


def _come_to(cell: Cell, options: tuple[str, ...]) -> tuple[Reading, ...]:
    """The option chosen, by what the line comes to, or is corrected to, if that names one."""
    line = split(cell.text, Question(vocabulary(()), "choice"))
    last = [part for part in line.parts if part.kind in {Kind.CORRECTION, Kind.CONCLUSION}]
    reasoned = any(part.kind is Kind.REASON for part in line.parts)
    claims = [part for part in line.parts if reasoned and part.kind is Kind.CLAIM]
    for text in (*(line.only(part) for part in (*reversed(last), *claims)), cell.text):
        try:
            found = choose(text, options)
        except CannotRead:
            if text is cell.text:
                raise
        else:
            return (Reading(found.choice, notes=found.notes, others=tuple(("", other) for other in found.others)),)
    raise CannotRead("no-value")
