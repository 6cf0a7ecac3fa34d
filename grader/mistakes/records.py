"""What a mistake is, what it gives on a circuit, and what a diagnosis says."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from grader.mistakes.case import Case
from grader.values.waveform import Waveform

Answer: TypeAlias = Waveform | tuple[tuple[Waveform, Waveform], ...] | str
"""A value or an expression; roots as (real part, imaginary part); a choice's or a damping type's text."""

SEEN, REPORTED, SUPPOSED = 3, 2, 1
"""How common a mistake is held to be, before anything is known of the class.

Seen in students' attempts, or reported by several sources; reported by one source; common practice, no source.
"""


class Wrong(NamedTuple):
    """A wrong answer that a mistake leads to; ``variant`` says which way in a few words (``"R3 alone"``)."""

    answer: Answer
    variant: str = ""


class Formula(NamedTuple):
    """How a mistake makes an answer out of earlier ones, in the notation students write.

    Attributes
    ----------
    formula : str
        Say ``"R/L"``, ``"xf*(1-e^(-t/tau))"``.
    uses : tuple of (str, str)
        Names in the formula and the ids of the earlier items they stand for.
    given : tuple of (str, Waveform)
        Names in the formula and their values, where the student took them from the problem (SI base units).
    variant : str
        As in `Wrong`.
    """

    formula: str
    uses: tuple[tuple[str, str], ...]
    given: tuple[tuple[str, Waveform], ...] = ()
    variant: str = ""


def no_formulas(case: Case) -> Iterable[Formula]:  # noqa: ARG001 - the signature is the contract's
    """Give none, as most mistakes do."""
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mistake:
    """A named wrong line of reasoning whose answer can be computed on any circuit.

    Attributes
    ----------
    id : str
        Names the fault, never the cure: lower case and hyphens, unique, after the file it stands in.
    title : str
        A short noun phrase for tables and headings.
    idea : str
        The idea behind it, for the instructor's next lecture: what was believed, and why it fails.
    nudge : str
        A question that leads the student to the slip and does not give the answer away.
    remark : str
        What an instructor is told of one answer: what seems to have been computed.
    source : str
        Where the mistake is reported, spelled out; or "Common practice, no source."
    prior : int
        `SEEN`, `REPORTED` or `SUPPOSED`.
    wrong : callable
        ``wrong(case)`` yields the answers it leads to on that circuit: none where it does not apply.
    formulas : callable
        ``formulas(case)`` yields the same as formulas of the student's own earlier answers, where it is one.
    """

    id: str
    title: str
    idea: str
    nudge: str
    remark: str
    source: str
    prior: int
    wrong: Callable[[Case], Iterable[Wrong]]
    formulas: Callable[[Case], Iterable[Formula]] = no_formulas


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One explanation of a wrong answer.

    Attributes
    ----------
    ids : tuple of str
        The mistake, or the two made at once.
    variant : str
        Which way, in a few words.
    misfit : float
        How far the answer lies from what the mistake gives, as a share of what is allowed (0 to 1).
    to_the_digit : bool
        Whether it is the mistake's answer to every digit the student wrote.
    part : str
        The part of an expression that it explains (``"time constant"``); "" for the whole answer.
    carried : tuple of str
        Ids of the earlier items whose answers, as the student gave them, went into it.
    """

    ids: tuple[str, ...]
    variant: str = ""
    misfit: float
    to_the_digit: bool
    part: str = ""
    carried: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """One text for both: ``"nearest-resistor-only + prefix-slip"``."""
        return JOINT.join(self.ids)


JOINT = " + "


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What may have gone wrong in one answer: candidates, most plausible first.

    ``tied``: how many of the first fit equally well, so that none of them may be named alone.
    """

    candidates: tuple[Candidate, ...] = ()
    tied: int = 0

    @property
    def ids(self) -> tuple[str, ...]:
        """As `grader.marking.records.Mark.mistakes` wants them."""
        return tuple(dict.fromkeys(candidate.id for candidate in self.candidates))
