"""An expression that no mistake explains as a whole, explained by what it says: start, end, time constant."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from grader.mistakes.lookup import Match, double_matches, single_matches
from grader.mistakes.numeric_form import WITHIN_TOLERANCE, ModalForm, NumericForm, Value, relative_deviation
from grader.mistakes.wrong_answers import WrongAnswerTable

GROWING = "growing-power"

DIGITS = 3
"""Significant digits that the numbers in an expression are taken to have."""


def part_matches(table: WrongAnswerTable, given: NumericForm) -> Iterator[Match]:
    """Mistakes in each part that is wrong; the two of an expression whose two wrong parts are both explained."""
    said = None if not isinstance(given, ModalForm) else _said(given)
    if said is None:
        return
    grows, values = said
    explained: list[Match] = []
    wrong = 0
    for name, part in table.parts:
        value = Value(values[name])
        if relative_deviation(value, part.right, part.tolerance, part.scale) <= 1:
            continue
        wrong += 1
        found = [*single_matches(part, value, DIGITS)] or [*double_matches(part, value, DIGITS)]
        explained += [match._replace(part=name) for match in found]
    if grows:
        explained.append(Match((GROWING,), "", 0.0, WITHIN_TOLERANCE, 1.0, part="exponent"))
        wrong += 1
    parts = Counter(match.ids for match in explained)
    most = max(parts.values(), default=0)
    if most > 1:  # one mistake that explains several parts is likelier than one for each
        yield from (match for match in explained if parts[match.ids] == most)
    else:
        yield from _paired(explained) if wrong == 2 else explained


def _paired(explained: list[Match]) -> Iterator[Match]:
    """The best of each of two parts joined; single ones where only one part is explained."""
    parts = list(dict.fromkeys(match.part for match in explained))
    if len(parts) != 2:
        yield from explained
        return
    first, second = (
        min((m for m in explained if m.part == part), key=lambda m: (m.rank, m.relative_deviation)) for part in parts
    )
    if len(first.ids) + len(second.ids) == 2 and first.ids != second.ids:
        variant = "; ".join(v for v in (first.variant, second.variant) if v)
        yield Match(
            (*first.ids, *second.ids),
            variant,
            max(first.relative_deviation, second.relative_deviation),
            max(first.rank, second.rank),
            min(first.weight, second.weight),
            part=" and ".join(parts),
        )
    else:
        yield from explained


def _said(given: ModalForm) -> tuple[bool, dict[str, float]] | None:
    """Whether it grows, and its values; None where it is no constant with one exponential."""
    moving = [m for m in given.modes if m.rate != 0]
    if len(moving) != 1 or any(m.power or m.frequency for m in given.modes):
        return None
    final = sum(m.cosine for m in given.modes if m.rate == 0)
    (mode,) = moving
    values = {"initial value": final + mode.cosine, "final value": final, "time constant": 1 / abs(mode.rate)}
    return mode.rate > 0, values
