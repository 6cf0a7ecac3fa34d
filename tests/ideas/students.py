"""Invented students with lasting ideas, and what they would write: values worked out here, by numbers alone.

Nothing of the catalogue is used: a student is a procedure that solves each circuit with a nodal solver of a dozen
lines, goes wrong wherever an idea says so, and carries on with what was found.  All circuits are invented.
"""

import random
from dataclasses import dataclass, field

import numpy as np

from grader.rubric.files import tables_to_rubric
from grader.uploads.upload import Upload, Written

E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)

IDEAS = {
    "storage-dc": "capacitor short and inductor open in dc steady state",
    "starts-empty": "everything starts empty",
    "state-jumps": "the state is at once that of the new circuit",
    "nothing-jumps": "what can jump is held as well",
    "switch-backwards": "before and after exchanged",
    "old-circuit": "resistance of the circuit before",
    "all-added": "every resistor added",
    "all-parallel": "every resistor in parallel",
    "source-opened": "a voltage source taken out by an open circuit",
    "tau-inverted": "R/L for L/R",
    "rate-for-time": "1/tau given for tau",
    "five-tau": "five time constants given as one",
    "dies-to-zero": "every final value is zero",
    "ends-exchanged": "initial and final value exchanged in the expression",
    "grows": "the exponent without its minus sign",
    "energy-half": "no half in the energy",
}
"""What a student may believe, by the names of this file."""


# -- circuits as numbers -----------------------------------------------------------------------------


@dataclass(frozen=True)
class Net:
    """A circuit of one storage element: branches are (kind, node, node, number); node 0 is ground."""

    name: str
    before: tuple
    after: tuple
    kind: str
    ends: tuple
    size: float
    neighbour: tuple
    rubric: dict = field(hash=False, compare=False)
    sources_left: bool = True


def solve(branches):
    """Node voltages, and the currents of the branches of voltage sources, by modified nodal analysis."""
    nodes = sorted({n for _, a, b, _ in branches for n in (a, b)} - {0})
    place = {n: k for k, n in enumerate(nodes)}
    sources = [b for b in branches if b[0] == "V"]
    size = len(nodes) + len(sources)
    matrix, right = np.zeros((size, size)), np.zeros(size)
    for kind, a, b, number in branches:
        if kind == "R":
            for x, y in ((a, b), (b, a)):
                if x:
                    matrix[place[x], place[x]] += 1 / number
                    if y:
                        matrix[place[x], place[y]] -= 1 / number
        if kind == "I":  # from a to b through the source
            if a:
                right[place[a]] -= number
            if b:
                right[place[b]] += number
    for n in nodes:  # what hangs in the air rests at ground
        matrix[place[n], place[n]] += 1e-12
    for k, (_, a, b, number) in enumerate(sources):
        row = len(nodes) + k
        for node, sense in ((a, 1), (b, -1)):
            if node:
                matrix[row, place[node]] += sense
                matrix[place[node], row] += sense
        right[row] = number
    found = np.linalg.solve(matrix, right)
    volts = {0: 0.0, **{n: float(found[place[n]]) for n in nodes}}
    return volts, [float(x) for x in found[len(nodes) :]]


def steady(net, branches, swapped=False):
    """The element's own quantity in dc: a capacitor's voltage, an inductor's current."""
    a, b = net.ends
    short = (net.kind == "L") != swapped
    volts, currents = solve([*branches, ("V", a, b, 0.0)] if short else branches)
    if net.kind == "C":
        return 0.0 if short else volts[a] - volts[b]
    return currents[-1] if short else 0.0


def through(net, branches, state):
    """The neighbour's current with the element held at a state."""
    a, b = net.ends
    volts, _ = solve([*branches, ("V" if net.kind == "C" else "I", a, b, state)])
    x, y, ohms = net.neighbour
    return (volts[x] - volts[y]) / ohms


def seen(net, branches, opened=False):
    """Resistance at the element's terminals, sources off (or voltage sources cut out, wrongly)."""
    a, b = net.ends
    dead = [x for x in branches if x[0] == "R"]
    dead += [] if opened else [("V", x[1], x[2], 0.0) for x in branches if x[0] == "V"]
    volts, _ = solve([*dead, ("I", b, a, 1.0)])
    return volts[a] - volts[b]


# -- four kinds of circuits --------------------------------------------------------------------------


def _line(name, kind, one, other, value=None, **more):
    entry = {"name": name, "kind": kind, "between": [one, other], **more}
    return entry if value is None else {**entry, "value": value}


def _r(rng):
    return float(rng.choice(E12) * 10 ** rng.choice((0, 1)))


def bypass(rng):
    """A coil behind a divider; the switch closes across a resistor."""
    volts, r1, r4, r2, r3, henries = rng.randint(8, 48), _r(rng), _r(rng), _r(rng), _r(rng), rng.choice(E12) * 1e-3
    common = (("V", 1, 0, volts), ("R", 1, 2, r1), ("R", 3, 0, r2), ("R", 3, 4, r3))
    return Net("bypass", (*common, ("R", 2, 3, r4)), (*common, ("R", 2, 3, 1e-9)), "L", (4, 0), henries, (3, 0, r2), {
        "element": [
            _line("Vs", "voltage source", "a", "g", f"{volts} V"), _line("R1", "resistor", "a", "b", f"{r1} ohm"),
            _line("R4", "resistor", "b", "c", f"{r4} ohm"), _line("S1", "switch", "b", "c", closes="0 s"),
            _line("R2", "resistor", "c", "g", f"{r2} ohm"), _line("R3", "resistor", "c", "d", f"{r3} ohm"),
            _line("L1", "inductor", "d", "g", f"{henries * 1e3:.6g} mH"),
        ],
        "own": {"current": "L1"}, "other": {"current": "R2"},
    })  # fmt: skip


def release(rng):
    """A capacitor charged through a divider and left to itself; the switch opens."""
    volts, r1, r2, r3, farads = rng.randint(8, 48), _r(rng), _r(rng), _r(rng), rng.choice(E12) * 1e-6
    left = (("R", 2, 0, r2), ("R", 2, 3, r3))
    before = (("V", 1, 0, volts), ("R", 1, 2, r1), *left)
    return Net("release", before, left, "C", (3, 0), farads, (2, 0, r2), {
        "element": [
            _line("Vs", "voltage source", "a", "g", f"{volts} V"), _line("R1", "resistor", "a", "b", f"{r1} ohm"),
            _line("S1", "switch", "b", "c", opens="0 s"), _line("R2", "resistor", "c", "g", f"{r2} ohm"),
            _line("R3", "resistor", "c", "d", f"{r3} ohm"), _line("C1", "capacitor", "d", "g", f"{farads * 1e6:.6g} uF"),
        ],
        "own": {"voltage": "C1"}, "other": {"current": "R2"},
    })  # fmt: skip


def joined(rng):
    """A voltage source feeds a capacitor all the time; the switch connects a current source to it."""
    volts, r1, r2, r3, farads = rng.randint(8, 48), _r(rng), _r(rng), _r(rng), rng.choice(E12) * 1e-6
    amperes, r5 = rng.randint(20, 900) * 1e-3, _r(rng)
    common = (("V", 1, 0, volts), ("R", 1, 2, r1), ("R", 2, 0, r2), ("R", 2, 3, r3))
    own = (("I", 0, 4, amperes), ("R", 4, 0, r5))
    return Net("joined", (*common, *own), (*common, *own, ("R", 4, 2, 1e-9)), "C", (3, 0), farads, (2, 0, r2), {
        "element": [
            _line("Vs", "voltage source", "a", "g", f"{volts} V"), _line("R1", "resistor", "a", "c", f"{r1} ohm"),
            _line("Is", "current source", "g", "e", f"{amperes * 1e3:.6g} mA"), _line("R5", "resistor", "e", "g", f"{r5} ohm"),
            _line("S1", "switch", "e", "c", closes="0 s"), _line("R2", "resistor", "c", "g", f"{r2} ohm"),
            _line("R3", "resistor", "c", "d", f"{r3} ohm"), _line("C1", "capacitor", "d", "g", f"{farads * 1e6:.6g} uF"),
        ],
        "own": {"voltage": "C1"}, "other": {"current": "R2"},
    })  # fmt: skip


def added(rng):
    """A coil on a source; the switch that opens takes a parallel resistor away."""
    volts, r1, r2, r3, henries = rng.randint(8, 48), _r(rng), _r(rng), _r(rng), rng.choice(E12) * 1e-3
    common = (("V", 1, 0, volts), ("R", 1, 2, r1), ("R", 2, 3, r3))
    return Net("added", (*common, ("R", 2, 0, r2)), common, "L", (3, 0), henries, (1, 2, r1), {
        "element": [
            _line("Vs", "voltage source", "a", "g", f"{volts} V"), _line("R1", "resistor", "a", "b", f"{r1} ohm"),
            _line("R3", "resistor", "b", "c", f"{r3} ohm"), _line("L1", "inductor", "c", "g", f"{henries * 1e3:.6g} mH"),
            _line("R2", "resistor", "b", "d", f"{r2} ohm"), _line("S1", "switch", "d", "g", opens="0 s"),
        ],
        "own": {"current": "L1"}, "other": {"current": "R1"},
    })  # fmt: skip


KINDS = (bypass, release, joined, added)


def sheet(seed):
    """Four circuits of different kinds, and the rubric that asks about them by parts."""
    rng = random.Random(seed)
    nets = [make(rng) for make in KINDS]
    problems = []
    for net in nets:
        own, other = net.rubric["own"], net.rubric["other"]
        items = [
            {"id": "before", "find": "value just before switching", **own},
            {"id": "start", "find": "initial value", **own},
            {"id": "jump", "find": "initial value", **other},
            {"id": "end", "find": "final value", **own},
            {"id": "seen", "find": "resistance seen"},
            {"id": "tau", "find": "time constant"},
            {"id": "whole", "find": "expression", **own},
            {"id": "energy", "find": "stored energy", "of": "L1" if net.kind == "L" else "C1", "at": "0 s"},
        ]
        problems.append({
            "id": net.name, "title": "Invented", "ground": "g", "element": net.rubric["element"],
            "item": [{"points": 1, **item} for item in items],
        })  # fmt: skip
    tables = {"title": "Invented", "course": "EE 118", "marking": {"tolerance": "1 %"}, "problem": problems}
    return nets, tables_to_rubric(tables, "invented.toml", "0" * 64)


# -- students ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Student:
    """What a student believes, what was written, and in which answers a belief or a slip shows."""

    id: str
    ideas: tuple
    answers: dict
    shown: dict
    slips: dict


def resistors(net):
    """All resistors drawn."""
    return [float(e["value"].split()[0]) for e in net.rubric["element"] if e["kind"] == "resistor"]


def worked(net, ideas, slip):
    """A student's answers to one circuit, in order; ``slip(item, number)`` may spoil each."""
    before, after = net.before, net.after
    if "switch-backwards" in ideas:
        before, after = after, before
    swapped = "storage-dc" in ideas
    found = {}
    held = slip("before", 0.0 if "starts-empty" in ideas else steady(net, before, swapped))
    found["before"] = held
    old = through(net, before, held)
    end = 0.0 if "dies-to-zero" in ideas else steady(net, after, swapped)
    start = slip("start", end if "state-jumps" in ideas else held)
    found["start"] = start
    found["jump"] = slip("jump", old if "nothing-jumps" in ideas else through(net, after, start))
    end = slip("end", end)
    found["end"] = end
    looked_into = before if "old-circuit" in ideas else after
    ohms = seen(net, looked_into, "source-opened" in ideas)
    if ohms > 1e9:  # nothing is left to look into, and the student thinks again
        ohms = seen(net, looked_into)
    if "all-added" in ideas:
        ohms = sum(resistors(net))
    if "all-parallel" in ideas:
        ohms = 1 / sum(1 / r for r in resistors(net))
    ohms = slip("seen", ohms)
    found["seen"] = ohms
    tau = net.size / ohms if net.kind == "L" else ohms * net.size
    if net.kind == "L" and "tau-inverted" in ideas:
        tau = 1 / tau
    given = 5 * tau if "five-tau" in ideas else tau
    given = slip(
        "tau", 1 / given if "rate-for-time" in ideas and not (net.kind == "L" and "tau-inverted" in ideas) else given
    )
    found["tau"] = given
    inside = given if "rate-for-time" not in ideas else tau  # a rate belongs into the exponent as it is
    first, last = (end, start) if "ends-exchanged" in ideas else (start, end)
    found["whole"] = (last, first - last, (1 if "grows" in ideas else -1) / inside)
    found["energy"] = slip("energy", (1 if "energy-half" in ideas else 0.5) * net.size * start**2)
    return found


def text(net, item, number):
    """As it is written on the sheet."""
    unit = "V" if net.kind == "C" else "A"
    if item == "whole":
        last, size, rate = number
        return f"{last:.4g} + {size:.4g}*e^({rate:.4g}*t) {unit}".replace("+ -", "- ")
    units = {"before": unit, "start": unit, "jump": "A", "end": unit, "seen": "ohm", "tau": "s", "energy": "J"}
    return f"{number:.4g} {units[item]}"


def spoilt(rng, number):
    """A local slip: arithmetic, sign, prefix, or two digits exchanged in copying; with its name."""
    kind = rng.choice(("arithmetic", "arithmetic", "sign", "prefix", "copied"))
    if number == 0 or kind == "arithmetic":
        return "arithmetic", (number or rng.uniform(0.5, 20)) * rng.choice(
            (rng.uniform(0.4, 0.9), rng.uniform(1.1, 2.5))
        )
    if kind == "sign":
        return kind, -number
    if kind == "prefix":
        return kind, number * 10.0 ** rng.choice((3, -3))
    digits = f"{abs(number):.3e}"
    turned = digits[0] + "." + digits[3] + digits[2] + digits[4:]
    return kind, float(turned) * (1 if number > 0 else -1)


def student(rng, id, nets, ideas, slip_rate=0.05, blank_rate=0.05):
    """One student's answers to the four circuits."""
    answers, shown, slips = {}, {idea: [] for idea in ideas}, {}
    for net in nets:
        made = {}

        def slip(item, number, made=made):
            if rng.random() >= slip_rate:
                return number
            made[item] = spoilt(rng, number)
            return made[item][1]

        found = worked(net, ideas, slip)
        for item, number in found.items():
            if rng.random() >= blank_rate:
                answers[net.name, item] = text(net, item, number)
        slips |= {(net.name, item): kind for item, (kind, _) in made.items()}
        for idea in ideas:  # it shows where, all else alike, the answer would be another without it
            others = tuple(other for other in ideas if other != idea)
            without = worked(net, others, lambda item, number, made=made: made[item][1] if item in made else number)
            shown[idea] += [
                (net.name, item)
                for item, number in found.items()
                if (net.name, item) in answers and item not in made and not close(number, without[item])
            ]
    return Student(id, tuple(ideas), answers, shown, slips)


def close(one, other):
    """Whether two answers are the same within the tolerance of the sheet."""
    return bool(np.allclose(one, other, rtol=0.01, atol=1e-9))


def section(seed, size=200, slip_rate=0.05, common=None):
    """A class: each student with no, one or two lasting ideas (one in two, one in three, one in six)."""
    rng = random.Random(seed)
    nets, rubric = sheet(rng.random())
    names = list(IDEAS)
    weights = common or [rng.choice((1, 1, 2, 4)) for _ in names]
    students = []
    for n in range(size):
        held = []
        for _ in range(rng.choice((0, 0, 0, 1, 1, 2))):
            held += [idea for idea in rng.choices(names, weights) if idea not in held]
        students.append(student(rng, f"S{n:04d}", nets, tuple(held), slip_rate))
    return nets, rubric, students


def upload(one):
    """What a student hands in."""
    written = tuple(Written(problem=p, item=i, text=t) for (p, i), t in one.answers.items())
    return Upload(file=f"{one.id}.txt", digest="", student=one.id, answers=written)
