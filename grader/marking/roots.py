"""Sets of characteristic roots: the same in any order; some of them earn their share."""

from __future__ import annotations

from grader.marking.judgement import WRONG, Judgement, Size
from grader.values.comparison import same_roots
from grader.values.scalar import to_float
from grader.values.waveform import Waveform, number_of

Pair = tuple[Waveform, Waveform]


def judge_roots(given: tuple[Pair, ...], right: tuple[Pair, ...], tolerance: float) -> Judgement:
    """Hold a set of complex roots (real part, imaginary part) against another, in any order.

    A double root written once stands for both; one of a conjugate pair is one of two.
    """
    if any(part.is_symbolic for root in (*given, *right) for part in root):
        return _judge_symbolic(given, right)
    mine, theirs = [_complex(root) for root in given], [_complex(root) for root in right]
    if len(mine) == 1 and len(set(theirs)) == 1:
        mine *= len(theirs)
    found = same_roots(mine, theirs, tolerance)
    if found == len(mine) == len(theirs):
        return Judgement(size=Size.RIGHT)
    if same_roots([-root for root in mine], theirs, tolerance) == len(mine) == len(theirs):
        return Judgement(size=Size.SIGN, found=(0, len(theirs)))
    # More roots than there are cannot earn by including the right ones.
    return _share(found if len(mine) <= len(theirs) else 0, len(theirs))


def _share(found: int, of: int) -> Judgement:
    return Judgement(size=Size.PARTS, found=(found, of)) if found else WRONG


def _judge_symbolic(given: tuple[Pair, ...], right: tuple[Pair, ...]) -> Judgement:
    left = list(right)
    for root in given:
        if root in left:
            left.remove(root)
    found = len(right) - len(left)
    if found == len(given) == len(right) or (len(given) == 1 and all(root == given[0] for root in right)):
        return Judgement(size=Size.RIGHT)
    return _share(found if len(given) <= len(right) else 0, len(right))


def _complex(root: Pair) -> complex:
    return complex(to_float(number_of(root[0])), to_float(number_of(root[1])))
