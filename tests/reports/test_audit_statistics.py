"""Statistics of a marked class, against pandas and a published worked example."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.reports import statistics as s

QUIZ = {
    "A": "1111110110", "B": "1011011101", "C": "1111011001", "D": "0010001000", "E": "0000010010",
    "F": "1110111111", "G": "1101110111", "H": "1111111101", "I": "0101111101", "J": "1101101110",
}  # fmt: skip
"""Ten students, ten items: K. L. Wuensch, East Carolina University, core.ecu.edu/wuenschk/StatHelp/KR20.txt."""


def points(*values):
    return np.array(values, dtype=float)


def table(*columns):
    return np.array(columns, dtype=float).T


TABLE = np.array([[float(point) for point in row] for row in QUIZ.values()])
TOTALS = TABLE.sum(axis=1)


def test_published_totals_and_shares():
    """Totals, p and the sum of p(1-p) as printed there; it divides variances by N."""
    assert TOTALS.tolist() == [8, 7, 7, 2, 2, 9, 8, 9, 7, 7]
    printed = [0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6]
    assert [s.difficulty(item, 1).value for item in TABLE.T] == pytest.approx(printed)
    assert TOTALS.var() == pytest.approx(5.84)


def test_published_reliability():
    """The printed p(1-p) sum to 2.18 and the total variance is 5.84: KR-20 = 10/9 (1 - 2.18/5.84)."""
    assert s.alpha(TABLE).value == pytest.approx(10 / 9 * (1 - 2.18 / 5.84))
    assert round(s.alpha(TABLE).value, 3) == 0.696


def marks_of_a_class():
    return st.integers(2, 5).flatmap(
        lambda k: st.lists(
            st.lists(st.sampled_from([0.0, 0.5, 1.0, 1.75, 2.0]), min_size=k, max_size=k), min_size=3, max_size=40
        )
    )


@given(marks_of_a_class())
def test_alpha_and_error_agree_with_pandas(rows):
    of_class = pd.DataFrame(rows)
    k = of_class.shape[1]
    total = of_class.sum(axis=1)
    found = s.alpha(np.array(rows))
    if total.std() < 1e-9:
        assert found.value is None
        assert found.reason == "all totals are equal"
        return
    # Covariance form: k times the mean covariance over the mean element of the covariance matrix.
    covariance = of_class.cov().to_numpy()
    expected = k / (k - 1) * (1 - np.trace(covariance) / covariance.sum())
    assert found.value == pytest.approx(expected, abs=1e-9)
    error = s.error_of_measurement(total.to_numpy(), found)
    if expected < -1e-9:
        assert error.reason == "alpha is negative"
    elif expected > 1e-9:
        assert error.value == pytest.approx(total.std() * math.sqrt(max(0, 1 - expected)), abs=1e-7)


@given(marks_of_a_class())
def test_correlations_agree_with_pandas(rows):
    of_class = pd.DataFrame(rows)
    total = of_class.sum(axis=1)
    for item in of_class:
        own, rest = of_class[item], total - of_class[item]
        found = s.item_rest(own.to_numpy(), total.to_numpy())
        if own.std() < 1e-9 or rest.std() < 1e-9:
            assert found.value is None
            assert found.reason
        else:
            assert found.value == pytest.approx(own.corr(rest), abs=1e-9)


@given(marks_of_a_class())
def test_the_distribution_agrees_with_pandas(rows):
    totals = pd.DataFrame(rows).sum(axis=1)
    told = s.distribution(totals.to_numpy(), 2.0 * len(rows[0]))
    summary = totals.describe()
    figures = (told.mean, told.median, told.deviation, told.lowest, told.highest)
    assert [f.value for f in figures] == pytest.approx([summary[k] for k in ("mean", "50%", "std", "min", "max")])
    assert told.students == sum(told.bins) == summary["count"]


def test_point_biserial_is_the_textbook_formula():
    right = TABLE[:, 2] == 1.0
    p = sum(right) / 10
    of_right = np.mean([t for t, r in zip(TOTALS, right, strict=True) if r])
    of_wrong = np.mean([t for t, r in zip(TOTALS, right, strict=True) if not r])
    expected = (of_right - of_wrong) / np.std(TOTALS) * math.sqrt(p * (1 - p))
    assert s.point_biserial(right, TOTALS).value == pytest.approx(expected)


def test_discrimination_by_hand():
    """Eleven students: 27 % is three; upper three all right, lower three one of three."""
    totals = points(11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1)
    own = points(2, 2, 2, 0, 2, 0, 2, 0, 0, 2, 0)
    assert s.discrimination(own, 2, totals).value == pytest.approx(1 - 1 / 3)


@given(st.lists(st.tuples(st.sampled_from([0.0, 1.0, 2.0]), st.integers(0, 4)), min_size=4, max_size=20), st.randoms())
def test_discrimination_does_not_depend_on_order(students, shuffler):
    own, totals = zip(*students, strict=True)
    before = s.discrimination(points(*own), 2, points(*totals))
    mixed = list(students)
    shuffler.shuffle(mixed)
    own, totals = zip(*mixed, strict=True)
    after = s.discrimination(points(*own), 2, points(*totals))
    assert (before.value is None) == (after.value is None)
    if before.value is not None:
        assert before.value == pytest.approx(after.value)
        assert -1 - 1e-9 <= before.value <= 1 + 1e-9


def test_alpha_without_an_item():
    for item, found in enumerate(s.alphas_without(TABLE)):
        assert found.value == pytest.approx(s.alpha(TABLE[:, [other for other in range(10) if other != item]]).value)
    two = [figure.reason for figure in s.alphas_without(TABLE[:, :2])]
    assert two == ["a single column has no inner consistency"] * 2
    assert [f.reason for f in s.alphas_without(TABLE[:1, :3])] == ["one student makes no variance"] * 3
    assert s.alphas_without(np.empty((0, 0))) == ()


@pytest.mark.parametrize(
    ("figure", "reason"),
    [
        (s.difficulty(points(), 2), "nobody was marked"),
        (s.difficulty(points(1), 0), "the item carries no points"),
        (s.discrimination(points(1), 1, points(1)), "one student makes no groups"),
        (s.discrimination(points(1, 0), 1, points(3, 3)), "all totals are equal"),
        (s.point_biserial(points(1, 1) > 0, points(1, 2)), "everybody has the same points on the item"),
        (s.point_biserial(points(1, 0) > 0, points(2, 2)), "all totals are equal"),
        (s.alpha(table([1, 2])), "a single column has no inner consistency"),
        (s.alpha(table([1], [2])), "one student makes no variance"),
        (s.alpha(table([1, 0], [0, 1])), "all totals are equal"),
        (s.error_of_measurement(points(1, 2), s.Figure(None, "why")), "why"),
        (s.error_of_measurement(points(1, 2), s.Figure(-0.5)), "alpha is negative"),
    ],
)
def test_no_meaning_has_a_reason(figure, reason):
    assert figure == s.Figure(None, reason)


def test_equal_totals_but_for_rounding_are_equal():
    thirds = points(1 / 3 + 1 / 3 + 1 / 3, 1.0, 0.1 + 0.2 + 0.7)
    assert s.discrimination(points(1, 0, 1), 1, thirds).reason == "all totals are equal"


def test_distribution():
    found = s.distribution(points(0, 5, 9.999999999999, 10), 10)
    assert found.bins == (1, 0, 0, 0, 0, 1, 0, 0, 0, 2)
    assert found.mean.value == pytest.approx(6.25)
    assert found.median.value == pytest.approx(7.5)
    assert found.deviation.value == pytest.approx(np.std([0, 5, 10, 10], ddof=1))
    assert s.distribution(points(), 10).mean == s.Figure(None, "nobody was marked")


def test_zero_points_for_everybody_is_a_difficulty_of_zero():
    assert s.difficulty(points(0, 0), 2) == s.Figure(0.0)


@pytest.mark.parametrize(
    ("students", "start"), [(0, "With 0 students only"), (9, "With 9"), (10, "With 10 students (fewer")]
)
def test_small_classes_are_warned_about(students, start):
    assert s.cautions(students)[0].startswith(start)


def test_large_class_has_no_size_caution():
    assert not any(c.startswith("With") for c in s.cautions(30))


def test_second_look():
    """Beyond chance means below -2/sqrt(N - 1): -0.2 among 101 students; not among 82."""
    assert s.second_look(s.Figure(0.5), s.Figure(-0.21), 101)
    assert s.second_look(s.Figure(0.5), s.Figure(-0.21), 82) == ()
    assert s.second_look(s.Figure(0.96), s.Figure(-0.5), 101) == ()
    assert s.second_look(s.Figure(0.2), s.Figure(0.1), 101) == ()
    assert s.second_look(s.Figure(0.5), s.Figure(None, "x"), 101) == ()


def test_interval_of_a_share():
    """5 of 20 and 0 of 10, worked by hand with Wilson's formula at z = 1.96."""
    assert s.interval(5, 20) == pytest.approx((0.1119, 0.4687), abs=1e-4)
    assert s.interval(0, 10) == pytest.approx((0.0, 0.2775), abs=1e-4)
    assert s.interval(0, 0) == (0.0, 1.0)
