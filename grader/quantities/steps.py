"""What is done with named values where a formula alone does not tell: the steps of `Rule`, and of the solver's answers.

Each takes the values by name (and, from a `functools.partial`, what the problem fixes) and gives an answer.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import TypeAlias

from flint import fmpq

from grader.errors import NotDefined
from grader.quantities.crossing import Piece, crossing
from grader.quantities.extremes import beyond, extreme, last_outside
from grader.quantities.rules import Answer, Roots, by_formula
from grader.values.functions import exp
from grader.values.scalar import ONE, Scalar
from grader.values.waveform import TIME, Waveform, constant, number_of, scalar_of

Measure: TypeAlias = Callable[[Sequence[Piece], Waveform, Waveform], Waveform]
"""What is measured on a signal's pieces, from its initial and its final value."""


def value_of(named: Mapping[str, Answer], name: str) -> Waveform:
    """A value or an expression by its name.

    Raises
    ------
    NotDefined
        If it is something else.
    """
    value = named[name]
    if not isinstance(value, Waveform):
        raise NotDefined(f"'{name}' must be a value")
    return value


def derivative_at(named: Mapping[str, Answer], *, time: fmpq, order: int = 0) -> Waveform:
    """The expression ``x``, or a derivative of it, at an instant."""
    x = value_of(named, "x")
    for _ in range(order):
        x = x.derivative()
    return x.at(time)


def first_order_at(named: Mapping[str, Answer], *, start: fmpq, time: fmpq) -> Waveform:
    """The response from ``x0``, ``xf`` and ``tau`` at an instant, ``start`` being that of ``x0``."""
    x0, xf, tau = (value_of(named, name) for name in ("x0", "xf", "tau"))
    return xf + (x0 - xf) * exp(-(constant(time - start) / tau))


def carried_on(named: Mapping[str, Answer], *, start: fmpq) -> Waveform:
    """The first-order response whose start ``x0`` moves by ``k (x - r)``, ``x`` being an expression taken at the start."""
    x0, k, r, xf, tau = (value_of(named, name) for name in ("x0", "k", "r", "xf", "tau"))
    begins = x0 + k * (value_of(named, "x").at(start) - r)
    return xf + (begins - xf) * exp(-((TIME - constant(start)) / tau))


def settled(named: Mapping[str, Answer]) -> Waveform:
    """What the expression ``x`` tends to."""
    limit = value_of(named, "x").limit()
    if limit is None:
        raise NotDefined("the expression never settles")
    return limit


def decay_time(named: Mapping[str, Answer]) -> Waveform:
    """One over the rate at which the expression ``x`` decays, where it has one rate only."""
    rates = {term.rate for term in value_of(named, "x").terms if term.rate != 0}
    if len(rates) != 1:
        raise NotDefined("the expression has no single time constant")
    return constant(-ONE / rates.pop())


def share_of(named: Mapping[str, Answer], *, step: Callable[[Mapping[str, Answer]], Waveform]) -> Waveform:
    """``k`` times what a step gives."""
    return step(named) * value_of(named, "k")


def derivative(named: Mapping[str, Answer], *, time: fmpq | None = None) -> Waveform:
    """``k dx/dt``, or its value at an instant."""
    found = value_of(named, "x").derivative() * value_of(named, "k")
    return found if time is None else found.at(time)


def level_of_share(initial: Waveform, final: Waveform, share: fmpq) -> Scalar:
    """The value after a share of the way from the initial to the final one."""
    level = initial + (final - initial).scaled(share)
    return scalar_of(level)


def reached(
    pieces: Sequence[Piece],
    initial: Waveform,
    final: Waveform,
    *,
    share: fmpq,
    number: int,
    direction: str,
) -> Waveform:
    """The instant at which a signal has made a share of its own whole change."""
    return crossing(pieces, level_of_share(initial, final, share), number=number, direction=direction)


def in_the_end(pieces: Sequence[Piece], *, measure: Callable[[Sequence[Piece]], Waveform]) -> Waveform:
    """What is measured on expressions if the last of them held for good."""
    *before, (last, start, _) = pieces
    return measure([*before, (last, start, None)])


def weighted_sum(named: Mapping[str, Answer], *, time: fmpq | None) -> Waveform:
    """``a + b1 x1 + b2 x2 + …``, each x a value, or an expression of which the value at an instant (None: the end) counts."""
    total = value_of(named, "a")
    for name in named:
        if name.startswith("x"):
            x = settled({"x": named[name]}) if time is None else value_of(named, name).at(time)
            total = total + x * value_of(named, f"b{name[1:]}")
    return total


def at_ends(named: Mapping[str, Answer], *, formula: str, start: fmpq, end: fmpq | None) -> Waveform:
    """A formula whose ``x``, ``x1``, … are taken at the end of a stretch of time (None: for very large t), and ``y``, ``y1``, … at its start."""
    values = dict(named)
    for name in named:
        if name.startswith("x"):
            values[name] = settled({"x": named[name]}) if end is None else value_of(named, name).at(end)
        elif name.startswith("y"):
            values[name] = value_of(named, name).at(start)
    return by_formula(formula, values)


def integral(waveform: Waveform, start: fmpq, end: fmpq | None) -> Waveform:
    """The integral of a waveform from an instant to another; to infinity where ``end`` is None.

    Raises
    ------
    NotDefined
        If it grows without bound.
    """
    whole = waveform.antiderivative()
    upper = whole.limit() if end is None else whole.at(end)
    if upper is None:
        raise NotDefined("it grows without bound; name an instant with 'until' up to which it is counted")
    return upper - whole.at(start)


def share_of_integral(named: Mapping[str, Answer], *, start: fmpq, end: fmpq | None) -> Waveform:
    """``a`` and ``k`` times the integral of the expression ``x``."""
    return value_of(named, "a") + integral(value_of(named, "x"), start, end) * value_of(named, "k")


def weighted_square(named: Mapping[str, Answer], *, time: fmpq | None) -> Waveform:
    """``k x^2`` at an instant; for very large t where that is None."""
    x = settled(named) if time is None else value_of(named, "x").at(time)
    return x * x * value_of(named, "k")


def dissipated(named: Mapping[str, Answer], *, start: fmpq, end: fmpq | None) -> Waveform:
    """The energy turned to heat, the integral of ``k x^2``."""
    x = value_of(named, "x")
    return integral(x * x * value_of(named, "k"), start, end)


Spans: TypeAlias = tuple[tuple[str, fmpq, fmpq | None], ...]
"""The names of expressions, and from when until when each counts (None: for good)."""


def on_stretch(
    named: Mapping[str, Answer], *, spans: Spans, measure: Callable[[Sequence[Piece]], Waveform]
) -> Waveform:
    """What is measured on expressions in a stretch of time."""
    return measure([(value_of(named, name), start, end) for name, start, end in spans])


def extreme_value(pieces: Sequence[Piece], *, way: int) -> Waveform:
    """The largest (``way`` 1) or smallest (-1) value of a signal: at a turning point, at an end, or what it tends to."""
    return extreme(pieces, way).value


def extreme_time(pieces: Sequence[Piece], *, way: int) -> Waveform:
    """When that is."""
    time = extreme(pieces, way).time
    if time is None:
        raise NotDefined("that value is approached and never taken, so there is no such instant")
    return time


def whole_integral(pieces: Sequence[Piece]) -> Waveform:
    """The integral of a signal over its pieces."""
    return sum((integral(*piece) for piece in pieces), start=Waveform())


def mean(pieces: Sequence[Piece]) -> Waveform:
    """The mean of a signal over its pieces, which are bounded."""
    end = pieces[-1][2]
    if end is None:
        raise NotDefined("a mean is taken over a bounded time")
    return whole_integral(pieces).scaled(ONE / (end - pieces[0][1]))


def measured_on(named: Mapping[str, Answer], *, spans: Spans, measure: Measure) -> Waveform:
    """What is measured on expressions from the value at the start and what they tend to."""

    def on_pieces(pieces: Sequence[Piece]) -> Waveform:
        (first, start, _), (last, _, _) = pieces[0], pieces[-1]
        return measure(pieces, first.at(start), settled({"x": last}))

    return on_stretch(named, spans=spans, measure=on_pieces)


def overshoot(pieces: Sequence[Piece], initial: Waveform, final: Waveform) -> Waveform:
    """How far a signal goes past its final value, counted away from the initial one; zero where it never does."""
    past = beyond(pieces, initial, final).value - final
    if past.value() * (final - initial).value() <= 0:
        return Waveform()
    return past if past.value() > 0 else -past


def overshoot_share(pieces: Sequence[Piece], initial: Waveform, final: Waveform) -> Waveform:
    """The same as a share of the whole change."""
    change = final - initial
    past = overshoot(pieces, initial, final)
    return past / (change if change.value() > 0 else -change)


def peak_time(pieces: Sequence[Piece], initial: Waveform, final: Waveform) -> Waveform:
    """When a signal is farthest past its final value."""
    found = beyond(pieces, initial, final).time
    if found is None:
        raise NotDefined("the signal never goes past its final value, so there is no peak")
    return found


def settling_time(pieces: Sequence[Piece], initial: Waveform, final: Waveform, *, band: fmpq) -> Waveform:
    """How long after the start a signal stays within a share of the whole change about its final value."""
    if any(one.is_symbolic for one in (pieces[0][0], initial, final)):
        raise NotDefined("with symbols it depends on their values when the signal has settled; give numbers")
    size = band * abs(number_of(final - initial))
    if not size:
        raise NotDefined("the signal starts at its final value, so the band has no width")
    return last_outside(pieces[0], final, size) - constant(pieces[0][1])


def rise_time(pieces: Sequence[Piece], initial: Waveform, final: Waveform, *, low: fmpq, high: fmpq) -> Waveform:
    """How long a signal takes from one share of the whole change to another, each reached for the first time."""
    first, change = number_of(initial), number_of(final - initial)
    late, early = (crossing(pieces[:1], first + share * change) for share in (high, low))
    return late - early


def delivered(named: Mapping[str, Answer], *, start: fmpq, end: fmpq | None) -> Waveform:
    """What a source whose power taken is ``x`` gives."""
    return -integral(value_of(named, "x"), start, end)


def without_final(named: Mapping[str, Answer]) -> Waveform:
    """The expression ``x`` less what it tends to."""
    return value_of(named, "x") - settled(named)


def root_of_tau(named: Mapping[str, Answer]) -> Roots:
    """The one root of first order, from ``tau``."""
    return ((-(constant(ONE) / value_of(named, "tau")), Waveform()),)
