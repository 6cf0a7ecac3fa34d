"""Mistakes made with a student's own earlier answers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from grader.mistakes.catalogue import catalogue
from grader.mistakes.lookup import PREFIX_SLIP, SIGN_TURNED, Match
from grader.mistakes.numeric_form import NumericForm, Value, digit_rank, numeric_form, relative_deviation
from grader.mistakes.wrong_answers import WrongAnswerTable
from grader.quantities.rules import Answer, Rule, follow


def from_own_values(
    table: WrongAnswerTable,
    rules: Sequence[Rule],
    given: NumericForm,
    digits: int | None,
    answers: Mapping[str, Answer],
    carried: Mapping[str, Answer],
) -> Iterator[Match]:
    """What the mistakes give with the student's own values in place of the right ones.

    Parameters
    ----------
    rules : sequence of Rule
        How the item follows rightly from earlier ones.
    answers : mapping
        Answers by item id, the student's own where they are wrong.
    carried : mapping
        The wrong ones among them.
    """
    rightly = [led for rule in rules if _own(rule, carried) and (led := _led(rule, answers, table)) is not None]
    if any(relative_deviation(given, led, table.tolerance, table.scale) <= 1 for led in rightly):
        return  # it follows rightly from the student's own values
    for id, variant, rule in table.ruled:
        used = _own(rule, carried)
        led = _led(rule, answers, table) if used else None
        if led is not None:
            fit = relative_deviation(given, led, table.tolerance, table.scale)
            if fit <= 1:
                rank = digit_rank(given, led, digits, fit, table.tolerance)
                yield Match((id,), variant, fit, rank, float(catalogue()[id].prior), carried=used)
    for rule in rules:
        used = _own(rule, carried)
        led = _led(rule, answers, table) if used else None
        if isinstance(led, Value) and isinstance(given, Value) and led.value != 0:
            for id, variant, wrong in _slips(led):
                fit = relative_deviation(given, wrong, table.tolerance, table.scale)
                if fit <= 1:
                    rank = digit_rank(given, wrong, digits, fit, table.tolerance)
                    yield Match((id,), variant, fit, rank, float(catalogue()[id].prior), carried=used)


def _own(rule: Rule, carried: Mapping[str, Answer]) -> tuple[str, ...]:
    return tuple(item for _, item in rule.uses if item in carried)


def _led(rule: Rule, answers: Mapping[str, Answer], table: WrongAnswerTable) -> NumericForm | None:
    if any(item not in answers for _, item in rule.uses):
        return None
    led = follow(rule, answers)
    try:
        return None if led is None else numeric_form(led, table.varies, table.start)
    except ValueError:  # a student's own value may turn a number into something that has none
        return None


def _slips(led: Value) -> Iterator[tuple[str, str, Value]]:
    """The sign or the power of ten of what follows."""
    yield SIGN_TURNED, "", Value(-led.value)
    for exponent in (3, -3, 6, -6):
        yield PREFIX_SLIP, f"·10^{exponent}", Value(led.value * 10.0**exponent)
