"""The s-domain: sources for what is held at 0-, impedances, transforms of sources, signs of poles."""

from collections.abc import Iterator, Mapping
from functools import partial

from msgspec.structs import replace

from grader.circuit.elements import Capacitor, Circuit, Element, Inductor
from grader.circuit.laplace import impedance, in_s_domain, transfer_function
from grader.circuit.transformed import delivered_by, held_before, refuse_other_changes
from grader.mistakes.case import Case
from grader.mistakes.records import Wrong, mistake
from grader.quantities.records import TRANSFORM
from grader.values.laplace import Fraction, S, delayed_by, delayed_parts
from grader.values.scalar import ZERO, Scalar
from grader.values.waveform import Waveform, constant

H, Z = "transfer function", "impedance"


def _with(
    case: Case, *, held: Mapping[str, Scalar] | None = None, delivered: Mapping[str, Scalar] | None = None
) -> Waveform:
    """The transform asked, with other values held at 0- or other transforms of the sources."""
    assert case.signal is not None
    refuse_other_changes(case.solved)
    held = held_before(case.solved) if held is None else held
    delivered = delivered_by(case.circuit) if delivered is None else delivered
    return in_s_domain(case.circuit, ZERO, delivered, held).of(case.signal)


@mistake
def initial_condition_source_left_out(case: Case) -> Iterator[Wrong]:
    """All of them, or that of one element."""
    if case.find != TRANSFORM:
        return
    held = held_before(case.solved)
    yield Wrong(_with(case, held={}), "all of them")
    if len(held) > 1:
        for name in held:
            yield Wrong(_with(case, held={**held, name: ZERO}), f"that of {name}")


@mistake
def initial_condition_source_turned(case: Case) -> Iterator[Wrong]:
    """One element's at a time."""
    if case.find == TRANSFORM:
        held = held_before(case.solved)
        for name, value in held.items():
            yield Wrong(_with(case, held={**held, name: -value}), f"that of {name}")


@mistake
def storage_impedance_upside_down(case: Case) -> Iterator[Wrong]:
    """An element whose impedance is 1/(sL) is a capacitor of that value, one with sC an inductor."""
    if case.find not in (TRANSFORM, H, Z):
        return
    for kind in (Capacitor, Inductor):
        altered = case.circuit.altered(partial(_turned, kind))
        if altered != case.circuit:
            yield Wrong(_on(case, altered), "sC for 1/(sC)" if kind is Capacitor else "1/(sL) for sL")


def _turned(kind: type[Capacitor | Inductor], element: Element) -> Element:
    """An element of the kind as one of the other."""
    if not isinstance(element, kind):
        return element
    other = Inductor if kind is Capacitor else Capacitor
    return other(name=element.name, between=element.between, value=element.value)


def _on(case: Case, circuit: Circuit) -> Waveform:
    """The answer on another circuit at rest."""
    if case.find == Z:
        return impedance(circuit, case.index, case.item.between, case.item.by)
    assert case.signal is not None
    if case.find == H:
        return transfer_function(circuit, case.index, case.item.of[0], case.signal)
    refuse_other_changes(case.solved)
    return in_s_domain(circuit, ZERO, delivered_by(case.circuit), {}).of(case.signal)


@mistake
def source_not_transformed(case: Case) -> Iterator[Wrong]:
    """Every source's transform times s."""
    if case.find == TRANSFORM:
        delivered = {name: value * S for name, value in delivered_by(case.circuit).items()}
        yield Wrong(_with(case, delivered=delivered))
        if any(held_before(case.solved).values()):
            yield Wrong(_with(case, delivered=delivered, held={}), "and nothing held")


@mistake
def pole_sign_turned(case: Case) -> Iterator[Wrong]:
    """The denominator with s replaced by -s, its leading coefficient kept."""
    if case.find not in (TRANSFORM, H) or case.value is None:
        return
    total = Waveform()
    for delay, found in delayed_parts(case.value):
        degree = len(found.bottom) - 1
        mirrored = tuple(-value if (degree - power) % 2 else value for power, value in enumerate(found.bottom))
        total = total + constant(Fraction(found.top, mirrored).value) * delayed_by(delay)
    if total != case.value:
        yield Wrong(total)


@mistake
def delay_factor_left_out(case: Case) -> Iterator[Wrong]:
    """Every part as if it began at t = 0."""
    if case.find == TRANSFORM and case.value is not None and any(term.offset for term in case.value.terms):
        yield Wrong(constant(sum((found.value for _, found in delayed_parts(case.value)), start=ZERO)))


@mistake
def poles_and_zeros_exchanged(case: Case) -> Iterator[Wrong]:
    """The other list."""
    other = {"poles": "zeros", "zeros": "poles"}.get(case.find)
    if other is not None:
        yield Wrong(case.question.answer_to(replace(case.item, find=other)))
