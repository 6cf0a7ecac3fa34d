"""Mistakes made with a student's own earlier answers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

from grader.mistakes.catalogue import catalogue
from grader.mistakes.lookup import Match
from grader.mistakes.numeric_form import NumericForm, digit_rank, numeric_form, relative_deviation
from grader.mistakes.records import Wrong
from grader.mistakes.wrong_answers import WrongAnswerTable
from grader.quantities.rules import Answer, Rule, follow
from grader.values.waveform import Waveform

Led: TypeAlias = tuple[tuple[str, ...], Answer | None]
"""The items whose answers went into something, and what they lead to."""


def from_own_values(
    table: WrongAnswerTable,
    rules: Sequence[Rule],
    given: NumericForm,
    digits: int | None,
    answers: Mapping[str, Answer],
    carried: Mapping[str, Answer],
) -> Iterator[Match]:
    """What the mistakes give with the student's own values in place of the right ones.

    ``rules`` lead rightly from earlier items to this one; of all ``answers``, by item id, the wrong ones are ``carried``.
    """
    led = [(used, follow(rule, answers)) for rule in rules if (used := _own(rule, carried))]
    if any(_fit(one, given, table) <= 1 for _, one in led):
        return  # it follows rightly from the student's own values
    for id, wrong in table.ruled:
        for used, own in _led_to(wrong, answers, carried, led):
            fit = _fit(own, given, table)
            if fit <= 1:
                rank = digit_rank(given, _form(own, table) or given, digits, fit, table.tolerance)
                yield Match((id,), wrong.variant, fit, rank, float(catalogue()[id].prior), carried=used)


def _led_to(
    wrong: Wrong, answers: Mapping[str, Answer], carried: Mapping[str, Answer], led: Sequence[Led]
) -> Iterator[Led]:
    """What a mistake makes of the student's own values: by its rule, or by its factor of what follows rightly."""
    if wrong.rule is not None and (used := _own(wrong.rule, carried)):
        yield used, follow(wrong.rule, answers)
    if wrong.factor is not None:
        for used, right in led:
            if isinstance(right, Waveform):
                yield used, right * wrong.factor


def _own(rule: Rule, carried: Mapping[str, Answer]) -> tuple[str, ...]:
    return tuple(item for _, item in rule.uses if item in carried)


def _fit(answer: Answer | None, given: NumericForm, table: WrongAnswerTable) -> float:
    form = _form(answer, table)
    return math.inf if form is None else relative_deviation(given, form, table.tolerance, table.scale)


def _form(answer: Answer | None, table: WrongAnswerTable) -> NumericForm | None:
    try:
        return None if answer is None else numeric_form(answer, table.varies, table.start)
    except ValueError:  # a student's own value may turn a number into something that has none
        return None
