"""Whether a second-order circuit is a series or a parallel RLC circuit, read off its state equations.

With the sources off, L and C in series carry one current (v_C' depends on i_L alone), side by side they have one voltage
(i_L' depends on v_C alone).  The resistance is what the other equation's own coefficient says, however it is made up.
"""

from msgspec import Struct

from grader.circuit.elements import Capacitor, Inductor
from grader.circuit.reduction import Reduced
from grader.values.scalar import ONE, ZERO, Scalar


class RlcForm(Struct, frozen=True, kw_only=True):
    """``kind`` is ``"series"`` or ``"parallel"``; values in ohms (None: no loss), henries and farads."""

    kind: str
    resistance: Scalar | None
    inductance: Scalar
    capacitance: Scalar
    inductor: str
    capacitor: str


def rlc_form(reduced: Reduced) -> RlcForm | None:
    """The form, or None for any other circuit.

    Where nothing is lost (plain LC) both hold, and it counts as a series circuit.
    """
    names = reduced.independent
    elements = [reduced.circuit.element(name) for name in names]
    if len(names) != 2 or {type(e) for e in elements} != {Capacitor, Inductor}:
        return None
    c = next(i for i, e in enumerate(elements) if isinstance(e, Capacitor))
    coil = 1 - c
    capacitor, inductor = elements[c], elements[coil]
    assert isinstance(capacitor, Capacitor)
    assert isinstance(inductor, Inductor)
    # v_C' = a v_C + b i_L,  i_L' = d v_C + e i_L
    a, b = (reduced.derivatives[c].get(k, ZERO) for k in (c, coil))
    d, e = (reduced.derivatives[coil].get(k, ZERO) for k in (c, coil))
    one_loop = _is_one(b * capacitor.value) and _is_one(d * inductor.value)
    if not one_loop or (a != 0 and e != 0):
        return None
    loss: Scalar | None = None
    if a != 0:
        loss = -ONE / (a * capacitor.value)
    elif e != 0:
        loss = -e * inductor.value
    return RlcForm(
        kind="parallel" if a != 0 else "series",
        resistance=loss,
        inductance=inductor.value,
        capacitance=capacitor.value,
        inductor=inductor.name,
        capacitor=capacitor.name,
    )


def _is_one(value: Scalar) -> bool:
    return value in (ONE, -ONE)
