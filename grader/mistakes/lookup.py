"""Looking an answer up in a table of wrong answers: one mistake, two at once, other resistors; by own values, or by parts."""

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import (
    ROUNDED,
    WITHIN_TOLERANCE,
    ModalForm,
    NumericForm,
    Value,
    digit_rank,
    hits,
    last_place,
    numeric_form,
    reach_of_key,
    relative_deviation,
    sort_key,
)
from grader.mistakes.records import Candidate, Wrong
from grader.mistakes.resistances import simplest_matches
from grader.mistakes.wrong_answers import WrongAnswerRow, WrongAnswerTable
from grader.quantities.rules import Answer, Rule, follow
from grader.values.waveform import Waveform

PREFIX_SLIP, SIGN_TURNED, DIGITS_EXCHANGED = "prefix-slip", "sign-turned", "digits-exchanged"
BELOW_ZERO = "less-than-nothing"
SIGNS = (SIGN_TURNED, "inverting-sign-lost", "start-sign-turned", BELOW_ZERO)
"""The mistakes by which an answer is right but for its sign."""

INVERTED, RATE = "rl-time-constant-inverted", "rate-instead-of-time"
OTHER_RESISTORS = "resistors-combined-otherwise"

MIN_DIGITS = 3
"""Digits an answer must have before two mistakes at once, or a search, are held to explain it: fewer fit anything."""

MAX_TEXTS = 3
"""Combinations of resistors that are named."""


def single_matches(table: WrongAnswerTable, given: NumericForm, digits: int | None) -> Iterator[Candidate]:
    """Mistakes whose answer lies within the tolerance of the one given."""
    for row, fit in _near(table, given):
        rank = digit_rank(given, row.form, digits, fit, table.tolerance)
        few = digits is not None and digits < MIN_DIGITS
        if row.id not in (PREFIX_SLIP, *SIGNS) and not hits(given, row.form, digits):
            continue  # those are told as they are charged
        if row.id == DIGITS_EXCHANGED and (few or rank == WITHIN_TOLERANCE):
            continue
        yield Candidate((row.id,), row.variant, fit, rank, table.weight(row.id))


def _near(table: WrongAnswerTable, given: NumericForm) -> Iterator[tuple[WrongAnswerRow, float]]:
    key, reach = sort_key(given), reach_of_key(given, table.tolerance, table.scale)
    for place in range(bisect_left(table.rows, key - reach, key=lambda row: row.key), len(table.rows)):
        row = table.rows[place]
        if row.key > key + reach:
            return
        fit = relative_deviation(given, row.form, table.tolerance, _scale(table, row.id))
        if fit <= 1:
            yield row, fit


def _scale(table: WrongAnswerTable, id: str) -> float:
    """The size of the signal, beside which a millionth is zero; of a power of ten only the digits tell."""
    return 0.0 if id == PREFIX_SLIP else table.scale


def double_matches(table: WrongAnswerTable, given: NumericForm, digits: int | None) -> Iterator[Candidate]:
    """A mistake and a second slip upon it, where both together fit every digit written."""
    if not isinstance(given, Value) or given.value == 0 or (digits is not None and digits < MIN_DIGITS):
        return
    for second, undone in _second_slips(table, given):
        if relative_deviation(undone, table.right, table.tolerance, table.scale) <= 1:
            continue  # that slip alone explains it
        for row, fit in _near(table, undone):
            if row.id in (second, DIGITS_EXCHANGED, PREFIX_SLIP, SIGN_TURNED, BELOW_ZERO):
                continue
            rank = digit_rank(undone, row.form, digits, fit, table.tolerance)
            if rank < WITHIN_TOLERANCE:
                yield Candidate((row.id, second), row.variant, fit, rank, table.weight(row.id))


def _second_slips(table: WrongAnswerTable, given: Value) -> Iterator[tuple[str, Value]]:
    for exponent in (3, -3, 6, -6):
        yield PREFIX_SLIP, Value(given.value / 10.0**exponent)
    yield BELOW_ZERO if BELOW_ZERO in table.values else SIGN_TURNED, Value(-given.value)
    if table.inductive is not None:
        yield INVERTED if table.inductive else RATE, Value(1 / given.value)


def resistor_matches(table: WrongAnswerTable, given: NumericForm, digits: int | None) -> Iterator[Candidate]:
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
        yield Candidate((OTHER_RESISTORS,), f"equals {named}", 0.0, ROUNDED)


Led: TypeAlias = tuple[tuple[str, ...], Answer | None]
"""The items whose answers went into something, and what they lead to."""


def from_own_values(
    table: WrongAnswerTable,
    rules: Sequence[Rule],
    given: NumericForm,
    digits: int | None,
    answers: Mapping[str, Answer],
    carried: Mapping[str, Answer],
) -> Iterator[Candidate]:
    """What the mistakes give with the student's own values in place of the right ones.

    ``rules`` lead rightly from earlier items to this one; of all ``answers``, by item id, the wrong ones are ``carried``.
    """
    led = [(used, follow(rule, answers)) for rule in rules if (used := _own(rule, carried))]
    if any(_fit(one, given, table, table.scale) <= 1 for _, one in led):
        return  # it follows rightly from the student's own values
    for id, wrong in table.ruled:
        for used, own in _led_to(wrong, answers, carried, led):
            fit = _fit(own, given, table, _scale(table, id))
            form = _form(own, table) or given
            if fit <= 1 and hits(given, form, digits):
                rank = digit_rank(given, form, digits, fit, table.tolerance)
                yield Candidate((id,), wrong.variant, fit, rank, float(catalogue()[id].prior), carried=used)


def _led_to(
    wrong: Wrong, answers: Mapping[str, Answer], carried: Mapping[str, Answer], led: Sequence[Led]
) -> Iterator[Led]:
    """What a mistake makes of the student's own values: by its rule, or of what follows rightly."""
    if wrong.rule is not None and (used := _own(wrong.rule, carried)):
        yield used, follow(wrong.rule, answers)
    for used, right in led:
        if isinstance(right, Waveform) and (own := wrong.of(right)) is not None:
            yield used, own


def _own(rule: Rule, carried: Mapping[str, Answer]) -> tuple[str, ...]:
    return tuple(item for item in rule.items if item in carried)


def _fit(answer: Answer | None, given: NumericForm, table: WrongAnswerTable, scale: float) -> float:
    form = _form(answer, table)
    return math.inf if form is None else relative_deviation(given, form, table.tolerance, scale)


def _form(answer: Answer | None, table: WrongAnswerTable) -> NumericForm | None:
    try:
        return None if answer is None else numeric_form(answer, table.varies, table.start)
    except ValueError:  # a student's own value may turn a number into something that has none
        return None


GROWING = "growing-power"

DIGITS = 3
"""Significant digits that the numbers in an expression are taken to have."""


def part_matches(table: WrongAnswerTable, given: NumericForm) -> Iterator[Candidate]:
    """Mistakes in each part that is wrong; the two of an expression whose two wrong parts are both explained."""
    said = None if not isinstance(given, ModalForm) else _said(given)
    if said is None:
        return
    grows, values = said
    explained: list[Candidate] = []
    wrong = 0
    for name, part in table.parts:
        value = Value(values[name])
        if relative_deviation(value, part.right, part.tolerance, part.scale) <= 1:
            continue
        wrong += 1
        found = [*single_matches(part, value, DIGITS)] or [*double_matches(part, value, DIGITS)]
        explained += [match._replace(part=name) for match in found]
    if grows:
        explained.append(Candidate((GROWING,), "", 0.0, WITHIN_TOLERANCE, 1.0, part="exponent"))
        wrong += 1
    parts = Counter(match.ids for match in explained)
    most = max(parts.values(), default=0)
    if most > 1:  # one mistake that explains several parts is likelier than one for each
        yield from (match for match in explained if parts[match.ids] == most)
    else:
        yield from _paired(explained) if wrong == 2 else explained


def _paired(explained: list[Candidate]) -> Iterator[Candidate]:
    """The best of each of two parts joined; single ones where only one part is explained, or one by two mistakes."""
    parts = list(dict.fromkeys(match.part for match in explained))
    best = [
        min((m for m in explained if m.part == part), key=lambda m: (m.rank, m.relative_deviation)) for part in parts
    ]
    ids = [id for match in best for id in match.ids]
    if not len(ids) == len(best) == 2:
        yield from explained
        return
    yield Candidate(
        tuple(ids),
        "; ".join(match.variant for match in best if match.variant),
        max(match.relative_deviation for match in best),
        max(match.rank for match in best),
        min(match.weight for match in best),
        part=" and ".join(parts),
    )


def _said(given: ModalForm) -> tuple[bool, dict[str, float]] | None:
    """Whether it grows, and its values; None where it is no constant with one exponential."""
    moving = [m for m in given.modes if m.rate]
    if len(moving) != 1 or any(m.power or m.frequency for m in given.modes):
        return None
    final = sum(m.cosine for m in given.modes if not m.rate)
    (mode,) = moving
    values = {"initial value": final + mode.cosine, "final value": final, "time constant": 1 / abs(mode.rate)}
    return mode.rate > 0, values
