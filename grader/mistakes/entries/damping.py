"""What the characteristic equation says of a second-order circuit, taken from it wrongly."""

from collections.abc import Iterator

from flint import fmpq

from grader.circuit.elements import Capacitor, Inductor
from grader.circuit.statics import OPEN, SHORT
from grader.mistakes.case import Case
from grader.mistakes.propagate import by_formula, from_damping, some
from grader.mistakes.records import Wrong, mistake
from grader.mistakes.second_order import conditions, of_case, solved, with_parts
from grader.quantities.finding import Find
from grader.quantities.second_order import CRITICAL, OVERDAMPED, UNDERDAMPED
from grader.values.functions import square_root
from grader.values.scalar import HALF, ONE
from grader.values.waveform import Waveform, constant


def with_damping(case: Case, alpha: Waveform, omega0: Waveform, variant: str = "") -> Iterator[Wrong]:
    """What a wrong α makes of the item, of a whole response with constants worked out from it."""
    yield from some(from_damping(case, alpha, omega0), variant)
    right = conditions(case)
    if right is not None:
        yield from with_parts(case, solved(right._replace(alpha=alpha)), variant)


def with_pace(case: Case, rate: Waveform) -> Iterator[Wrong]:
    """An underdamped response with a wrong ωd: its constants worked out from that, or the right ones."""
    right = conditions(case)
    if right is None or solved(right).kind != UNDERDAMPED:
        return
    b = (right.slope + right.alpha * (right.x0 - right.xf)) / rate
    yield from with_parts(case, solved(right), beta=rate, b=b)
    yield from with_parts(case, solved(right), "in the oscillation alone", beta=rate)


@mistake
def damping_factor_two_lost(case: Case) -> Iterator[Wrong]:
    """Twice α, and what follows from it."""
    alpha, omega0 = case.solvers(Find.ALPHA), case.solvers(Find.OMEGA0)
    if alpha is None or omega0 is None or case.find == Find.OMEGA0:
        return
    double = alpha.scaled(fmpq(2))
    yield from with_damping(case, double, omega0)
    right = of_case(case)
    if right is not None and right.kind != OVERDAMPED:
        yield from with_parts(case, right, "in the decay alone", alpha=double)


@mistake
def series_parallel_damping_exchanged(case: Case) -> Iterator[Wrong]:
    """The other circuit's α with this one's parts, and what follows from it."""
    alpha, omega0 = case.solvers(Find.ALPHA), case.solvers(Find.OMEGA0)
    coils = [e for e in case.acting if isinstance(e, Inductor)]
    plates = [e for e in case.acting if isinstance(e, Capacitor)]
    if alpha is None or omega0 is None or case.find == Find.OMEGA0 or (len(coils), len(plates)) != (1, 1):
        return
    coil, plate = coils[0], plates[0]
    in_line = case.resistance(case.index, {plate.name: SHORT}, coil.name)
    if in_line is not None and in_line != 0 and alpha == constant(in_line / coil.value * HALF):
        yield from with_damping(case, constant(HALF / (in_line * plate.value)), omega0, "1/(2RC)")
    across = case.resistance(case.index, {coil.name: OPEN}, plate.name)
    if across is not None and across != 0 and alpha == constant(HALF / (across * plate.value)):
        yield from with_damping(case, constant(across / coil.value * HALF), omega0, "R/(2L)")


@mistake
def damping_ratio_upside_down(case: Case) -> Iterator[Wrong]:
    """The reciprocal."""
    if case.find == Find.ZETA and case.value is not None and case.value.terms:
        yield Wrong(constant(ONE) / case.value)


@mistake
def natural_rate_upside_down(case: Case) -> Iterator[Wrong]:
    """The reciprocal."""
    if case.find in (Find.OMEGA0, Find.OMEGA_D) and case.value is not None and case.value.terms:
        yield Wrong(constant(ONE) / case.value)


@mistake
def root_not_taken(case: Case) -> Iterator[Wrong]:
    """The square."""
    if case.find in (Find.OMEGA0, Find.OMEGA_D) and case.value is not None:
        yield Wrong(case.value * case.value)


@mistake
def damping_ignored_in_rate(case: Case) -> Iterator[Wrong]:
    """ω0 for ωd: alone, in the roots, in the response."""
    alpha, omega0 = case.solvers(Find.ALPHA), case.solvers(Find.OMEGA0)
    if alpha is None or omega0 is None or case.solvers(Find.OMEGA_D) is None:
        return
    if case.find == Find.OMEGA_D:
        yield from by_formula(case, "w0", {"w0": Find.OMEGA0})
    elif case.find == Find.ROOTS:
        yield Wrong(((-alpha, omega0), (-alpha, -omega0)))
    elif case.find == Find.EXPRESSION:
        yield from with_pace(case, omega0)


@mistake
def damping_added_below_root(case: Case) -> Iterator[Wrong]:
    """The root of ω0² + α²: alone, in the roots, in the response."""
    alpha, omega0 = case.solvers(Find.ALPHA), case.solvers(Find.OMEGA0)
    if alpha is None or omega0 is None:
        return
    rate = square_root(omega0 * omega0 + alpha * alpha)
    if case.find == Find.OMEGA_D:
        yield from by_formula(case, "sqrt(w0^2+alpha^2)", {"w0": Find.OMEGA0, "alpha": Find.ALPHA})
    elif case.find == Find.ROOTS:
        yield Wrong(((-alpha, rate), (-alpha, -rate)))
    elif case.find == Find.EXPRESSION:
        yield from with_pace(case, rate)


@mistake
def imaginary_unit_lost(case: Case) -> Iterator[Wrong]:
    """−α ± ωd without j."""
    if isinstance(case.right, tuple) and len(case.right) == 2 and case.right[0][1].terms:
        (real, imaginary), _ = case.right
        none = Waveform()
        yield Wrong(((real + imaginary, none), (real - imaginary, none)))


@mistake
def root_signs_turned(case: Case) -> Iterator[Wrong]:
    """Every real part turned; for a rate, the rate itself."""
    if isinstance(case.right, tuple):
        yield Wrong(tuple((-real, imaginary) for real, imaginary in case.right))


@mistake
def roots_not_halved(case: Case) -> Iterator[Wrong]:
    """Both roots doubled: by themselves, and in the response with its right constants or those that fit them."""
    if isinstance(case.right, tuple):
        yield Wrong(tuple((real + real, imaginary + imaginary) for real, imaginary in case.right))
    right = conditions(case)
    if right is not None:
        parts, alpha = solved(right), right.alpha + right.alpha
        yield from with_parts(case, parts, alpha=alpha, beta=parts.beta + parts.beta)
        yield from with_parts(case, solved(right._replace(alpha=alpha, omega0=right.omega0 + right.omega0)))


OPPOSITE = {OVERDAMPED: UNDERDAMPED, UNDERDAMPED: OVERDAMPED}
NEIGHBOURS = {OVERDAMPED: (CRITICAL,), UNDERDAMPED: (CRITICAL,), CRITICAL: (OVERDAMPED, UNDERDAMPED)}


def named(case: Case) -> str:
    """The type of damping that is the right answer; "" where that is no word."""
    return case.right.strip().lower() if isinstance(case.right, str) else ""


@mistake
def damping_name_turned(case: Case) -> Iterator[Wrong]:
    """The opposite name, for the type itself and for a choice of it."""
    if named(case) in OPPOSITE:
        yield Wrong(OPPOSITE[named(case)])


@mistake
def critical_taken_for_another(case: Case) -> Iterator[Wrong]:
    """Critical for the others, the others for critical."""
    yield from (Wrong(other) for other in NEIGHBOURS.get(named(case), ()))
