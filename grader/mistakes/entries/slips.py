"""What happens to anybody on the way to the paper."""

from collections.abc import Iterator
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

from flint import fmpq
from msgspec.structs import replace

from grader.circuit.elements import CoupledInductors, IdealOpAmp, Signal, Switching
from grader.errors import NotDefined
from grader.mistakes.case import Case
from grader.mistakes.propagate import from_ingredients, some
from grader.mistakes.records import Wrong, mistake
from grader.quantities.catalogue import asked
from grader.quantities.crossing import counted
from grader.quantities.finding import Find
from grader.quantities.links import asked_value
from grader.quantities.question import nodes_of_voltage
from grader.values.dimension import RATE, RESISTANCE, TIME
from grader.values.functions import square_root
from grader.values.scalar import is_symbolic, rational
from grader.values.waveform import Waveform, constant


@mistake
def sign_turned(case: Case) -> Iterator[Wrong]:
    """The negative; start values have a mistake of their own."""
    if case.find not in (Find.JUST_BEFORE, Find.INITIAL) and not _below_zero(case) and not _inverted(case):
        yield from _negative(case)


@mistake
def inverting_sign_lost(case: Case) -> Iterator[Wrong]:
    """The negative of what an inverting amplifier gives."""
    if case.find not in (Find.JUST_BEFORE, Find.INITIAL) and _inverted(case):
        yield from _negative(case)


def _negative(case: Case) -> Iterator[Wrong]:
    if case.value is not None:
        yield Wrong.times(case.value, constant(fmpq(-1)))


def _inverted(case: Case) -> bool:
    """Whether the voltage asked is that of an op amp's output to ground, its + input at ground."""
    if case.signal is None or case.signal.kind != "voltage" or not case.has_circuit:
        return False
    ground, nodes = case.circuit.ground, nodes_of_voltage(case.circuit, case.signal)
    return any(
        isinstance(one, IdealOpAmp) and one.non_inverting == ground and nodes == (one.output, ground)
        for one in case.circuit.elements
    )


@mistake
def less_than_nothing(case: Case) -> Iterator[Wrong]:
    """The negative of what is counted along no direction."""
    if _below_zero(case):
        yield from _negative(case)


def _below_zero(case: Case) -> bool:
    """Whether the negative of the right value is one that nothing counted along a direction can explain."""
    undirected = case.find in (Find.STORED, Find.DISSIPATED, Find.ZETA)
    undirected = undirected or asked(case.find).measures in (TIME, RESISTANCE, RATE)
    return undirected and case.number is not None and case.number.value() > 0


MOST_EARLIER = 9
"""Crossings looked at: each is counted from the start."""


@mistake
def earlier_crossing(case: Case) -> Iterator[Wrong]:
    """The level's crossings before the one that is asked, upwards and downwards."""
    number, direction = counted(case.item)
    if case.find not in (Find.REACH, Find.MEET) or (number, direction) == (1, "") or not case.has_circuit:
        return
    for earlier in range(1, min(2 * number, MOST_EARLIER + 1)):
        kept = {key: text for key, text in case.item.settings if key != "direction"}
        settings = tuple((kept | {"crossing": str(earlier)}).items())
        try:
            found = asked(case.find).reference(replace(case.question, item=replace(case.item, settings=settings)))
        except NotDefined:
            return
        if found == case.right:
            return
        yield Wrong(found, f"number {earlier}")


THOUSANDS = (3, -3, 6, -6, 9, -9)
"""Powers of ten tried: one or two prefixes, or kilo for micro."""


@mistake
def prefix_slip(case: Case) -> Iterator[Wrong]:
    """The right answer times a power of a thousand; of an expression, its size or its clock."""
    if case.value is None or not case.value.terms:
        return
    for exponent in THOUSANDS:
        factor = fmpq(10) ** exponent
        yield Wrong.times(case.value, constant(factor), f"·10^{exponent}")
        tau = case.solvers(Find.TAU) if case.find == Find.EXPRESSION else None
        if tau is not None:
            yield from some(from_ingredients(case, tau=tau.scaled(factor)), f"τ·10^{exponent}")
    if case.find in (Find.OMEGA0, Find.OMEGA_D):
        root = square_root(constant(fmpq(1000)))
        yield Wrong(case.value * root, "below the root")
        yield Wrong(case.value / root, "below the root")


@mistake
def radians_and_hertz_mixed(case: Case) -> Iterator[Wrong]:
    """Times and over 2π."""
    if case.find in (Find.OMEGA0, Find.OMEGA_D, Find.ALPHA, Find.TAU) and case.value is not None:
        turn = constant(rational("6.28318530717958647692528676655900576839433879875021"), exact=False)
        yield Wrong.times(case.value, constant(fmpq(1)) / turn, "over 2π")
        yield Wrong.times(case.value, turn, "times 2π")


DIGITS = 3
"""Significant digits in which an exchange is looked for."""


@mistake
def digits_exchanged(case: Case) -> Iterator[Wrong]:
    """Every exchange of two neighbouring digits of the rounded value."""
    if case.number is None:
        return
    mantissa, exponent = f"{case.number.value():.{DIGITS - 1}e}".split("e")
    minus, digits = mantissa.startswith("-"), mantissa.replace(".", "").lstrip("-")
    for place in range(DIGITS - 1):
        turned = digits[:place] + digits[place + 1] + digits[place] + digits[place + 2 :]
        if turned != digits and turned[0] != "0":
            value = rational(f"{turned[0]}.{turned[1:]}e{exponent}")
            yield Wrong(constant(-value if minus else value), f"{turned} for {digits}")


@mistake
def rounded_too_far(case: Case) -> Iterator[Wrong]:
    """Rounded to one and to two digits, or cut off after two; nobody takes 160 for 100, 16 for 20, nor rounds one of many right values.

    What is the signal's initial or final value as it stands, or a value that the sheet gives, is no rounding.
    """
    if case.number is None or (case.item.goal is not None and case.item.goal.relation != "is"):
        return
    exact = Decimal(repr(case.number.value()))
    if len(exact.normalize().as_tuple().digits) < DIGITS:
        return  # it has no more digits than anybody writes
    known = (*(case.exponential or ())[:2], *_given(case))
    for digits in (1, 2):
        place = Decimal(1).scaleb(exact.adjusted() - digits + 1)
        for way in (ROUND_HALF_UP, ROUND_DOWN)[:digits]:
            rounded = exact.quantize(place, rounding=way)
            if rounded and constant(rational(rounded)) not in known:
                yield Wrong(constant(rational(rounded)), f"to {digits} digit{'s' if digits > 1 else ''}")


def _given(case: Case) -> Iterator[Waveform]:
    """The values that the sheet gives: of elements, of what they hold at first, of what sources deliver."""
    for element in case.circuit.elements if case.has_circuit else ():
        for value in (getattr(element, "value", None), getattr(element, "initial", None)):
            if value is not None and not is_symbolic(value):
                yield constant(value)
    for when in (case.opens, case.opened_before) if case.has_circuit else ():
        yield from (value for _, _, value in case.source_values(when))


MAX_NEIGHBOURS = 8
"""With more of them some neighbour fits any number."""


@mistake
def neighbour_quantity_given(case: Case) -> Iterator[Wrong]:
    """The right answer for every other element, same kind of quantity."""
    if case.signal is None or case.find not in (Find.JUST_BEFORE, Find.INITIAL, Find.FINAL, Find.EXPRESSION, Find.AT):
        return
    named = [e.name for e in case.circuit.elements if not isinstance(e, (Switching, CoupledInductors))]
    if case.signal.kind not in ("current", "voltage", "power") or len(named) > MAX_NEIGHBOURS:
        return
    for name in named:
        own = None if name == case.signal.of else asked_value(case.question, Signal(kind=case.signal.kind, of=name))
        if own is not None and own.terms:  # a zero belongs to nobody
            yield Wrong(own, f"{case.signal.kind} of {name}")
