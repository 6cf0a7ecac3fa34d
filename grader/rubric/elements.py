"""From the element tables of a rubric file to a circuit; ``elements.toml`` says which keys each kind has, and what they mean.

For a range of personal values (see `grader.rubric.personal`) the middle one stands.
"""

import itertools
from collections.abc import Callable, Sequence
from functools import partial

from flint import fmpq

from grader.circuit.elements import (
    GAIN,
    Capacitor,
    ChangeoverSwitch,
    CoupledInductors,
    CurrentSource,
    DependentSource,
    Drive,
    Element,
    IdealOpAmp,
    IdealTransformer,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from grader.rubric.table import CheckedTable, Location, shown
from grader.rubric.values import Values
from grader.values.dimension import CURRENT, INDUCTANCE, NUMBER, RESISTANCE, VOLTAGE, Dimension
from grader.values.scalar import ONE, ZERO, Scalar, is_symbolic, sign, sqrt
from grader.values.waveform import constant

NOBODY = ("", "")


def _ends(table: CheckedTable, key: str, missing: str) -> tuple[str, str]:
    """Two different nodes."""
    nodes = table.names(key, 2)
    table.require(key, f"; {missing}")
    if len(nodes) != 2:
        return NOBODY
    if nodes[0] == nodes[1]:
        table.place.fault(f"both ends are at node {shown(nodes[0])}; '{key}' must name two different nodes")
    return nodes[0], nodes[1]


def _between(table: CheckedTable) -> tuple[str, str]:
    return _ends(table, "between", 'name the two nodes, as in between = ["a", "b"]')


def _resistor(table: CheckedTable, values: Values) -> Element:
    value = values.needed(table, "value", RESISTANCE)
    return Resistor(name=table.text("name"), between=_between(table), value=value)


def _storage(make: type[Capacitor | Inductor], table: CheckedTable, values: Values) -> Element:
    value = values.needed(table, "value", make.dimension)
    if sign(value) <= 0:
        table.place.fault(f"'value' must be greater than zero, not {shown(table.take('value'))}")
        value = ONE
    return make(
        name=table.text("name"),
        between=_between(table),
        value=value,
        initial=values.scalar(table, "initial", VOLTAGE if make.stores == "voltage" else CURRENT),
    )


def _source(make: type[VoltageSource | CurrentSource], table: CheckedTable, values: Values) -> Element:
    return make(name=table.text("name"), between=_between(table), drive=_drive(table, values, make.dimension))


DRIVES = ("value", "step", "waveform")


def _drive(table: CheckedTable, values: Values, dimension: Dimension) -> Drive:
    present = [key for key in DRIVES if table.has(key)]
    if len(present) != 1:
        found = " and ".join(f"'{key}'" for key in present) or "none"
        table.place.fault(f"a source needs exactly one of 'value' (dc), 'step' and 'waveform'; found: {found}")
        return Drive.always(constant(ONE))
    if present == ["waveform"]:
        return values.drive(table, "waveform", dimension)
    if present == ["value"]:
        return Drive.always(constant(values.needed(table, "value", dimension)))
    step = table.table("step")
    if step is None:
        return Drive.always(constant(ONE))
    before = values.scalar(step, "before", dimension) or ZERO
    after = values.needed(step, "after", dimension)
    at = values.instant(step, "at") or ZERO
    step.finish()
    return Drive(pieces=((None, constant(before)), (at, constant(after))))


def _dependent(controlled_by: str, delivers: str, table: CheckedTable, values: Values) -> Element:
    gain = values.needed(table, "gain", GAIN[controlled_by, delivers])
    names = table.names("control")
    table.require("control", "; name an element, or a node pair for a controlling voltage")
    if len(names) > 2 or (len(names) == 2 and controlled_by == "current"):
        right = "one element" if controlled_by == "current" else "one element or two nodes"
        table.place.fault(f"'control' must name {right}, not {shown(list(names))}")
    return DependentSource(
        name=table.text("name"),
        between=_between(table),
        delivers=delivers,
        controlled_by=controlled_by,
        gain=gain,
        control=(names[0], names[1]) if len(names) == 2 else names[0] if names else "",
    )


def _switch(table: CheckedTable, values: Values) -> Element:
    closes, opens = values.instants(table, "closes"), values.instants(table, "opens")
    actions: list[tuple[fmpq, bool]]
    if closes and opens:
        actions = sorted([(t, True) for t in closes] + [(t, False) for t in opens])
        if any(first[1] == then[1] for first, then in itertools.pairwise(actions)):
            table.place.fault("a switch must close and open in turns; check the instants of 'closes' and 'opens'")
    else:
        first = bool(closes)
        actions = [(t, first == (k % 2 == 0)) for k, t in enumerate(closes or opens)]
    if not actions:
        if not (table.has("closes") or table.has("opens")):
            table.place.fault("'closes' or 'opens' is missing; write closes = \"0 s\" or opens = \"0 s\"")
        actions = [(fmpq(0), True)]
    _check_order(table.place, [t for t, _ in actions])
    return Switch(name=table.text("name"), between=_between(table), before=not actions[0][1], actions=tuple(actions))


def _check_order(place: Location, times: Sequence[fmpq]) -> None:
    if any(then <= first for first, then in itertools.pairwise(times)):
        place.fault("the instants must follow one another in order of time, each later than the one before")


def _changeover(table: CheckedTable, values: Values) -> Element:
    common = table.text("common", needed=True)
    start = table.text("from", needed=True)
    throws = table.names("to")
    times = values.instants(table, "at")
    for key in ("to", "at"):
        table.require(key)
    if len(throws) == 1:
        throws = tuple(throws[0] if k % 2 == 0 else start for k in range(len(times)))
    elif len(throws) != len(times) and throws and times:
        table.place.fault(f"'to' names {len(throws)} throws and 'at' {len(times)} instants; give one instant for each")
    _check_order(table.place, times)
    actions = tuple(zip(times, throws, strict=False)) or ((fmpq(0), start),)
    return ChangeoverSwitch(name=table.text("name"), common=common, before=start, actions=actions)


def _op_amp(table: CheckedTable, values: Values) -> Element:  # noqa: ARG001 - one signature for every kind
    return IdealOpAmp(
        name=table.text("name"),
        non_inverting=table.text("non_inverting", needed=True),
        inverting=table.text("inverting", needed=True),
        output=table.text("output", needed=True),
    )


def _coupled(table: CheckedTable, values: Values) -> Element:
    names = table.names("inductors", 2)
    table.require("inductors", '; name two, as in inductors = ["L1", "L2"]')
    mutual = values.scalar(table, "mutual", INDUCTANCE)
    coefficient = values.scalar(table, "coefficient", NUMBER)
    if table.has("mutual") == table.has("coefficient"):
        table.place.fault("give exactly one of 'mutual' (in henries) and 'coefficient' (a plain number)")
    elif coefficient is not None:
        if not is_symbolic(coefficient) and sign(coefficient * coefficient - ONE) > 0:
            table.place.fault(f"'coefficient' must lie between -1 and 1, not {shown(table.take('coefficient'))}")
        mutual = _of_coefficient(coefficient, names, values)
    return CoupledInductors(
        name=table.text("name"),
        inductors=(names[0], names[1]) if len(names) == 2 else NOBODY,
        mutual=ONE if mutual is None else mutual,
    )


def _of_coefficient(coefficient: Scalar, names: tuple[str, ...], values: Values) -> Scalar | None:
    """The mutual inductance k*sqrt(L1*L2)."""
    known = [values.inductances.get(name) for name in names]
    if len(known) != 2 or known[0] is None or known[1] is None:
        return None  # an unknown name is a fault noted elsewhere
    return coefficient * sqrt(known[0] * known[1])


def _transformer(table: CheckedTable, values: Values) -> Element:
    ratio = values.needed(table, "ratio", NUMBER)
    if ratio == 0:
        table.place.fault("'ratio' is the turns of the primary over those of the secondary; it cannot be zero")
    right = "name the winding's two nodes, the dotted one first"
    primary, secondary = (_ends(table, key, right) for key in ("primary", "secondary"))
    return IdealTransformer(name=table.text("name"), primary=primary, secondary=secondary, ratio=ratio or ONE)


KINDS: dict[str, Callable[[CheckedTable, Values], Element]] = {
    Resistor.kind: _resistor,
    Capacitor.kind: partial(_storage, Capacitor),
    Inductor.kind: partial(_storage, Inductor),
    VoltageSource.kind: partial(_source, VoltageSource),
    CurrentSource.kind: partial(_source, CurrentSource),
    "voltage-controlled voltage source": partial(_dependent, "voltage", "voltage"),
    "current-controlled voltage source": partial(_dependent, "current", "voltage"),
    "voltage-controlled current source": partial(_dependent, "voltage", "current"),
    "current-controlled current source": partial(_dependent, "current", "current"),
    Switch.kind: _switch,
    ChangeoverSwitch.kind: _changeover,
    IdealOpAmp.kind: _op_amp,
    CoupledInductors.kind: _coupled,
    IdealTransformer.kind: _transformer,
}
"""Every element kind and what reads it."""
