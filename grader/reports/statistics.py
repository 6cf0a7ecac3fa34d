"""Classical test statistics of a marked class: pure functions on points.

A figure that has no meaning (one student, every total equal, an item everybody got right) comes as no value
with the reason, never as 0.  Standard deviations have the divisor N - 1.

References
----------
T. L. Kelley, J. Educ. Psychol. 30, 17-24 (1939): upper and lower 27 %.
L. J. Cronbach, Psychometrika 16, 297-334 (1951): coefficient alpha.
L. Ding and R. Beichner, Phys. Rev. ST Phys. Educ. Res. 5, 020103 (2009): difficulty, discrimination and
point-biserial of physics tests (abstract seen; the usual ranges from memory).
P. V. Engelhardt and others, classical test theory, 2009: discrimination >= 0.30, point-biserial >= 0.20, as quoted
on a public summary.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple


class Figure(NamedTuple):
    """A number, or the reason why there is none."""

    value: float | None
    reason: str = ""


EXTREME_SHARE = 0.27
"""Share of the class in the upper and in the lower group (Kelley 1939)."""

FEW, ROUGH = 10, 30
"""Below 10 students only counts are shown; below 30 the figures are rough (common practice, no source)."""

HARD, EASY = 0.30, 0.70
"""Difficulty index up to which an item is called hard, and from which easy (Arikunto 2008, as quoted in a thesis)."""

WEAK = 0.20
"""Discrimination or correlation below which an item deserves a second look (Engelhardt and others; common practice)."""


def difficulty(points: Sequence[float], possible: float) -> Figure:
    """Mean points over possible points, 0 to 1; high is easy.  A blank counts as 0.

    Examples
    --------
    >>> difficulty([2, 1, 0, 2], 2)
    Figure(value=0.625, reason='')
    """
    if not points:
        return Figure(None, "nobody was marked")
    if possible <= 0:
        return Figure(None, "the item carries no points")
    return Figure(mean(points) / possible)


def discrimination(points: Sequence[float], possible: float, totals: Sequence[float]) -> Figure:
    """Mean points of the upper group minus those of the lower, over possible points; -1 to 1.

    Students tied at the edge of a group count with equal weights, so that their order does not matter.
    """
    if possible <= 0:
        return Figure(None, "the item carries no points")
    if len(totals) < 2:
        return Figure(None, "one student makes no groups")
    if _constant(totals):
        return Figure(None, "all totals are equal")
    size = max(1, math.floor(EXTREME_SHARE * len(totals) + 0.5))
    upper = _group_mean(points, [-total for total in totals], size)
    lower = _group_mean(points, totals, size)
    return Figure((upper - lower) / possible)


def _group_mean(points: Sequence[float], rank: Sequence[float], size: int) -> float:
    """Mean points of the `size` students of lowest `rank`."""
    edge = sorted(rank)[size - 1]
    inside = [point for point, at in zip(points, rank, strict=True) if at < edge]
    tied = [point for point, at in zip(points, rank, strict=True) if at == edge]
    return (math.fsum(inside) + mean(tied) * (size - len(inside))) / size


def correlation(first: Sequence[float], second: Sequence[float]) -> Figure:
    """Pearson's correlation coefficient."""
    if len(first) < 2:
        return Figure(None, "one student makes no correlation")
    if _constant(first):
        return Figure(None, "everybody has the same points on the item")
    if _constant(second):
        return Figure(None, "all totals are equal")
    m, n = mean(first), mean(second)
    above = math.fsum((a - m) * (b - n) for a, b in zip(first, second, strict=True))
    squares = math.fsum((a - m) ** 2 for a in first) * math.fsum((b - n) ** 2 for b in second)
    return Figure(max(-1.0, min(1.0, above / math.sqrt(squares))))


def point_biserial(right: Sequence[bool], totals: Sequence[float]) -> Figure:
    """Correlation of right (1) or not right (0) with the total.

    The same number as ``(mean of the right - mean of the others) / s * sqrt(p (1 - p))`` with s of divisor N.
    """
    return correlation([float(r) for r in right], totals)


def item_rest(points: Sequence[float], totals: Sequence[float]) -> Figure:
    """Correlation of an item with the sum of all other items: for part marks and short papers."""
    return correlation(points, [total - point for point, total in zip(points, totals, strict=True)])


def alpha(columns: Sequence[Sequence[float]]) -> Figure:
    """Cronbach's alpha, ``k/(k-1) (1 - sum of item variances / variance of totals)``; KR-20 on 0/1 items.

    Parameters
    ----------
    columns : sequence of sequences
        One per item (or per problem), the points of every student in the same order.
    """
    if len(columns) < 2:
        return Figure(None, "a single column has no inner consistency")
    if len(columns[0]) < 2:
        return Figure(None, "one student makes no variance")
    totals = [math.fsum(row) for row in zip(*columns, strict=True)]
    return _alpha(len(columns), math.fsum(variance(column) for column in columns), totals)


def alphas_without(columns: Sequence[Sequence[float]]) -> tuple[Figure, ...]:
    """Alpha of the other items, for each item; where alpha rises without it, the item deserves a second look."""
    if len(columns) < 3 or len(columns[0]) < 2:
        return tuple(alpha([c for place, c in enumerate(columns) if place != index]) for index in range(len(columns)))
    variances = [variance(column) for column in columns]
    totals = [math.fsum(row) for row in zip(*columns, strict=True)]
    return tuple(
        _alpha(
            len(columns) - 1,
            math.fsum(variances) - own,
            [total - point for total, point in zip(totals, column, strict=True)],
        )
        for own, column in zip(variances, columns, strict=True)
    )


def _alpha(k: int, of_items: float, totals: Sequence[float]) -> Figure:
    if _constant(totals):
        return Figure(None, "all totals are equal")
    return Figure(k / (k - 1) * (1 - of_items / variance(totals)))


def error_of_measurement(totals: Sequence[float], consistency: Figure) -> Figure:
    """Standard error of measurement in points, ``s sqrt(1 - alpha)``."""
    if consistency.value is None:
        return consistency
    if consistency.value < 0:
        return Figure(None, "alpha is negative")
    return Figure(math.sqrt(variance(totals) * max(0.0, 1 - consistency.value)))


class Distribution(NamedTuple):
    """Totals of a class, in points; `bins` counts students by tenths of the possible points."""

    students: int
    mean: Figure
    median: Figure
    deviation: Figure
    lowest: Figure
    highest: Figure
    bins: tuple[int, ...]


def distribution(totals: Sequence[float], possible: float) -> Distribution:
    """Describe the totals; a full mark falls into the last bin."""
    none = Figure(None, "nobody was marked")
    bins = [0] * 10
    if possible > 0:
        for total in totals:
            bins[max(0, min(9, math.floor(10 * total / possible + 1e-9)))] += 1
    return Distribution(
        students=len(totals),
        mean=Figure(mean(totals)) if totals else none,
        median=Figure(median(totals)) if totals else none,
        deviation=Figure(math.sqrt(variance(totals))) if len(totals) > 1 else Figure(None, "one student has no spread"),
        lowest=Figure(min(totals)) if totals else none,
        highest=Figure(max(totals)) if totals else none,
        bins=tuple(bins),
    )


def mean(values: Sequence[float]) -> float:
    """Arithmetic mean of at least one value."""
    return math.fsum(values) / len(values)


def median(values: Sequence[float]) -> float:
    """Middle value, or the mean of the two middle ones, of at least one value."""
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def variance(values: Sequence[float]) -> float:
    """Sample variance (divisor N - 1) of at least two values."""
    m = mean(values)
    return math.fsum((value - m) ** 2 for value in values) / (len(values) - 1)


def _constant(values: Sequence[float]) -> bool:
    """Whether all are equal but for rounding: sums of thirds of points differ in their last bits."""
    return max(values) - min(values) <= 1e-9 * max(1.0, abs(max(values)))


def cautions(students: int) -> tuple[str, ...]:
    """What to bear in mind when reading the figures of a class of that size."""
    general = (
        "Items of one problem are not independent: alpha over items comes out too high, so it is given over "
        "problem totals as well.",
        "The marks used are those given, with follow-through; it weakens the link between early and later items.",
        "A blank counts as 0 points here and is counted apart.",
        "A short paper has a low alpha by nature: reliability grows with the number of items and the spread of the class.",
    )
    if students < FEW:
        return (f"With {students} students only counts are shown; indices of fewer than {FEW} mean nothing.", *general)
    if students < ROUGH:
        return (f"With {students} students (fewer than {ROUGH}) every figure is rough.", *general)
    return general


def second_look(p: Figure, d: Figure, r: Figure) -> tuple[str, ...]:
    """Why an item deserves a second look, by its difficulty, discrimination and item-rest correlation."""
    reasons = []
    if any(figure.value is not None and figure.value < 0 for figure in (d, r)):
        reasons.append("strong students do worse: check the key, the tolerance and the wording first")
    elif any(figure.value is not None and figure.value < WEAK for figure in (d, r)):
        reasons.append("hardly tells strong from weak")
    if p.value is not None and p.value <= HARD:
        reasons.append("hard")
    return tuple(reasons)
