"""How verdicts and points are said to a student: in words and a sign, never by colour alone."""

import re
from collections.abc import Mapping
from typing import NamedTuple

from grader.marking.classmates import WHOLE_SHEET
from grader.marking.credit import BY_PARTS
from grader.marking.marks import (
    BLANK,
    CORRECT,
    FOLLOWED,
    FOR_A_PERSON,
    INCORRECT,
    NOT_DECIDED,
    PARTLY,
    UNREADABLE,
    Mark,
    Marked,
)
from grader.regex import regex


class Said(NamedTuple):
    """A verdict on a page: a word for style sheets, a sign, and what is said.

    Beside these, never in their place: how the audit's bars are filled (a class of ``audit.css``), and the terminal's style.
    """

    look: str
    sign: str
    words: str
    fill: str = ""
    style: str = ""


SAYS: dict[str, Said] = {
    CORRECT: Said("right", "✓", "Right", "full", "green"),
    FOLLOWED: Said("right", "✓", "Right, following your earlier answer", "dotted", "green"),
    PARTLY: Said("partly", "◐", "Partly right", "slanted", "yellow"),
    INCORRECT: Said("not-yet", "✗", "Not yet", "crossed", "red"),
    UNREADABLE: Said("not-yet", "?", "Could not be read", "barred", "red"),
    NOT_DECIDED: Said("blank", "…", "Not decided yet", "barred", "dim"),
    FOR_A_PERSON: Said("blank", "…", "A person marks this", "barred", "dim"),
    BLANK: Said("blank", "–", "No answer", "empty", "dim"),
}
"""Every verdict, from full to empty."""


def said(verdict: str) -> Said:
    """The words for a verdict; an unknown one (of a part, say) is shown as it is."""
    return SAYS.get(verdict, Said("blank", "·", verdict[:1].upper() + verdict[1:]))


def as_said(verdict: str, reading: str) -> str:
    """By what an answer is the same as others: its reading; of a sentence that a person marks its words alone.

    Examples
    --------
    >>> as_said(FOR_A_PERSON, "The damping is  High."), as_said(CORRECT, "2 MV")
    ('the damping is high', '2 MV')
    """
    return " ".join(reading.casefold().split()).rstrip(" .!") if verdict == FOR_A_PERSON else reading


def nothing_answered(marked: Marked) -> bool:
    """Whether an upload holds no answer at all: the blank sheet, say, or another file than was meant."""
    return bool(marked.marks) and all(mark.verdict == BLANK for mark in marked.marks)


def with_others_values(marked: Marked) -> bool:
    """Whether a person has still to look at an upload for answers that are right with somebody else's values."""
    return any(note.endswith(WHOLE_SHEET) for mark in marked.marks if awaits_person(mark) for note in mark.notes)


def with_titles(reason: str, mark: Mark, titles: Mapping[tuple[str, str], str]) -> str:
    """A reason with what the earlier items ask in place of their ids, which pages do not show."""

    def titled(id: re.Match[str]) -> str:
        title = titles.get((mark.problem, id[1]))
        return f"“{title}”" if title else id[0]

    return _TO_ITEMS.sub(lambda said: re.sub(_ID, titled, said[0]), reason)


_ID = r"'([^']+)'"
_TO_ITEMS = regex(rf"\banswers? to {_ID}(?:(?:, | and ){_ID})*")


def awaits_person(mark: Mark) -> bool:
    """Whether a person has still to look at the mark."""
    return mark.review and not mark.decision


def points_text(points: float) -> str:
    """Points without needless zeros, to a hundredth; eighths, which halves of quarters make, to the last digit.

    Examples
    --------
    >>> points_text(2.0), points_text(1.75), points_text(1 / 3), points_text(13.125), points_text(1234567.5)
    ('2', '1.75', '0.33', '13.125', '1234567.5')
    """
    return f"{rounded(points):.10g}"


def rounded(points: float) -> float:
    """Points as `points_text` says them."""
    return round(points, 3 if 8 * points % 1 == 0 else 2) + 0.0


def reasons_told(mark: Mark) -> list[str]:
    """What the reasons say besides what the sign says (that it is right), and the parts with their points."""
    said_already = (*(["This is right"] if mark.awarded == mark.possible else []), *([BY_PARTS] if mark.parts else []))
    return [reason for reason in mark.reasons if not reason.startswith(tuple(said_already))]


def read_as_written(mark: Mark) -> bool:
    """Whether an answer in words was read as it stands, so that the reading says nothing more."""
    if re.search("<m[ino]", mark.reading_mathml):
        return False
    answer, reading = (re.findall(r"\w+", text.casefold()) for text in (mark.answer, mark.reading))
    return answer == reading


def in_points(points: float) -> str:
    """So many points: ``12 points``, ``1 point``."""
    text = points_text(points)
    return f"{text} point{'' if text == '1' else 's'}"


def out_of(awarded: float, possible: float) -> str:
    """Points earned of those possible: ``7.5 of 12 points``, ``0.5 of 1 point``."""
    return f"{points_text(awarded)} of {in_points(possible)}"


def percent(awarded: float, possible: float) -> float | None:
    """Points as a percentage; None where there is nothing to earn."""
    return 100 * awarded / possible if possible else None
