"""The characteristic polynomial of an interval, its roots, and what they say about the response."""

from flint import fmpq
from msgspec import Struct
from msgspec.structs import replace

from grader.circuit.modal import certainly_negative, numeric_roots
from grader.circuit.polynomial import Polynomial, factored
from grader.errors import NotDefined
from grader.values.scalar import HALF, ONE, ZERO, Scalar, approximate, is_symbolic, sign, sqrt, working_precision


class Root(Struct, frozen=True, kw_only=True):
    """A root ``real ± j imaginary`` (imaginary > 0 stands for the conjugate pair), and how often it occurs."""

    real: Scalar
    imaginary: Scalar = ZERO
    multiplicity: int = 1
    exact: bool = True


class Characteristic(Struct, frozen=True, kw_only=True):
    """What the characteristic polynomial says."""

    polynomial: tuple[Scalar, ...]
    """Monic, highest power first."""
    roots: tuple[Root, ...]
    """Real ones and conjugate pairs (1/s)."""
    time_constant: Scalar | None = None
    """Seconds; of a first-order circuit with a decaying response."""
    alpha: Scalar | None = None
    """Of a second-order circuit, as the next three: the damping coefficient (1/s)."""
    omega0: Scalar | None = None
    """The undamped natural frequency (rad/s); None where ω0² is not positive."""
    omega_d: Scalar | None = None
    """The damped natural frequency (rad/s); None unless underdamped."""
    zeta: Scalar | None = None
    damping: str | None = None
    """``"overdamped"``, ``"critically damped"``, ``"underdamped"`` or ``"undamped"``; None where symbols leave it
    open, or where the circuit is not a stable second-order one."""

    @property
    def order(self) -> int:
        """Number of independent storage elements."""
        return len(self.polynomial) - 1


def characteristic(polynomial: Polynomial) -> Characteristic:
    """Work out roots and damping from a monic polynomial, lowest power first.

    References
    ----------
    Standard form s² + 2αs + ω0², ζ = α/ω0, ωd = √(ω0² − α²): common practice, no source.
    """
    roots = tuple(root for factor, count in factored(polynomial) for root in _roots(factor, count))
    plain = Characteristic(polynomial=tuple(reversed(polynomial)), roots=roots)
    positive = polynomial[0] != 0 and not certainly_negative(polynomial[0])
    if len(polynomial) == 2 and positive:
        return replace(plain, time_constant=ONE / polynomial[0])
    if len(polynomial) != 3:
        return plain
    alpha = polynomial[1] * HALF
    omega0 = _root_of(polynomial[0]) if positive else None
    if omega0 is None:
        return replace(plain, alpha=alpha)
    excess = alpha * alpha - polynomial[0]
    open_ = is_symbolic(excess) and not certainly_negative(excess)
    omega_d = _root_of(-excess) if open_ or certainly_negative(excess) else None
    damping = None if open_ else _damping(alpha, excess, omega_d)
    return replace(plain, alpha=alpha, omega0=omega0, zeta=alpha / omega0, omega_d=omega_d, damping=damping)


def _damping(alpha: Scalar, excess: Scalar, omega_d: Scalar | None) -> str | None:
    """The type of damping; None of a response that grows."""
    if alpha == 0:
        return "undamped"
    if sign(alpha) < 0:
        return None
    return "critically damped" if excess == 0 else "overdamped" if omega_d is None else "underdamped"


def _root_of(value: Scalar) -> Scalar | None:
    try:
        return sqrt(value)
    except ValueError:
        return None


def _roots(factor: Polynomial, count: int) -> list[Root]:
    if len(factor) == 2:
        return [Root(real=-factor[0], multiplicity=count)]
    if len(factor) == 3:
        middle = -factor[1] * HALF
        square = middle * middle - factor[0]
        if certainly_negative(square):
            return [Root(real=middle, imaginary=sqrt(-square), multiplicity=count)]
        split = sqrt(square)
        return [Root(real=middle + split, multiplicity=count), Root(real=middle - split, multiplicity=count)]
    if any(is_symbolic(value) for value in factor):
        raise NotDefined(
            "the characteristic polynomial does not split into factors of first and second order, so its roots have no "
            "closed form with symbols; give numbers"
        )
    with working_precision():
        return [
            Root(
                real=approximate(root.real),
                imaginary=approximate(root.imag) if root.imag > 0 else fmpq(0),
                multiplicity=count,
                exact=False,
            )
            for root in numeric_roots(factor)
            if not root.imag < 0
        ]
