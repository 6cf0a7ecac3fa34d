"""The parts that an answer line has."""

from enum import StrEnum
from typing import NamedTuple


class Kind(StrEnum):
    """What a part of a line does."""

    CLAIM = "claim"
    """A value, an expression, roots: a candidate for the answer."""
    CONCLUSION = "conclusion"
    """A claim that the line comes to."""
    CORRECTION = "correction"
    """A claim that replaces what stands before it."""
    REASON = "reason"
    """Working or an explanation behind *because*, *since* …; it counts only where there is no claim."""
    WORKING = "working"
    """What stands in brackets, or as a comment, behind a complete claim."""
    DENIED = "denied"
    """What is said not to be the answer."""
    CONTEXT = "context"
    """The whole of which a claim is a share: ``0.45 J of the 0.54 J``."""
    ANOTHER_TIME = "another time"
    """A value at another instant than the one asked."""
    STRUCK = "struck out"
    """What the student crossed out."""


class Part(NamedTuple):
    """A part of a line: its kind, and where it stands without the words that open it."""

    kind: Kind
    start: int
    end: int


class Line(NamedTuple):
    """A line with its parts."""

    text: str
    """The line, in the one alphabet."""
    parts: tuple[Part, ...] = ()
    """In the order written; empty where the whole line is one claim."""
    unit: str = ""
    """The unit said in words for the whole (``in volts``), "" for none."""

    def only(self, part: Part) -> str:
        """The line with everything but one part overwritten by blanks, so that places stay places."""
        return " " * part.start + self.text[part.start : part.end] + " " * (len(self.text) - part.end)
