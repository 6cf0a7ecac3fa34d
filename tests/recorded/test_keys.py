"""`vet` says of every recorded key what it said; see `tests/recorded/keys.py`."""

import pytest

from tests.recorded.keys import recorded, said_now

AFRESH = "where that is meant: python -m tests.recorded.keys, and read the diff"
RECORDED = recorded()


@pytest.mark.parametrize("name", RECORDED)
def test_keys_are_judged_as_recorded(name):
    assert list(said_now(name, RECORDED[name])) == RECORDED[name], AFRESH
