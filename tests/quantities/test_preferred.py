"""The preferred values of IEC 60063, held against a published list of them."""

from decimal import Decimal

import pytest
from flint import fmpq
from hypothesis import given
from hypothesis import strategies as st

from grader.quantities.preferred import SERIES, preferred

PUBLISHED = {
    6: [10, 15, 22, 33, 47, 68],
    12: [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82],
    24: [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91],
}
"""IEC 60063 series as listed at https://www.qsl.net/g4usp/Components/Component%20preferred%20values.htm"""


@pytest.mark.parametrize("series", sorted(PUBLISHED))
def test_a_series_is_the_published_one(series):
    assert list(SERIES[series]) == PUBLISHED[series]
    assert [int(v) for v in preferred(fmpq(10), fmpq(99), series)] == PUBLISHED[series]


def test_e3_is_every_other_value_of_e6():
    assert SERIES[3] == SERIES[6][::2]


sizes = st.decimals(Decimal("1e-12"), Decimal("1e9"), allow_nan=False).map(lambda d: fmpq(*d.as_integer_ratio()))


@given(sizes, st.sampled_from(sorted(SERIES)))
def test_a_decade_holds_the_whole_series_in_order_whatever_its_size(low, series):
    found = preferred(low, low * 10, series)
    assert list(found) == sorted(set(found))
    assert len(found) in (series, series + 1)  # both ends where they are preferred values themselves
    assert all(low <= value <= low * 10 for value in found)


def test_both_ends_are_included():
    assert preferred(fmpq(47, 1000), fmpq(47, 1000), 6) == (fmpq(47, 1000),)
    assert preferred(fmpq(48), fmpq(67), 6) == ()
