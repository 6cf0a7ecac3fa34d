"""What independent sources deliver, as the output of an autonomous linear system ``w' = S w``, ``u = C w``.

Constants, ramps, exponentials, sinusoids and their products with powers of t are all such outputs, so a
driven circuit becomes a free one with a few more states, and resonance is nothing but a repeated root.
"""

from collections.abc import Mapping

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.elements import Circuit, Drive, Source
from grader.circuit.elimination import Row
from grader.circuit.polynomial import Polynomial
from grader.values.scalar import ONE, ZERO, Scalar, Surd, approximate, to_arb, working_precision
from grader.values.term import Term
from grader.values.waveform import Waveform

Shape = tuple[Scalar, Scalar, Scalar, Scalar]
"""Rate, frequency, offset and phase of a term: what distinguishes it from another but for a power of t."""


class Exosystem(Struct, frozen=True, kw_only=True):
    """The sources' states."""

    matrix: tuple[Row, ...]
    """Row k gives the derivative of state k in terms of the states."""
    states: tuple[Waveform, ...]
    """Each state as a waveform."""
    outputs: dict[str, Row]
    """What each source delivers, over the states."""
    factors: tuple[tuple[Polynomial, int], ...]
    """A polynomial in d/dt that every state satisfies, in irreducible factors with their multiplicities."""
    constant: int | None
    """Which state is the constant 1."""


def drive_at(drive: Drive, instant: fmpq | None) -> Waveform:
    """The waveform a source delivers from an instant on (None: for all past time), in global t."""
    current = Waveform()
    for start, waveform in drive.pieces:
        if start is None or (instant is not None and start <= instant):
            current = waveform
    return current


def impulses_at(circuit: Circuit, instant: fmpq) -> dict[str, Scalar]:
    """The areas of the sources' impulses at an instant (V s, A s), where there are any."""
    sources = (element for element in circuit.elements if isinstance(element, Source))
    return {source.name: area for source in sources for time, area in source.drive.impulses if time == instant}


def drives(circuit: Circuit, instant: fmpq | None) -> dict[str, Waveform]:
    """What every independent source delivers from an instant on, in time counted from that instant."""
    return {
        element.name: drive_at(element.drive, instant).delayed(ZERO if instant is None else -instant)
        for element in circuit.elements
        if isinstance(element, Source)
    }


def exosystem(waveforms: Mapping[str, Waveform]) -> Exosystem:
    """Build the smallest system of first-order equations that gives the waveforms, shape by shape."""
    exact = all(waveform.exact for waveform in waveforms.values())
    tallest: dict[Shape, int] = {}
    for waveform in waveforms.values():
        for term in waveform.terms:
            shape = _shape(term)
            tallest[shape] = max(tallest.get(shape, 0), term.power)
    matrix: list[Row] = []
    states: list[Waveform] = []
    place: dict[tuple[Shape, int], int] = {}
    for shape, height in tallest.items():
        rate, frequency, offset, phase = shape
        width = 2 if frequency != 0 or phase != 0 else 1
        for power in range(height + 1):
            here = len(matrix)
            place[shape, power] = here
            # p = t^k e^(at) cos(bt), q = t^k e^(at) sin(bt):  p' = a p - b q + k p_below,  q' = a q + b p + k q_below
            turning: list[Row] = [{here: rate, here + 1: -frequency}, {here: frequency, here + 1: rate}]
            for own in range(width):
                row = turning[own] if width == 2 else {here: rate}
                row[here + own - width] = fmpq(power)
                matrix.append({column: value for column, value in row.items() if value != 0})
            base = Term(ONE, ZERO, power, rate, frequency, offset, phase)
            states.extend(Waveform((term,), exact) for term in (base, replace(base, cosine=ZERO, sine=ONE))[:width])
    outputs: dict[str, Row] = {}
    for name, waveform in waveforms.items():
        output: Row = {}
        for term in waveform.terms:
            here = place[_shape(term), term.power]
            if term.cosine != 0:
                output[here] = term.cosine
            if term.sine != 0:
                output[here + 1] = term.sine
        outputs[name] = output
    plain: Shape = (ZERO, ZERO, ZERO, ZERO)
    return Exosystem(
        matrix=tuple(matrix),
        states=tuple(states),
        outputs=outputs,
        factors=_factors(tallest),
        constant=place.get((plain, 0)),
    )


def _shape(term: Term) -> Shape:
    return term.rate, term.frequency, term.offset, term.phase


def _factors(tallest: Mapping[Shape, int]) -> tuple[tuple[Polynomial, int], ...]:
    found: dict[Polynomial, int] = {}
    for (rate, frequency, _, _), height in tallest.items():
        square = frequency * frequency
        factor: Polynomial = (-rate, ONE) if frequency == 0 else (rate * rate + square, -rate * 2, ONE)
        found[factor] = max(found.get(factor, 0), height + 1)
    return tuple(found.items())


def tame(waveform: Waveform) -> Waveform:
    """Replace irrational rates and frequencies by 50-digit rationals where exact algebra cannot hold them."""
    if all(not isinstance(t.rate, Surd) and not isinstance(t.frequency * t.frequency, Surd) for t in waveform.terms):
        return waveform
    with working_precision():
        terms = [
            replace(
                t,
                rate=approximate(to_arb(t.rate)) if isinstance(t.rate, Surd) else t.rate,
                frequency=approximate(to_arb(t.frequency)) if isinstance(t.frequency, Surd) else t.frequency,
            )
            for t in waveform.terms
        ]
    return Waveform.of(terms, exact=False)
