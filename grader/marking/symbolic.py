"""Answers in letters: canonical forms decide, numbers in front of letters may be rounded; others a person looks at."""

import math

from flint import fmpq
from msgspec.structs import astuple, replace

from grader.marking.judgement import WRONG, Judgement, Size, Target
from grader.values.comparison import EQUAL, Comparison, close, compare
from grader.values.scalar import Scalar, Surd, is_symbolic, rational, sqrt, to_float
from grader.values.symbolic import Symbolic
from grader.values.term import NUMBERS, Term
from grader.values.waveform import Waveform, number_of

TRIALS = tuple(tuple(fmpq(11 + step * place % 97, 7) for place in range(12)) for step in (5, 31, 77))
"""Numbers put in for the letters, all different: they can show that two forms differ, never that they agree."""


def compare_symbolic(given: Waveform, target: Target, tolerance: float) -> Judgement:
    """Hold an answer with letters against a target, part by part.

    Where every trial with numbers agrees within the tolerance, the answer counts; a person looks at it unless each term
    is the right one but for a rounded factor.
    """
    right = target.answer
    if given == right:
        return Judgement(size=Size.RIGHT, comparison=EQUAL if target.varies else None)
    if -given == right:
        return Judgement(size=Size.SIGN, comparison=Comparison() if target.varies else None)
    if _agree_in_numbers(given, target, tolerance):
        undecided = not _rounded(given, right, tolerance)
        return Judgement(size=Size.RIGHT, comparison=EQUAL if target.varies else None, undecided=undecided)
    if not target.varies:
        return WRONG
    shift = target.start or fmpq(0)
    ends, right_ends = (given.at(shift), given.limit()), (right.at(shift), right.limit())
    says, varies = bool(given.terms) or not right.terms, not given.is_constant or right.is_constant
    comparison = Comparison(
        initial=says and ends[0] == right_ends[0],
        final=says and ends[1] == right_ends[1],
        rates=_exponents(given) == _exponents(right),
        frequencies=_frequencies(given) == _frequencies(right),
        form=_kinds(given) == _kinds(right) or (ends == right_ends[::-1] and _moving(given) == _moving(right)),
        coefficients=_coefficients(given.delayed(-shift)) == _coefficients(right.delayed(-shift)),
        slope=varies and given.derivative().at(shift) == right.derivative().at(shift),
    )
    return Judgement(size=Size.PARTS, comparison=comparison)


def _kind(t: Term) -> tuple[bool, bool, int]:
    """Whether a term is an exponential, whether it oscillates, and its power of t."""
    return bool(t.rate), bool(t.frequency), t.power


def _kinds(w: Waveform) -> list[tuple[bool, bool, int]]:
    """The kinds of terms, a constant being one."""
    return sorted(map(_kind, w.terms))


def _moving(w: Waveform) -> list[tuple[bool, bool, int]]:
    """The kinds of terms that vary."""
    return [kind for kind in _kinds(w) if any(kind)]


def _coefficients(w: Waveform) -> list[tuple[bool, bool, int, str]]:
    """What stands before each kind of term, in local time, as if the exponents agreed."""
    return sorted((*_kind(t), repr((t.cosine, t.sine, t.offset, t.phase))) for t in w.terms)


def _exponents(w: Waveform) -> set[str]:
    return {repr(t.rate) for t in w.terms if t.rate}


def _frequencies(w: Waveform) -> set[str]:
    return {repr(t.frequency) for t in w.terms if t.frequency}


def _rounded(given: Waveform, right: Waveform, tolerance: float) -> bool:
    """Whether each term is one of the right answer but for numbers in front of its letters: ``0.333 V0`` for V0/3."""

    def near(mine: Scalar, other: Scalar) -> bool:
        if not other:
            return not mine
        ratio = mine / other
        return not is_symbolic(ratio) and close(to_float(ratio), 1.0, tolerance)

    own, others = ([astuple(_in_quadrature(term)) for term in of.terms] for of in (given, right))
    alike = [[all(map(near, mine, other)) for other in others] for mine in own]
    return all(map(any, alike)) and all(map(any, zip(*alike, strict=True)))


def _in_quadrature(term: Term) -> Term:
    """A term with its phase worked into its cosine and sine, rounded: ``(5/3) V0 cos(600t + 53.13°)``."""
    if not term.phase or is_symbolic(term.phase):
        return term
    cosine, sine = (rational(f"{of(to_float(term.phase)):.12f}") for of in (math.cos, math.sin))
    return replace(
        term,
        cosine=term.cosine * cosine + term.sine * sine,
        sine=term.sine * cosine - term.cosine * sine,
        phase=fmpq(0),
    )


def _agree_in_numbers(given: Waveform, target: Target, tolerance: float) -> bool:
    try:
        return all(_agree(given, target, tolerance, trial) for trial in TRIALS)
    except (ValueError, KeyError, ZeroDivisionError):
        return False  # a root of a negative number, say: nothing is shown


def _agree(given: Waveform, target: Target, tolerance: float, trial: tuple[fmpq, ...]) -> bool:
    mine, right = _in_numbers(given, trial), _in_numbers(target.answer, trial)
    if target.varies:
        return compare(mine, right, tolerance, target.start).equal
    return mine.is_constant and close(to_float(number_of(mine)), to_float(number_of(right)), tolerance)


def _in_numbers(w: Waveform, trial: tuple[fmpq, ...]) -> Waveform:
    return Waveform.of(
        [replace(t, **{name: _put(getattr(t, name), trial) for name in NUMBERS}) for t in w.terms], w.exact
    )


def _put(value: Scalar, trial: tuple[fmpq, ...]) -> Scalar:
    """A scalar with numbers in place of its letters."""
    if isinstance(value, Symbolic):
        return value.substitute(dict(zip(value.names, trial, strict=False)))
    if isinstance(value, Surd):
        total: Scalar = fmpq(0)
        for radicand, coefficient in value.parts:
            inside = fmpq(radicand) if isinstance(radicand, int) else _put(radicand, trial)
            total = total + _put(coefficient, trial) * sqrt(inside)
        return total
    return value
