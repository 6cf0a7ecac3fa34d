"""Looking an answer up in a table of wrong answers: one mistake, two at once, other resistors."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from typing import NamedTuple

from grader.mistakes.numeric_form import (
    ROUNDED,
    WITHIN_TOLERANCE,
    NumericForm,
    Value,
    digit_rank,
    last_place,
    reach_of_key,
    relative_deviation,
    sort_key,
)
from grader.mistakes.records import Candidate
from grader.mistakes.resistances import simplest_matches
from grader.mistakes.wrong_answers import WrongAnswerRow, WrongAnswerTable

PREFIX_SLIP, SIGN_TURNED, DIGITS_EXCHANGED = "prefix-slip", "sign-turned", "digits-exchanged"
INVERTED, RATE = "rl-time-constant-inverted", "rate-instead-of-time"
OTHER_RESISTORS = "resistors-combined-otherwise"

MIN_DIGITS = 3
"""Digits an answer must have before two mistakes at once, or a search, are held to explain it: fewer fit anything."""

MAX_TEXTS = 3
"""Combinations of resistors that are named."""


class Match(NamedTuple):
    """A candidate before it is ranked; ``rank`` as in `digit_rank`, ``weight`` as in `WrongAnswerTable.weight`."""

    ids: tuple[str, ...]
    variant: str
    relative_deviation: float
    rank: int
    weight: float = 0.0
    part: str = ""
    carried: tuple[str, ...] = ()

    def candidate(self) -> Candidate:
        """As others see it."""
        return Candidate(
            ids=self.ids,
            variant=self.variant,
            relative_deviation=self.relative_deviation,
            to_the_digit=self.rank < WITHIN_TOLERANCE,
            part=self.part,
            carried=self.carried,
        )


def single_matches(table: WrongAnswerTable, given: NumericForm, digits: int | None) -> Iterator[Match]:
    """Mistakes whose answer lies within the tolerance of the one given."""
    for row, fit in _near(table, given):
        rank = digit_rank(given, row.form, digits, fit, table.tolerance)
        few = digits is not None and digits < MIN_DIGITS
        if row.id == DIGITS_EXCHANGED and (few or rank == WITHIN_TOLERANCE):
            continue
        yield Match((row.id,), row.variant, fit, rank, table.weight(row.id))


def _near(table: WrongAnswerTable, given: NumericForm) -> Iterator[tuple[WrongAnswerRow, float]]:
    key, reach = sort_key(given), reach_of_key(given, table.tolerance, table.scale)
    for place in range(bisect_left(table.keys, key - reach), len(table.rows)):
        row = table.rows[place]
        if row.key > key + reach:
            return
        fit = relative_deviation(given, row.form, table.tolerance, table.scale)
        if fit <= 1:
            yield row, fit


def double_matches(table: WrongAnswerTable, given: NumericForm, digits: int | None) -> Iterator[Match]:
    """A mistake and a second slip upon it, where both together fit every digit written."""
    if not isinstance(given, Value) or given.value == 0 or (digits is not None and digits < MIN_DIGITS):
        return
    for second, undone in _second_slips(table, given):
        if relative_deviation(undone, table.right, table.tolerance, table.scale) <= 1:
            continue  # that slip alone explains it
        for row, fit in _near(table, undone):
            if row.id in (second, DIGITS_EXCHANGED, PREFIX_SLIP, SIGN_TURNED):
                continue
            rank = digit_rank(undone, row.form, digits, fit, table.tolerance)
            if rank < WITHIN_TOLERANCE:
                yield Match((row.id, second), row.variant, fit, rank, table.weight(row.id))


def _second_slips(table: WrongAnswerTable, given: Value) -> Iterator[tuple[str, Value]]:
    """Second slips, and the answer without each."""
    for exponent in (3, -3, 6, -6):
        yield PREFIX_SLIP, Value(given.value / 10.0**exponent)
    yield SIGN_TURNED, Value(-given.value)
    if table.inductive is not None:
        yield INVERTED if table.inductive else RATE, Value(1 / given.value)


def resistor_matches(table: WrongAnswerTable, given: NumericForm, digits: int | None) -> Iterator[Match]:
    """Other combinations of the circuit's resistors that equal the answer to every digit written."""
    if table.resistors is None or not isinstance(given, Value) or given.value <= 0:
        return
    if digits is not None and digits < MIN_DIGITS:
        return
    ohms = table.resistors.resistance(given.value)
    if ohms is None:
        return
    share = last_place(given.value, digits) / given.value
    equal = simplest_matches(table.resistors.found, ohms, share * ohms)
    if equal:
        texts = [found.text for found in equal]
        named = ", or ".join(texts[:MAX_TEXTS]) + (
            f", or {len(texts) - MAX_TEXTS} more" if len(texts) > MAX_TEXTS else ""
        )
        yield Match((OTHER_RESISTORS,), f"equals {named}", 0.0, ROUNDED)
