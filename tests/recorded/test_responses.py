"""Circuits answer as recorded; see `tests/recorded/responses.py`."""

from itertools import groupby

import pytest

from tests.recorded.responses import circuits, recorded, responses_of

AFRESH = "where that is meant: python -m tests.recorded.responses, and read the diff"
CIRCUITS = circuits()
RECORDED = {name: list(rows) for name, rows in groupby(recorded(), lambda row: row["circuit"])}


def test_every_circuit_is_recorded():
    assert RECORDED.keys() == CIRCUITS.keys()


@pytest.mark.parametrize("name", RECORDED)
def test_a_circuit_responds_as_recorded(name):
    assert list(responses_of(name, CIRCUITS[name])) == RECORDED[name], AFRESH
