"""Sets of characteristic roots, and equations by their coefficients: in any order; some of them earn their share."""

from grader.errors import NotDefined
from grader.marking.judgement import WRONG, Judgement, Size
from grader.quantities.second_order import coefficients, monic
from grader.reading.text.operators import OPERATOR, QUANTITY
from grader.reading.tree import Name, Node, walk
from grader.values.comparison import agree, all_roots, same_roots
from grader.values.scalar import ZERO, to_float
from grader.values.waveform import Waveform, number_of

DIFFERENTIAL = "differential equation"
NO_QUANTITY = "no derivative of the quantity stands here: a polynomial in s or D is no differential equation; write, say, v'' + 3v' + 2v = 8"


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
    if all_roots(mine, theirs, tolerance):
        return Judgement(size=Size.RIGHT)
    if all_roots([-root for root in mine], theirs, tolerance):
        return Judgement(size=Size.SIGN, found=(0, len(theirs)))
    # More roots than there are cannot earn by including the right ones.
    return WRONG if len(mine) > len(theirs) else _share(same_roots(mine, theirs, tolerance), len(theirs))


def _share(found: int, of: int) -> Judgement:
    return Judgement(size=Size.PARTS, found=(found, of)) if found else WRONG


def polynomial_of(find: str, tree: Node, read: Waveform) -> Waveform:
    """The polynomial that an equation was read as, with 1 before the highest power.

    Raises
    ------
    NotDefined
        If it is none, or that of the characteristic equation where the differential equation is asked.
    """
    letters = {node.name for node in walk(tree) if isinstance(node, Name)}
    if find == DIFFERENTIAL and OPERATOR in letters and QUANTITY not in letters:
        raise NotDefined(NO_QUANTITY)
    return monic(read)


def judge_equation(given: Waveform, right: Waveform, tolerance: float) -> Judgement:
    """Hold a polynomial against another, both with 1 before the highest power; some right coefficients earn their share."""
    mine, theirs = coefficients(given), coefficients(right)
    degree = max(theirs)
    if max(mine) != degree:
        return WRONG
    powers = {*mine, *theirs} - {degree}
    agreeing = [agree(mine.get(power, ZERO), theirs.get(power, ZERO), tolerance) for power in powers]
    if all(agreeing):
        return Judgement(size=Size.RIGHT)
    return _share(sum(agreeing), len(agreeing))._replace(found_of="coefficients besides the leading one")


def coefficients_held(
    given: Waveform, right: Waveform, led_to: Waveform, tolerances: tuple[float, float], *, driven: bool
) -> tuple[int, int, int]:
    """How many coefficients of an equation are right, how many others are what earlier answers lead to, and how many there are.

    From the second order on what drives a differential equation (``driven``) holds ω0² as the coefficient of the quantity
    itself does: beside one that follows the right one, of another ω0, does not count, nor the other way round.
    """
    mine, *others = map(coefficients, (given, right, led_to))
    degree = max(mine)
    if any(max(theirs) != degree for theirs in others):
        return 0, 0, 0
    powers = {power for one in (mine, *others) for power in one} - {degree}
    is_right, is_led = (
        {power for power in powers if agree(mine.get(power, ZERO), theirs.get(power, ZERO), tolerance)}
        for theirs, tolerance in zip(others, tolerances, strict=True)
    )
    counted = is_right | is_led
    if driven and degree > FIRST_ORDER and counted >= DRIVEN and not (is_right >= DRIVEN or is_led >= DRIVEN):
        is_right, is_led = is_right - {0}, is_led - {0}
    return len(is_right), len(is_led - is_right), len(powers)


FIRST_ORDER = 2
"""The highest power of such an equation, whose derivatives are counted from 1 on."""

DRIVEN = {0, 1}
"""The powers of what drives it and of the quantity itself."""


def _judge_symbolic(given: tuple[Pair, ...], right: tuple[Pair, ...]) -> Judgement:
    left = list(right)
    for root in given:
        if root in left:
            left.remove(root)
    found = len(right) - len(left)
    if found == max(len(given), len(right)) or {*given} == {*right}:
        return Judgement(size=Size.RIGHT)
    return WRONG if len(given) > len(right) else _share(found, len(right))


def _complex(root: Pair) -> complex:
    return complex(to_float(number_of(root[0])), to_float(number_of(root[1])))
