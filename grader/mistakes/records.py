"""What a mistake is and where it is reported, what it gives on a circuit, and what a diagnosis says.

The look-ups behind the citations saw the openings of stored pages; a source is cited for what its opening shows.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from grader.mistakes.case import Case
from grader.quantities.rules import Answer, Rule
from grader.values.waveform import Waveform

OBSERVED, REPORTED, SUPPOSED = 3, 2, 1
"""How common a mistake is held to be, before anything is known of the class.

Seen in students' attempts, or reported by several sources; reported by one source; common practice, no source.
"""


class Citation(NamedTuple):
    """A source spelled out, and how common it shows a mistake to be: `OBSERVED`, `REPORTED` or `SUPPOSED`."""

    text: str
    prior: int


NO_SOURCE = Citation("Common practice, no source.", SUPPOSED)
REVIEW_SECOND_ORDER = Citation(
    "Listed as a mistake in public engineering exam-review notes on second-order circuits.", REPORTED
)
REVIEW_STORAGE = Citation(
    "Listed as a mistake in public engineering exam-review notes on inductors and capacitors.", REPORTED
)
SIGN_RULES = Citation(
    "A. Ganago, EECS 314, Fall 2007, grading policy: the sign convention counted as a conceptual error.", REPORTED
)


class Wrong(NamedTuple):
    """A wrong answer that a mistake leads to."""

    answer: Answer
    """What a student gets who does all else right."""
    variant: str = ""
    """Which way, in a few words (``"R3 alone"``)."""
    rule: Rule | None = None
    """The same as a formula of earlier answers, where it is one: evaluated with a student's own values, it gives what
    the mistake leads this student to."""
    factor: Waveform | None = None
    """What the right answer is multiplied by, where that is all: what follows from a student's own values is, too."""

    @staticmethod
    def times(right: Waveform, factor: Waveform, variant: str = "") -> "Wrong":
        """The right answer times a number."""
        return Wrong(right * factor, variant, factor=factor)


WrongAnswers: TypeAlias = Callable[[Case], Iterator[Wrong]]
"""The wrong answers that a mistake leads to on a case: none where it does not apply."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mistake:
    """A named wrong line of reasoning whose answer can be computed on any circuit."""

    id: str
    """Names the fault, never the cure: lower case and hyphens, unique."""
    title: str
    """A short noun phrase for tables and headings."""
    idea: str
    """The idea behind it, for the instructor's next class: what was believed, and why it fails."""
    nudge: str
    """A question that leads the student to the slip and does not give the answer away."""
    remark: str
    """What an instructor is told of one answer: what seems to have been computed."""
    source: Citation
    """Where the mistake is reported, or `NO_SOURCE`."""
    wrong: WrongAnswers
    """Solves the case wrongly."""

    @property
    def prior(self) -> int:
        """How common it is held to be, before anything is known of the class."""
        return self.source.prior


def mistake(
    *, title: str, idea: str, nudge: str, remark: str, source: Citation = NO_SOURCE
) -> Callable[[WrongAnswers], Mistake]:
    """Make a function that solves a case wrongly a mistake: its name is the id."""

    def named(wrong: WrongAnswers) -> Mistake:
        id = wrong.__name__.replace("_", "-")
        return Mistake(id=id, title=title, idea=idea, nudge=nudge, remark=remark, source=source, wrong=wrong)

    return named


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One explanation of a wrong answer."""

    ids: tuple[str, ...]
    """The mistake, or the two made at once."""
    variant: str = ""
    """Which way, in a few words."""
    relative_deviation: float
    """How far the answer lies from what the mistake gives, as a share of what is allowed (0 to 1)."""
    to_the_digit: bool
    """Whether it is the mistake's answer to every digit the student wrote."""
    part: str = ""
    """The part of an expression that it explains (``"time constant"``); "" for the whole answer."""
    carried: tuple[str, ...] = ()
    """Ids of the earlier items whose answers, as the student gave them, went into it."""

    @property
    def id(self) -> str:
        """One text for both: ``"nearest-resistor-only + prefix-slip"``."""
        return TOGETHER.join(self.ids)


TOGETHER = " + "


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What may have gone wrong in one answer: candidates, most plausible first.

    ``tied``: how many of the first fit equally well, so that none of them may be named alone.
    """

    candidates: tuple[Candidate, ...] = ()
    tied: int = 0

    @property
    def to_the_digit(self) -> bool:
        """Whether the most plausible candidate gives the very digits written."""
        return bool(self.candidates) and self.candidates[0].to_the_digit

    @property
    def ids(self) -> tuple[str, ...]:
        """As `grader.marking.marks.Mark.mistakes` wants them."""
        return tuple(dict.fromkeys(candidate.id for candidate in self.candidates))
