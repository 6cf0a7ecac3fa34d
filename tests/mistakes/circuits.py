"""Random circuits for the tests of this room; all values are invented, from the E12 series (IEC 60063)."""

import random
from decimal import Decimal

from grader.rubric.files import tables_to_rubric

E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)


def line(name, kind, one, other, value=None, **more):
    entry = {"name": name, "kind": kind, "between": [one, other], **more}
    return entry if value is None else {**entry, "value": value}


def ohms(rng):
    return f"{Decimal(rng.choice(E12)) * 10 ** rng.choice((0, 1, 2))} ohm"


def storage(rng, capacitive, one, other, name=None):
    if capacitive:
        return line(name or "C1", "capacitor", one, other, f"{rng.choice(E12)} uF")
    return line(name or "L1", "inductor", one, other, f"{rng.choice(E12)} mH")


def volts(rng):
    return f"{rng.randint(5, 48)} V"


def bypass(rng, capacitive):
    """A switch that closes (or opens) across a resistor on the way to a divider."""
    action = rng.choice(("closes", "opens"))
    return [
        line("Vs", "voltage source", "a", "g", volts(rng)),
        line("R1", "resistor", "a", "b", ohms(rng)),
        line("R4", "resistor", "b", "c", ohms(rng)),
        line("S1", "switch", "b", "c", **{action: "0 s"}),
        line("R2", "resistor", "c", "g", ohms(rng)),
        line("R3", "resistor", "c", "d", ohms(rng)),
        storage(rng, capacitive, "d", "g"),
    ]


def two_sources(rng, capacitive):
    """A voltage and a current source; the switch connects the latter."""
    return [
        line("Vs", "voltage source", "a", "g", volts(rng)),
        line("R1", "resistor", "a", "c", ohms(rng)),
        line("Is", "current source", "g", "e", f"{rng.randint(1, 90)} mA"),
        line("R5", "resistor", "e", "g", ohms(rng)),
        line("S1", "switch", "e", "c", closes="0 s"),
        line("R2", "resistor", "c", "g", ohms(rng)),
        line("R3", "resistor", "c", "d", ohms(rng)),
        storage(rng, capacitive, "d", "g"),
    ]


def switched_over(rng, capacitive):
    """From a source to a second one."""
    return [
        line("Va", "voltage source", "a", "g", volts(rng)),
        line("R1", "resistor", "a", "b", ohms(rng)),
        {"name": "S1", "kind": "changeover switch", "common": "c", "from": "b", "to": "e", "at": "0 s"},
        line("Vb", "voltage source", "f", "g", volts(rng)),
        line("R2", "resistor", "f", "e", ohms(rng)),
        line("R3", "resistor", "e", "g", ohms(rng)),
        line("R4", "resistor", "c", "d", ohms(rng)),
        storage(rng, capacitive, "d", "g"),
    ]


def controlled(rng, capacitive):
    """A dependent source beside the element."""
    return [
        line("Vs", "voltage source", "a", "g", volts(rng)),
        line("R1", "resistor", "a", "b", ohms(rng)),
        line("S1", "switch", "b", "c", closes="0 s"),
        line("R2", "resistor", "c", "g", ohms(rng)),
        {
            "name": "F1", "kind": "current-controlled current source", "between": ["c", "g"],
            "gain": rng.choice(("0.5", "2", "3")), "control": "R3",
        },
        line("R3", "resistor", "c", "d", ohms(rng)),
        storage(rng, capacitive, "d", "g"),
    ]  # fmt: skip


FIRST_ORDER = (bypass, two_sources, switched_over, controlled)


def first_order_items(capacitive):
    """Every find of a first-order response, for the element's own quantity and for a resistor's."""
    own = {"voltage": "C1"} if capacitive else {"current": "L1"}
    jumping = {"current": "C1"} if capacitive else {"voltage": "L1"}
    finds = (("value just before switching", "before"), ("initial value", "start"), ("final value", "end"))
    items = [
        {"id": f"{id}{n}", "find": find, **signal}
        for n, signal in enumerate((own, {"current": "R2"}, jumping))
        for find, id in finds
    ]
    items += [{"id": "seen", "find": "resistance seen"}, {"id": "tau", "find": "time constant"}]
    items += [
        {"id": f"x{n}", "find": "expression", **signal} for n, signal in enumerate((own, {"current": "R2"}, jumping))
    ]
    items += [{"id": "slope", "find": "initial slope", **own}]
    return items


def rubric_of(elements, items, tolerance="2 %"):
    problem = {"id": "p", "title": "Invented", "ground": "g", "element": elements}
    problem["item"] = [{"points": 1, **item} for item in items]
    tables = {"title": "Random", "course": "EE 118", "marking": {"tolerance": tolerance}, "problem": [problem]}
    return tables_to_rubric(tables, "random.toml", "0" * 64)


def second_order(rng, series):
    """A source behind a resistor, a coil and a capacitor: in line, or side by side."""
    ends = ("c", "d"), ("d", "g")
    if series:
        parts = [
            line("R1", "resistor", "b", "c", f"{rng.choice(E12) * 4} ohm"),
            line("L1", "inductor", *ends[0], f"{rng.choice(E12)} mH"),
            line("C1", "capacitor", *ends[1], f"{rng.choice(E12)} uF"),
        ]
    else:
        parts = [
            line("R1", "resistor", "b", "c", f"{rng.choice(E12) * 4} ohm"),
            line("L1", "inductor", "c", "g", f"{rng.choice(E12)} mH"),
            line("C1", "capacitor", "c", "g", f"{rng.choice(E12)} uF"),
        ]
    return [
        line("Vs", "voltage source", "a", "g", volts(rng)),
        line("S1", "switch", "a", "b", closes="0 s"),
        *parts,
    ]


def second_order_items(underdamped):
    items = [
        {"id": "alpha", "find": "damping coefficient"}, {"id": "omega0", "find": "undamped natural frequency"},
        {"id": "zeta", "find": "damping ratio"}, {"id": "type", "find": "damping type"},
        {"id": "roots", "find": "characteristic roots"},
        {"id": "v0", "find": "initial value", "voltage": "C1"}, {"id": "vf", "find": "final value", "voltage": "C1"},
        {"id": "v", "find": "expression", "voltage": "C1"}, {"id": "i", "find": "expression", "current": "L1"},
    ]  # fmt: skip
    return items + ([{"id": "omegad", "find": "damped natural frequency"}] if underdamped else [])


def random_rubric(seed):
    """A random first-order rubric."""
    rng = random.Random(seed)
    capacitive = rng.random() < 0.5
    return rubric_of(rng.choice(FIRST_ORDER)(rng, capacitive), first_order_items(capacitive))
