"""The key to a rubric: everything marking needs, computed once and picklable."""

from __future__ import annotations

from dataclasses import dataclass

from grader.asked.rules import Answer
from grader.marking.credit import PART_CHECKS
from grader.mistakes.diagnose import Diagnoser
from grader.problem import Marking, Rubric
from grader.rubric.references import Reference, references
from grader.values.waveform import Waveform


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreseen:
    """A known wrong answer: what it earns (share of the points) and what the student is told."""

    answer: Answer
    share: float
    comment: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemKey:
    """One item with its reference answer.

    ``accepted`` starts with the reference answer; ``parts`` are the weights of an expression's parts.
    """

    problem: str
    id: str
    points: float
    marking: Marking
    hint: str
    reference: Reference
    accepted: tuple[Answer, ...]
    foreseen: tuple[Foreseen, ...]
    parts: tuple[tuple[str, float], ...]
    options: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A rubric, its items in order by problem, and the diagnoser of its wrong answers."""

    rubric: Rubric
    problems: tuple[tuple[str, tuple[ItemKey, ...]], ...]
    diagnoser: Diagnoser

    def item(self, problem: str, item: str) -> ItemKey:
        """One item's key (KeyError if there is none)."""
        for id, items in self.problems:
            for entry in items:
                if (id, entry.id) == (problem, item):
                    return entry
        raise KeyError((problem, item))
