"""What a mistake is and where it is reported, what it gives on a circuit, and what a diagnosis says.

The look-ups behind the citations saw the openings of stored pages; a source is cited for what its opening shows.
"""

import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple, TypeAlias

from msgspec import Struct

from grader.mistakes.case import Case
from grader.mistakes.numeric_form import WITHIN_TOLERANCE
from grader.quantities.rules import Answer, Rule
from grader.values.waveform import Waveform

PRIORS = {"supposed": 1, "reported": 2, "observed": 3}
"""How common a mistake is held to be, before anything is known of the class.

Common practice, no source; reported by one source; seen in students' attempts, or reported by several sources.
"""
SUPPOSED, REPORTED, OBSERVED = PRIORS.values()


class Citation(NamedTuple):
    """A source spelled out, and how common it shows a mistake to be: one of `PRIORS`."""

    text: str
    prior: int = SUPPOSED


NO_SOURCE = Citation("Common practice, no source.")
_SHARED = {
    "": NO_SOURCE,
    "review of second order": Citation(
        "Listed as a mistake in public engineering exam-review notes on second-order circuits.", REPORTED
    ),
    "review of storage elements": Citation(
        "Listed as a mistake in public engineering exam-review notes on inductors and capacitors.", REPORTED
    ),
    "sign rules": Citation(
        "A. Ganago, EECS 314, Fall 2007, grading policy: the sign convention counted as a conceptual error.", REPORTED
    ),
}
"""Sources of several mistakes, by what these call them."""


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
    shift: Waveform | None = None
    """What is added to the right answer, likewise."""

    @staticmethod
    def times(right: Waveform, factor: Waveform, variant: str = "") -> "Wrong":
        """The right answer times a number."""
        return Wrong(right * factor, variant, factor=factor)

    @property
    def is_ruled(self) -> bool:
        """Whether it tells what the mistake makes of a student's own values."""
        return (self.rule, self.factor, self.shift) != (None, None, None)

    def of(self, followed: Waveform) -> Waveform | None:
        """The mistake made on what follows rightly from a student's own values; None where it is no matter of these."""
        if self.factor is not None:
            return followed * self.factor
        return None if self.shift is None else followed + self.shift


WrongAnswers: TypeAlias = Callable[[Case], Iterator[Wrong]]
"""The wrong answers that a mistake leads to on a case: none where it does not apply."""


class Mistake(Struct, frozen=True, kw_only=True):
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
    def family(self) -> str:
        """What is found wrongly first: the name of the file of its entry."""
        return self.wrong.__module__.rpartition(".")[2]

    @property
    def prior(self) -> int:
        """How common it is held to be, before anything is known of the class."""
        return self.source.prior


def mistake(wrong: WrongAnswers) -> Mistake:
    """Make a function that solves a case wrongly a mistake: its name is the id, its texts stand in the file beside its own."""
    id = wrong.__name__.replace("_", "-")
    said = dict(_texts(wrong.__module__.rpartition(".")[2])[id])
    source = said.pop("source", "")
    citation = _SHARED.get(source, Citation(source))
    if "prior" in said:
        citation = citation._replace(prior=PRIORS[said.pop("prior")])
    return Mistake(id=id, source=citation, wrong=wrong, **said)


@cache
def _texts(family: str) -> dict[str, dict[str, str]]:
    return tomllib.loads(Path(__file__).with_name("entries").joinpath(f"{family}.toml").read_text(encoding="utf-8"))


class Candidate(NamedTuple):
    """One explanation of a wrong answer."""

    ids: tuple[str, ...]
    """The mistake, or the two made at once."""
    variant: str
    """Which way, in a few words."""
    relative_deviation: float
    """How far the answer lies from what the mistake gives, as a share of what is allowed (0 to 1)."""
    rank: int
    """How well it fits the digits written, as in `grader.mistakes.numeric_form.digit_rank`."""
    weight: float = 0.0
    """How common it is, as in `grader.mistakes.wrong_answers.WrongAnswerTable.weight`."""
    part: str = ""
    """The part of an expression that it explains (``"time constant"``); "" for the whole answer."""
    carried: tuple[str, ...] = ()
    """Ids of the earlier items whose answers, as the student gave them, went into it."""

    @property
    def to_the_digit(self) -> bool:
        """Whether it is the mistake's answer to every digit the student wrote."""
        return self.rank < WITHIN_TOLERANCE

    @property
    def id(self) -> str:
        """One text for both: ``"nearest-resistor-only + prefix-slip"``."""
        return TOGETHER.join(self.ids)


TOGETHER = " + "


class Diagnosis(Struct, frozen=True, kw_only=True):
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
