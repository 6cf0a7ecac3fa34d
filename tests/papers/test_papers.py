"""Marking comes as near to markers as the floors say; they are raised as it comes nearer, and never lowered."""

from __future__ import annotations

import pytest

from tests.papers.measure import AS_MARKED, HERE, difference, outcomes, shares

FLOORS = {
    "bleeder": (96.9, 2.6, 0.2, 0.3),
    "crane": (96.5, 1.2, 0.1, 2.7),
    "gate": (94.5, 3.8, 0.5, 0.6),
    "horn": (94.9, 3.4, 0.1, 1.7),
    "lamp": (99.5, 0.5, 0.1, 0.1),
    "relay": (98.6, 1.4, 0.1, 0.1),
    "starter": (96.2, 0.1, 1.7, 0.6),
}
"""For each folder, in percent: at least as marked; at most to a person, decided higher, wholly right but marked down unseen."""


@pytest.mark.parametrize("name", FLOORS)
def test_shares(name):
    """No share is worse than its floor."""
    found = list(outcomes(HERE / name))
    told = shares(found)
    as_marked, to_a_person, higher, unseen = FLOORS[name]
    reached = (
        told.as_marked >= as_marked
        and told.to_a_person <= to_a_person
        and told.higher <= higher
        and told.unseen <= unseen
    )
    assert reached, "\n".join([str(told), *(difference(one) for one in found if one.fate != AS_MARKED)])
