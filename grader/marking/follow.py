"""What follows from a student's own earlier answers, through the theory's dependencies.

A slip is charged where it is made: an item that depends on it is also held against what the student's own
value leads to, several steps deep where an item in between was left blank.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from grader.asked.rules import Rule
from grader.reading.evaluate import EvaluationError, evaluate
from grader.reading.reader import formula_tree
from grader.rubric.references import Reference
from grader.values.dimension import ENERGY, RESISTANCE, TIME
from grader.values.scalar import to_float
from grader.values.waveform import NotAWaveform, Waveform, number_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """The value an item passes on to later ones.

    ``source`` are the ids of the student's own wrong answers it rests on; empty where it is the right value.
    """

    answer: Waveform
    source: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequence:
    """What a rule gives with the student's own values."""

    answer: Waveform
    source: tuple[str, ...]
    says: str
    absurd: bool = False
    easier: bool = False


def consequences(reference: Reference, carried: Mapping[str, Carried]) -> Iterator[Consequence]:
    """What follows for one item from earlier wrong answers; nothing where none of them matters.

    Parameters
    ----------
    reference : Reference
        Of the item; its rules say what it depends on.
    carried : mapping
        By item id, for the items before it.
    """
    for rule in reference.rules:
        source = tuple(dict.fromkeys(s for _, item in rule.uses if item in carried for s in carried[item].source))
        if not source or any(item not in carried for _, item in rule.uses):
            continue
        answer = _applied(rule, carried)
        if answer is None:
            continue
        yield Consequence(
            answer=answer,
            source=source,
            says=rule.says,
            absurd=_absurd(answer, reference),
            easier=_easier(answer, reference),
        )


def _applied(rule: Rule, carried: Mapping[str, Carried]) -> Waveform | None:
    names = dict(rule.given)
    names.update((name, carried[item].answer) for name, item in rule.uses)
    try:
        return evaluate(formula_tree(rule.formula, frozenset(names)), names).waveform
    except (EvaluationError, NotAWaveform, ZeroDivisionError, ValueError):
        return None


def _absurd(answer: Waveform, reference: Reference) -> bool:
    """Whether a number cannot be what is asked on any passive circuit (a negative time constant)."""
    if reference.dimension not in (RESISTANCE, TIME, ENERGY) or not answer.is_constant or answer.is_symbolic:
        return False
    return to_float(number_of(answer)) < 0


def _easier(answer: Waveform, reference: Reference) -> bool:
    """Whether the slip leaves nothing to do: zero where there is a value, a constant where it varies."""
    right = reference.answer
    if not isinstance(right, Waveform):
        return False
    if not answer.terms:
        return bool(right.terms)
    return answer.is_constant and not right.is_constant
