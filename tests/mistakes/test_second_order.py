"""Slips in second-order expressions, written out here from floats alone, come back under their own names.

A charged capacitor, a coil and a resistor in a row are switched to a source: v from the series circuit's equation
s² + (R/L) s + 1/(LC) = 0, constants from v(0+) and dv/dt = i/C; i from v.  All values are invented.
"""

import math
import random
from collections import Counter

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.uploads.upload import Upload, Written

from .circuits import E12, line, rubric_of


def circuit(rng, kind):
    """A series circuit of that kind, far from the border between kinds; floats and the rubric."""
    henries, farads = rng.choice(E12) * 1e-3, rng.choice(E12) * 1e-6
    omega0 = 1 / math.sqrt(henries * farads)
    ratio = rng.uniform(1.5, 4) if kind == "over" else rng.uniform(0.15, 0.6)
    ohms = float(f"{2 * ratio * omega0 * henries:.2g}")
    source, charge = rng.randint(10, 48), rng.choice((3, 4, 5, 6, 7))
    elements = [
        line("Vs", "voltage source", "a", "g", f"{source} V"),
        line("S1", "switch", "a", "b", closes="0 s"),
        line("R1", "resistor", "b", "c", f"{ohms} ohm"),
        line("L1", "inductor", "c", "d", f"{henries * 1e3:.6g} mH"),
        line("C1", "capacitor", "d", "g", f"{farads * 1e6:.6g} uF", initial=f"{charge} V"),
    ]
    items = [
        {"id": "v", "find": "expression", "voltage": "C1"}, {"id": "i", "find": "expression", "current": "L1"}
    ]  # fmt: skip
    rubric = rubric_of(elements, items, tolerance="1 %")
    return ohms / (2 * henries), omega0, source, charge, henries, rubric


def ringing(xf, a, b, alpha, omega):
    return f"{xf:.5g} + e^({-alpha:.5g} t)*({a:.5g} cos({omega:.5g} t) + {b:.5g} sin({omega:.5g} t))".replace(
        "+ -", "- "
    )


def two_rates(xf, a, b, slow, fast):
    return f"{xf:.5g} + {a:.5g} e^({slow:.5g} t) + {b:.5g} e^({fast:.5g} t)".replace("+ -", "- ")


def underdamped_slips(rng):
    """Voltage of the capacitor: v(0) = charge, dv/dt(0) = 0; with the slip's name, what it would be called."""
    alpha, omega0, xf, x0, henries, rubric = circuit(rng, "under")
    omega, a = math.sqrt(omega0**2 - alpha**2), x0 - xf
    b = alpha * a / omega
    twice = 2 * alpha
    yield rubric, "v", ringing(0, a, b, alpha, omega), "decay-only-form"
    yield rubric, "v", ringing(0, x0, alpha * x0 / omega, alpha, omega), "decay-only-form"
    yield rubric, "v", ringing(xf, x0, alpha * x0 / omega, alpha, omega), "constants-final-left-out"
    yield rubric, "v", ringing(xf, b, a, alpha, omega), "constants-exchanged"
    yield rubric, "v", ringing(xf, a, b, -alpha, omega), "growing-power"
    yield rubric, "v", ringing(xf, a, b, alpha, omega0), "damping-ignored-in-rate"
    yield rubric, "v", ringing(xf, a, alpha * a / omega0, alpha, omega0), "damping-ignored-in-rate"
    yield rubric, "v", ringing(xf, a, -b, alpha, omega), "constants-one-sign-turned"
    yield rubric, "v", ringing(xf, a, 0, alpha, omega), "constants-damping-term-lost"
    yield rubric, "v", ringing(xf, -a, -b, alpha, omega), "constants-other-quadrant"
    yield rubric, "v", ringing(xf, a, b, twice, omega), "damping-factor-two-lost"
    if twice < omega0:
        omega_twice = math.sqrt(omega0**2 - twice**2)
        yield rubric, "v", ringing(xf, a, twice * a / omega_twice, twice, omega_twice), "damping-factor-two-lost"
    ohms, farads = twice * henries, 1 / (omega0**2 * henries)
    for rate, pace, name in (
        (alpha, math.hypot(omega0, alpha), "damping-added-below-root"),
        (twice, 2 * omega, "roots-not-halved"),
    ):
        yield rubric, "v", ringing(xf, a, rate * a / pace, rate, pace), name
    other = 1 / (2 * ohms * farads)  # the parallel circuit's
    beta = math.sqrt(abs(other**2 - omega0**2))
    if other < omega0:
        yield rubric, "v", ringing(xf, a, other * a / beta, other, beta), "series-parallel-damping-exchanged"
    else:
        share = (other + beta) * a / (2 * beta)
        yield (
            rubric,
            "v",
            two_rates(xf, share, a - share, beta - other, -beta - other),
            "series-parallel-damping-exchanged",
        )
    critical = f"{xf:.5g} + ({a:.5g} + {alpha * a:.5g} t) e^({-alpha:.5g} t)".replace("+ -", "- ")
    yield rubric, "v", critical, "form-of-another-type"
    size = (xf - x0) / henries / omega
    yield rubric, "i", f"{size:.5g} e^({alpha:.5g} t) sin({omega:.5g} t)", "growing-power"
    yield rubric, "i", f"{size:.5g} e^({-alpha:.5g} t) sin({omega0:.5g} t)", "damping-ignored-in-rate"
    yield rubric, "i", f"{size:.5g} e^({-twice:.5g} t) sin({omega:.5g} t)", "damping-factor-two-lost"
    yield rubric, "i", f"{size:.5g} e^({-alpha:.5g} t) cos({omega:.5g} t)", "constants-exchanged"


def overdamped_slips(rng):
    alpha, omega0, xf, x0, henries, rubric = circuit(rng, "over")
    beta = math.sqrt(alpha**2 - omega0**2)
    slow, fast, step = -alpha + beta, -alpha - beta, x0 - xf
    a = -fast * step / (slow - fast)
    b = step - a
    alone = -fast * x0 / (slow - fast)
    yield rubric, "v", two_rates(0, a, b, slow, fast), "decay-only-form"
    yield rubric, "v", two_rates(0, alone, x0 - alone, slow, fast), "decay-only-form"
    yield rubric, "v", two_rates(xf, alone, x0 - alone, slow, fast), "constants-final-left-out"
    yield rubric, "v", two_rates(xf, b, a, slow, fast), "constants-exchanged"
    yield rubric, "v", two_rates(xf, a, b, -slow, -fast), "growing-power"
    yield rubric, "v", two_rates(xf, a, -b, slow, fast), "constants-one-sign-turned"
    yield rubric, "v", two_rates(xf, a, b, 2 * slow, 2 * fast), "roots-not-halved"
    size = (xf - x0) / henries / (slow - fast)
    yield rubric, "i", two_rates(0, size, -size, 2 * slow, 2 * fast), "roots-not-halved"
    yield rubric, "i", two_rates(0, size, -size, -slow, -fast), "growing-power"
    yield rubric, "i", two_rates(0, size, size, slow, fast), "constants-one-sign-turned"


CRITICAL = [
    line("Vs", "voltage source", "a", "g", "10 V"),
    line("S1", "switch", "a", "b", closes="0 s"),
    line("R1", "resistor", "b", "c", "100 ohm"),
    line("L1", "inductor", "c", "d", "50 mH"),
    line("C1", "capacitor", "d", "g", "20 uF", initial="4 V"),
]
"""α = 100/0.1 = 1000 /s, ω0² = 1/(50 mH · 20 µF) = (1000 /s)²; v = 10 − (6 + 6000 t) e^(−1000 t)."""


def test_slips_at_critical_damping_are_named():
    rubric = rubric_of(CRITICAL, [{"id": "v", "find": "expression", "voltage": "C1"}])
    for text, name in (
        ("10 - (6 + 6000) e^(-1000 t)", "constants-time-factor-lost"),  # B added to A, its t forgotten
        ("10 - e^(-1000 t)*(6 cos(1000 t) + 6 sin(1000 t))", "form-of-another-type"),  # B2 = 6000/1000
    ):
        assert marked(rubric, "v", text).mistakes[:1] == (name,), text


PARALLEL = [
    line("Is", "current source", "g", "a", step={"before": "0 A", "after": "0.2 A", "at": "0 s"}),
    line("R1", "resistor", "a", "g", "50 ohm"),
    line("L1", "inductor", "a", "g", "100 mH", initial="50 mA"),
    line("C1", "capacitor", "a", "g", "1 uF", initial="5 V"),
]
"""α = 10,000 /s, roots −513.17 and −19,486.83 /s; dv/dt(0+) = (0.2 − 0.05 − 5/50) A / 1 µF = 50,000 V/s."""


def test_a_start_slope_without_the_resistors_share_is_named():
    rubric = rubric_of(PARALLEL, [{"id": "v", "find": "expression", "voltage": "C1"}])
    # (0.2 − 0.05) A / 1 µF = 150,000 V/s: A = (150,000 + 19,486.83 · 5) / 18,973.67 = 13.041, B = 5 − A
    mark = marked(rubric, "v", "13.041 e^(-513.17 t) - 8.0409 e^(-19486.8 t)")
    assert mark.mistakes[:1] == ("constants-slope-from-wrong-current",)


def right_answers(rng):
    alpha, omega0, xf, x0, _, rubric = circuit(rng, "under")
    omega, a = math.sqrt(omega0**2 - alpha**2), x0 - xf
    yield rubric, "v", ringing(xf, a, alpha * a / omega, alpha, omega)


def marked(rubric, item, text):
    unit = "V" if item == "v" else "A"
    written = Written(problem="p", item=item, text=text, unit=unit)
    upload = Upload(file="u", digest="", student="S", answers=(written,))
    return next(mark for mark in mark_upload(build_key(rubric), upload).marks if mark.item == item)


def test_slips_in_second_order_expressions_are_named():
    rng = random.Random(2501)
    missed, first, among, count = Counter(), 0, 0, 0
    for _ in range(3):
        for rubric, item, text, name in (*underdamped_slips(rng), *overdamped_slips(rng)):
            mark = marked(rubric, item, text)
            assert mark.verdict != "correct", (text, name)
            count += 1
            first += mark.mistakes[:1] == (name,)
            among += name in mark.mistakes[:3]
            if mark.mistakes[:1] != (name,):
                missed[name, mark.mistakes[:3]] += 1
    print(f"first {first}, among three {among}, of {count}")
    print(*missed.most_common(), sep="\n")
    assert first >= 0.9 * count
    assert among >= 0.97 * count


def test_right_second_order_expressions_are_not_named():
    rng = random.Random(77)
    for _ in range(3):
        for rubric, item, text in right_answers(rng):
            assert (marked(rubric, item, text).verdict, marked(rubric, item, text).mistakes) == ("correct", ())
