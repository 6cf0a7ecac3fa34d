"""What the characteristic equation says of a second-order circuit, taken from it wrongly."""

from collections.abc import Iterator

from flint import fmpq

from grader.circuit.elements import Capacitor, Inductor
from grader.circuit.statics import OPEN, SHORT
from grader.mistakes.case import ALPHA, EXPRESSION, OMEGA0, OMEGA_D, ROOTS, ZETA, Case
from grader.mistakes.propagate import by_formula, from_damping, some
from grader.mistakes.records import REVIEW_SECOND_ORDER, Wrong, mistake
from grader.mistakes.second_order import conditions, of_case, solved, with_parts
from grader.quantities.steps import CRITICAL, OVERDAMPED, UNDERDAMPED
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


@mistake(
    title="Factor two of the damping lost",
    idea="In s² + 2αs + ω0² the middle coefficient is twice α: R/(2L) in series, 1/(2RC) in parallel.",
    nudge="Compare your equation term by term with s² + 2αs + ω0²: what stands before s?",
    remark="Twice the damping coefficient was used.",
    source=REVIEW_SECOND_ORDER,
)
def damping_factor_two_lost(case: Case) -> Iterator[Wrong]:
    """Twice α, and what follows from it."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if alpha is None or omega0 is None or case.find == OMEGA0:
        return
    double = alpha.scaled(fmpq(2))
    yield from with_damping(case, double, omega0)
    right = of_case(case)
    if right is not None and right.kind != OVERDAMPED:
        yield from with_parts(case, right, "in the decay alone", alpha=double)


@mistake(
    title="Damping of the series and the parallel circuit exchanged",
    idea="R/(2L) belongs to parts that share one current, 1/(2RC) to parts that share one voltage. The formula of the "
    "other circuit can give the right type by luck.",
    nudge="Are the three parts sharing one current or one voltage?",
    remark="The damping coefficient was found by the formula of the other circuit.",
    source=REVIEW_SECOND_ORDER,
)
def series_parallel_damping_exchanged(case: Case) -> Iterator[Wrong]:
    """The other circuit's α with this one's parts, and what follows from it."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    coils = [e for e in case.storage if isinstance(e, Inductor)]
    plates = [e for e in case.storage if isinstance(e, Capacitor)]
    if alpha is None or omega0 is None or case.find == OMEGA0 or (len(coils), len(plates)) != (1, 1):
        return
    coil, plate = coils[0], plates[0]
    in_line = case.resistance_at(coil.name, {plate.name: SHORT})
    if in_line is not None and in_line != 0 and alpha == constant(in_line / coil.value * HALF):
        yield from with_damping(case, constant(HALF / (in_line * plate.value)), omega0, "1/(2RC)")
    across = case.resistance_at(plate.name, {coil.name: OPEN})
    if across is not None and across != 0 and alpha == constant(HALF / (across * plate.value)):
        yield from with_damping(case, constant(across / coil.value * HALF), omega0, "R/(2L)")


@mistake(
    title="Damping ratio upside down",
    idea="ζ is α over ω0: it grows with the damping, and lies below one where the circuit rings.",
    nudge="Should your ratio grow or shrink with more damping, and does it?",
    remark="One over the damping ratio was given.",
)
def damping_ratio_upside_down(case: Case) -> Iterator[Wrong]:
    """The reciprocal."""
    if case.find == ZETA and case.value is not None and case.value.terms:
        yield Wrong(constant(ONE) / case.value)


@mistake(
    title="Natural frequency upside down",
    idea="√(LC) is a time. The frequency is one over it: larger parts swing more slowly.",
    nudge="Should larger parts swing faster or more slowly, and does your formula agree?",
    remark="One over the frequency was given.",
)
def natural_rate_upside_down(case: Case) -> Iterator[Wrong]:
    """The reciprocal."""
    if case.find in (OMEGA0, OMEGA_D) and case.value is not None and case.value.terms:
        yield Wrong(constant(ONE) / case.value)


@mistake(
    title="Root left out of the natural frequency",
    idea="The characteristic equation holds ω0², so ω0 is its root. 1/(LC) has the unit 1/s².",
    nudge="What is the unit of your result, and what should it be?",
    remark="The square of the frequency was given.",
    source=REVIEW_SECOND_ORDER,
)
def root_not_taken(case: Case) -> Iterator[Wrong]:
    """The square."""
    if case.find in (OMEGA0, OMEGA_D) and case.value is not None:
        yield Wrong(case.value * case.value)


@mistake(
    title="Damping ignored in the frequency",
    idea="A damped circuit swings at ωd, below ω0. Only without losses are they equal.",
    nudge="Does the circuit that swings here have losses, and what do they do to the pace?",
    remark="ω0 was used where ωd belongs.",
)
def damping_ignored_in_rate(case: Case) -> Iterator[Wrong]:
    """ω0 for ωd: alone, in the roots, in the response."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if alpha is None or omega0 is None or case.solvers(OMEGA_D) is None:
        return
    if case.find == OMEGA_D:
        yield from by_formula(case, "w0", {"w0": OMEGA0})
    elif case.find == ROOTS:
        yield Wrong(((-alpha, omega0), (-alpha, -omega0)))
    elif case.find == EXPRESSION:
        yield from with_pace(case, omega0)


@mistake(
    title="Damping added below the root",
    idea="ωd² = ω0² − α²: damping makes the swinging slower. The two squares were added.",
    nudge="Should damping make the swinging faster or slower?",
    remark="ωd was found as the root of ω0² + α².",
    source=REVIEW_SECOND_ORDER,
)
def damping_added_below_root(case: Case) -> Iterator[Wrong]:
    """The root of ω0² + α²: alone, in the roots, in the response."""
    alpha, omega0 = case.solvers(ALPHA), case.solvers(OMEGA0)
    if alpha is None or omega0 is None:
        return
    rate = square_root(omega0 * omega0 + alpha * alpha)
    if case.find == OMEGA_D:
        yield from by_formula(case, "sqrt(w0^2+alpha^2)", {"w0": OMEGA0, "alpha": ALPHA})
    elif case.find == ROOTS:
        yield Wrong(((-alpha, rate), (-alpha, -rate)))
    elif case.find == EXPRESSION:
        yield from with_pace(case, rate)


@mistake(
    title="Imaginary unit lost from the roots",
    idea="Below critical damping the square root is that of a negative number. Without its j two real roots appear, "
    "and the swinging is lost.",
    nudge="What is the sign below the square root, and what does that make of the roots?",
    remark="The roots were given as real numbers.",
)
def imaginary_unit_lost(case: Case) -> Iterator[Wrong]:
    """−α ± ωd without j."""
    if isinstance(case.right, tuple) and len(case.right) == 2 and case.right[0][1].terms:
        (real, imaginary), _ = case.right
        none = Waveform()
        yield Wrong(((real + imaginary, none), (real - imaginary, none)))


@mistake(
    title="Signs of the roots turned",
    idea="The roots of a circuit with losses have negative real parts: what they multiply must die away.",
    nudge="Would your roots make the response die away or grow?",
    remark="The real parts of the roots have the wrong sign.",
)
def root_signs_turned(case: Case) -> Iterator[Wrong]:
    """Every real part turned; for a rate, the rate itself."""
    if isinstance(case.right, tuple):
        yield Wrong(tuple((-real, imaginary) for real, imaginary in case.right))


@mistake(
    title="Roots not halved",
    idea="The quadratic formula divides by twice the leading coefficient. The roots are twice what they should be.",
    nudge="Put one of your roots back into the characteristic equation: does it fit?",
    remark="The roots are twice the right ones.",
)
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


@mistake(
    title="Overdamped and underdamped exchanged",
    idea="Much damping (α > ω0) lets nothing swing: that is overdamped. The names were exchanged.",
    nudge="Does a lot of damping let the circuit swing?",
    remark="The name is that of the opposite case.",
    source=REVIEW_SECOND_ORDER,
)
def damping_name_turned(case: Case) -> Iterator[Wrong]:
    """The opposite name, for the type itself and for a choice of it."""
    if named(case) in OPPOSITE:
        yield Wrong(OPPOSITE[named(case)])


@mistake(
    title="Critical damping taken for something else, or something else for critical",
    idea="α equal to ω0 is the border between the two other types. Near it, one lost factor of two changes the name.",
    nudge="How does α compare with ω0 here, to all the digits you have?",
    remark="The name does not fit the comparison of α with ω0.",
    source=REVIEW_SECOND_ORDER,
)
def critical_taken_for_another(case: Case) -> Iterator[Wrong]:
    """Critical for the others, the others for critical."""
    yield from (Wrong(other) for other in NEIGHBOURS.get(named(case), ()))
