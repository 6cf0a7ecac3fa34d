"""Statistics of a marked class, against numpy and a published worked example."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.reports import statistics as s

QUIZ = {
    "A": "1111110110", "B": "1011011101", "C": "1111011001", "D": "0010001000", "E": "0000010010",
    "F": "1110111111", "G": "1101110111", "H": "1111111101", "I": "0101111101", "J": "1101101110",
}  # fmt: skip
"""Ten students, ten items: K. L. Wuensch, East Carolina University, core.ecu.edu/wuenschk/StatHelp/KR20.txt."""

COLUMNS = [[float(row[item]) for row in QUIZ.values()] for item in range(10)]
TOTALS = [sum(map(float, row)) for row in QUIZ.values()]


def test_published_totals_and_shares():
    """Totals, p and the sum of p(1-p) as printed there; it divides variances by N."""
    assert TOTALS == [8, 7, 7, 2, 2, 9, 8, 9, 7, 7]
    printed = [0.7, 0.7, 0.6, 0.7, 0.6, 0.8, 0.7, 0.7, 0.5, 0.6]
    assert [s.difficulty(column, 1).value for column in COLUMNS] == pytest.approx(printed)
    assert s.variance(TOTALS) * 9 / 10 == pytest.approx(5.84)


def test_published_reliability():
    """The printed p(1-p) sum to 2.18 and the total variance is 5.84: KR-20 = 10/9 (1 - 2.18/5.84)."""
    assert s.alpha(COLUMNS).value == pytest.approx(10 / 9 * (1 - 2.18 / 5.84))
    assert round(s.alpha(COLUMNS).value, 3) == 0.696


def marks_of_a_class():
    return st.integers(2, 5).flatmap(
        lambda k: st.lists(
            st.lists(st.sampled_from([0.0, 0.5, 1.0, 1.75, 2.0]), min_size=k, max_size=k), min_size=3, max_size=40
        )
    )


@given(marks_of_a_class())
def test_alpha_and_error_agree_with_numpy(rows):
    table = np.array(rows)
    k = table.shape[1]
    columns = table.T.tolist()
    total = table.sum(axis=1)
    found = s.alpha(columns)
    if total.std() < 1e-9:
        assert found.value is None
        assert found.reason == "all totals are equal"
        return
    # Covariance form: k times the mean covariance over the mean element of the covariance matrix.
    covariance = np.cov(table, rowvar=False)
    expected = k / (k - 1) * (1 - np.trace(covariance) / covariance.sum())
    assert found.value == pytest.approx(expected, abs=1e-9)
    error = s.error_of_measurement(total.tolist(), found)
    if expected < -1e-9:
        assert error.reason == "alpha is negative"
    elif expected > 1e-9:
        assert error.value == pytest.approx(total.std(ddof=1) * math.sqrt(max(0, 1 - expected)), abs=1e-7)


@given(marks_of_a_class())
def test_correlations_agree_with_numpy(rows):
    table = np.array(rows)
    total = table.sum(axis=1)
    for item in range(table.shape[1]):
        points, rest = table[:, item], total - table[:, item]
        found = s.item_rest(points.tolist(), total.tolist())
        if points.std() < 1e-9 or rest.std() < 1e-9:
            assert found.value is None
            assert found.reason
        else:
            assert found.value == pytest.approx(np.corrcoef(points, rest)[0, 1], abs=1e-9)


def test_point_biserial_is_the_textbook_formula():
    right = [column == 1.0 for column in COLUMNS[2]]
    p = sum(right) / 10
    of_right = np.mean([t for t, r in zip(TOTALS, right, strict=True) if r])
    of_wrong = np.mean([t for t, r in zip(TOTALS, right, strict=True) if not r])
    expected = (of_right - of_wrong) / np.std(TOTALS) * math.sqrt(p * (1 - p))
    assert s.point_biserial(right, TOTALS).value == pytest.approx(expected)


def test_discrimination_by_hand():
    """Eleven students: 27 % is three; upper three all right, lower three one of three."""
    totals = [11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]
    points = [2, 2, 2, 0, 2, 0, 2, 0, 0, 2, 0]
    assert s.discrimination(points, 2, totals).value == pytest.approx(1 - 1 / 3)


@given(st.lists(st.tuples(st.sampled_from([0.0, 1.0, 2.0]), st.integers(0, 4)), min_size=4, max_size=20), st.randoms())
def test_discrimination_does_not_depend_on_order(students, shuffler):
    points, totals = zip(*students, strict=True)
    before = s.discrimination(points, 2, totals)
    mixed = list(students)
    shuffler.shuffle(mixed)
    points, totals = zip(*mixed, strict=True)
    after = s.discrimination(points, 2, totals)
    assert (before.value is None) == (after.value is None)
    if before.value is not None:
        assert before.value == pytest.approx(after.value)
        assert -1 - 1e-9 <= before.value <= 1 + 1e-9


def test_alpha_without_an_item():
    for item, found in enumerate(s.alphas_without(COLUMNS)):
        others = [column for place, column in enumerate(COLUMNS) if place != item]
        assert found.value == pytest.approx(s.alpha(others).value)
    two = [figure.reason for figure in s.alphas_without(COLUMNS[:2])]
    assert two == ["a single column has no inner consistency"] * 2
    assert [f.reason for f in s.alphas_without([[1.0], [2.0], [3.0]])] == ["one student makes no variance"] * 3
    assert s.alphas_without([]) == ()


@pytest.mark.parametrize(
    ("figure", "reason"),
    [
        (s.difficulty([], 2), "nobody was marked"),
        (s.difficulty([1.0], 0), "the item carries no points"),
        (s.discrimination([1.0], 1, [1.0]), "one student makes no groups"),
        (s.discrimination([1.0, 0.0], 1, [3.0, 3.0]), "all totals are equal"),
        (s.point_biserial([True, True], [1.0, 2.0]), "everybody has the same points on the item"),
        (s.point_biserial([True, False], [2.0, 2.0]), "all totals are equal"),
        (s.alpha([[1.0, 2.0]]), "a single column has no inner consistency"),
        (s.alpha([[1.0], [2.0]]), "one student makes no variance"),
        (s.alpha([[1.0, 0.0], [0.0, 1.0]]), "all totals are equal"),
        (s.error_of_measurement([1, 2], s.Figure(None, "why")), "why"),
        (s.error_of_measurement([1, 2], s.Figure(-0.5)), "alpha is negative"),
    ],
)
def test_no_meaning_has_a_reason(figure, reason):
    assert figure == s.Figure(None, reason)


def test_equal_totals_but_for_rounding_are_equal():
    thirds = [1 / 3 + 1 / 3 + 1 / 3, 1.0, 0.1 + 0.2 + 0.7]
    assert s.discrimination([1.0, 0.0, 1.0], 1, thirds).reason == "all totals are equal"


def test_distribution():
    found = s.distribution([0, 5, 9.999999999999, 10], 10)
    assert found.bins == (1, 0, 0, 0, 0, 1, 0, 0, 0, 2)
    assert found.mean.value == pytest.approx(6.25)
    assert found.median.value == pytest.approx(7.5)
    assert found.deviation.value == pytest.approx(np.std([0, 5, 10, 10], ddof=1))
    assert s.distribution([], 10).mean == s.Figure(None, "nobody was marked")


def test_zero_points_for_everybody_is_a_difficulty_of_zero():
    assert s.difficulty([0.0, 0.0], 2) == s.Figure(0.0)


@pytest.mark.parametrize(
    ("students", "start"), [(0, "With 0 students only"), (9, "With 9"), (10, "With 10 students (fewer")]
)
def test_small_classes_are_warned_about(students, start):
    assert s.cautions(students)[0].startswith(start)


def test_large_class_has_no_size_caution():
    assert not any(c.startswith("With") for c in s.cautions(30))


def test_second_look():
    assert s.second_look(s.Figure(0.2), s.Figure(-0.1), s.Figure(0.5)) == (
        "strong students do worse: check the key, the tolerance and the wording first",
        "hard",
    )
    assert s.second_look(s.Figure(0.5), s.Figure(0.4), s.Figure(0.1)) == ("hardly tells strong from weak",)
    assert s.second_look(s.Figure(0.5), s.Figure(None, "x"), s.Figure(0.0 + 0.5)) == ()
