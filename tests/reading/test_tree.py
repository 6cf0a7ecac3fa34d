"""Nodes of a tree."""

import pickle

from flint import fmpq

from grader.reading.tree import Negative, Number, PlusMinus, Product, Quotient, Sum, Time, walk

ONE, TWO = Number(fmpq(1), "1", 0), Number(fmpq(2), "2", 2)


def test_nodes_of_different_kinds_differ():
    """Kind and content are compared, on every level."""
    assert Product(ONE, TWO, 0) != Quotient(ONE, TWO, 0)
    assert Negative(ONE, 0) != PlusMinus(ONE, 0)
    assert Sum((Negative(ONE, 0), TWO), 0) != Sum((PlusMinus(ONE, 0), TWO), 0)
    assert not Product(ONE, TWO, 0) == Quotient(ONE, TWO, 0)  # noqa: SIM201 - both methods are ours
    assert Product(ONE, Time(2), 0) == Product(Number(fmpq(1), "1", 0), Time(2), 0)


def test_equal_nodes_hash_alike_and_pickle():
    """Equal nodes are one in a set; a pickled node comes back equal."""
    node = Sum((Product(ONE, Time(2), 0), Negative(TWO, 4)), 0)
    assert len({node, Sum((Product(ONE, Time(2), 0), Negative(TWO, 4)), 0)}) == 1
    assert pickle.loads(pickle.dumps(node)) == node


def test_walk_meets_every_node():
    """From the top down, leaves included."""
    node = Sum((Product(ONE, Time(2), 0), Negative(TWO, 4)), 0)
    assert [type(one) for one in walk(node) if type(one) is not tuple].count(Number) == 2
    assert Time(2) in set(walk(node))
