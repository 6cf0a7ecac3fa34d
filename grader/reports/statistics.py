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

import math
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

Points: TypeAlias = NDArray[np.float64]
"""Numbers of points, one for each student; of a table a row for each student, a column for each item (or problem)."""


class Figure(NamedTuple):
    """A number, or the reason why there is none."""

    value: float | None
    reason: str = ""

    @property
    def text(self) -> str:
        """The number to two places, or a dash."""
        return "–" if self.value is None else f"{self.value + 0.0:.2f}".replace("-", "−")


EXTREME_SHARE = 0.27
"""Share of the class in the upper and in the lower group (Kelley 1939)."""

FEW, ROUGH = 10, 30
"""Below 10 students only counts are shown; below 30 the figures are rough (common practice, no source)."""

EASY = 0.95
"""Difficulty index from which an item tells nobody from anybody (common practice, no source)."""


def difficulty(points: Points, possible: float) -> Figure:
    """Mean points over possible points, 0 to 1; high is easy.  A blank counts as 0.

    Examples
    --------
    >>> difficulty(np.array([2.0, 1.0, 0.0, 2.0]), 2)
    Figure(value=0.625, reason='')
    """
    if not len(points):
        return Figure(None, "nobody was marked")
    if possible <= 0:
        return Figure(None, "the item carries no points")
    return Figure(float(points.mean()) / possible)


def discrimination(points: Points, possible: float, totals: Points) -> Figure:
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
    return Figure((_group_mean(points, -totals, size) - _group_mean(points, totals, size)) / possible)


def _group_mean(points: Points, rank: Points, size: int) -> float:
    """Mean points of the `size` students of lowest `rank`."""
    edge = np.partition(rank, size - 1)[size - 1]
    inside, tied = points[rank < edge], points[rank == edge]
    return float(inside.sum() + tied.mean() * (size - len(inside))) / size


def correlation(first: Points, second: Points) -> Figure:
    """Pearson's correlation coefficient."""
    if len(first) < 2:
        return Figure(None, "one student makes no correlation")
    if _constant(first):
        return Figure(None, "everybody has the same points on the item")
    if _constant(second):
        return Figure(None, "all totals are equal")
    return Figure(float(np.corrcoef(first, second)[0, 1]))


def point_biserial(right: NDArray[np.bool_], totals: Points) -> Figure:
    """Correlation of right (1) or not right (0) with the total.

    The same number as ``(mean of the right - mean of the others) / s * sqrt(p (1 - p))`` with s of divisor N.
    """
    return correlation(right.astype(float), totals)


def item_rest(points: Points, totals: Points) -> Figure:
    """Correlation of an item with the sum of all other items: for part marks and short papers."""
    return correlation(points, totals - points)


def alpha(table: Points) -> Figure:
    """Cronbach's alpha, ``k/(k-1) (1 - sum of item variances / variance of totals)``; KR-20 on 0/1 items."""
    return _alpha(table.sum(axis=1), _variances(table))


def alphas_without(table: Points) -> tuple[Figure, ...]:
    """Alpha of the other items, for each item; where alpha rises without it, the item deserves a second look."""
    totals, variances = table.sum(axis=1), _variances(table)
    return tuple(_alpha(totals - own, np.delete(variances, place)) for place, own in enumerate(table.T))


def _variances(table: Points) -> Points:
    """Of every column; one by one, since a large class's table is not to be there twice."""
    return np.array([own.var(ddof=1) if len(own) > 1 else 0.0 for own in table.T])


def _alpha(totals: Points, variances: Points) -> Figure:
    k = len(variances)
    if k < 2:
        return Figure(None, "a single column has no inner consistency")
    if len(totals) < 2:
        return Figure(None, "one student makes no variance")
    if _constant(totals):
        return Figure(None, "all totals are equal")
    return Figure(float(k / (k - 1) * (1 - variances.sum() / totals.var(ddof=1))))


def error_of_measurement(totals: Points, consistency: Figure) -> Figure:
    """Standard error of measurement in points, ``s sqrt(1 - alpha)``."""
    if consistency.value is None:
        return consistency
    if consistency.value < 0:
        return Figure(None, "alpha is negative")
    return Figure(float(totals.std(ddof=1)) * math.sqrt(max(0.0, 1 - consistency.value)))


def interval(count: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share (E. B. Wilson, J. Am. Stat. Assoc. 22, 209-212 (1927)).

    Examples
    --------
    >>> [round(end, 3) for end in interval(5, 20)]
    [0.112, 0.469]
    """
    if of == 0:
        return 0.0, 1.0
    share, squared = count / of, 1.96**2 / of
    middle = share + squared / 2
    reach = 1.96 * math.sqrt((share * (1 - share) + squared / 4) / of)
    return max(0.0, (middle - reach) / (1 + squared)), min(1.0, (middle + reach) / (1 + squared))


class Distribution(NamedTuple):
    """Totals of a class, in points; `bins` counts students by tenths of the possible points."""

    students: int
    mean: Figure
    median: Figure
    deviation: Figure
    lowest: Figure
    highest: Figure
    bins: tuple[int, ...]


def distribution(totals: Points, possible: float) -> Distribution:
    """Describe the totals; a full mark falls into the last bin."""
    none = Figure(None, "nobody was marked")
    tenths = (10 * totals / possible + 1e-9).clip(0, 9).astype(int) if possible > 0 else totals[:0].astype(int)
    of_all = [Figure(float(find(totals))) if len(totals) else none for find in (np.mean, np.median, np.min, np.max)]
    return Distribution(
        students=len(totals),
        mean=of_all[0],
        median=of_all[1],
        deviation=Figure(float(totals.std(ddof=1))) if len(totals) > 1 else Figure(None, "one student has no spread"),
        lowest=of_all[2],
        highest=of_all[3],
        bins=tuple(np.bincount(tenths, minlength=10).tolist()),
    )


def _constant(values: Points) -> bool:
    """Whether all are equal but for rounding: sums of thirds of points differ in their last bits."""
    return bool(values.max() - values.min() <= 1e-9 * max(1.0, abs(values.max())))


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
        return (
            f"With {students} student{'s' * (students != 1)} only counts are shown; indices of fewer than {FEW} mean nothing.",
            *general,
        )
    if students < ROUGH:
        return (f"With {students} students (fewer than {ROUGH}) every figure is rough.", *general)
    return general


def second_look(p: Figure, r: Figure, students: int) -> tuple[str, ...]:
    """Why an item deserves a second look: its item-rest correlation is negative beyond what chance does.

    The standard error of a correlation near zero is about 1/√(N - 1); an item that nearly everybody has right is
    decided by a few slips, and says nothing.
    """
    if r.value is None or p.value is None or p.value >= EASY or students < 3:
        return ()
    if r.value < -2 / math.sqrt(students - 1):
        return ("strong students do worse: check the key, the tolerance and the wording first",)
    return ()
