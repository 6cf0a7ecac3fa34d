"""Published worked examples: every circuit and answer of `tests/reference/responses.toml`, source in the message."""

import re
import tomllib
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from grader.circuit.elements import Circuit, Signal, Switch
from grader.circuit.resistance import resistance_seen, time_constant
from grader.circuit.response import Solved, solve
from grader.values.scalar import to_float
from tests.circuit.building import C, I, L, R, V, circuit, q

MAKE = {"resistor": R, "capacitor": C, "inductor": L}
EXAMPLES = tomllib.loads((Path(__file__).parents[1] / "reference" / "responses.toml").read_text(encoding="utf-8"))[
    "example"
]
CHECKS = [(example, check) for example in EXAMPLES for check in example["checks"]]


def built(example) -> Circuit:
    initial = example.get("initial", {})
    elements = []
    for row in example["elements"]:
        name, (a, b), value = row["name"], row["between"], row["value"]
        if row["kind"] in ("capacitor", "inductor"):
            elements.append(MAKE[row["kind"]](name, a, b, value, initial.get(name)))
        elif row["kind"] == "resistor":
            elements.append(R(name, a, b, value))
        else:
            make = V if row["kind"] == "voltage source" else I
            steps = row.get("steps")
            elements.append(make(name, a, b, *((0, *map(tuple, steps)) if steps else (value,))))
    for row in example.get("switches", []):
        actions = ((q(row["at"]), row["after"] == "closed"),)
        elements.append(
            Switch(
                name=row["name"],
                between=tuple(row["between"]),
                before=row["before"] == "closed",
                actions=actions,
            )
        )
    return circuit(*elements, ground="0")


def asked(check) -> Signal:
    for kind in ("current", "voltage", "charge"):
        if kind in check:
            of = check[kind]
            return Signal(kind=kind, of=of if isinstance(of, str) else tuple(of))
    raise AssertionError(check)


def half_a_digit(printed: str) -> float:
    """Half a unit in the last printed place, and a whisker for the printed value itself being a rounded half."""
    if "/" in printed:
        return 1e-12
    return 0.5001 * 10.0 ** Decimal(printed).as_tuple().exponent


def interval_at(solved: Solved, time: float) -> int:
    opened = [i for i, interval in enumerate(solved.intervals) if i and to_float(interval.start) <= time + 1e-12]
    return opened[-1]


@pytest.mark.parametrize(
    "example, check", CHECKS, ids=[f"{e['id']}-{'-'.join(map(str, list(c.values())[:2]))}" for e, c in CHECKS]
)
def test_published_answer(example, check):
    """To the printed digits; a closed form at sample times."""
    net = built(example)
    why = f"{example['source']} (weak: {example.get('weak', 'no')})"
    unit = float(check["unit"])
    if "find" in check:
        found = find(net, check["find"])
        if isinstance(found, str):
            assert found == check["published"], why
        else:
            assert found / unit == pytest.approx(
                printed(check["published"]), abs=half_a_digit_or_form(check["published"])
            ), why
        return
    solved, signal = solve(net), asked(check)
    if "samples" in check:
        found = solved.waveform(signal, interval_at(solved, check["samples"][0][0]))
        scale = max(abs(v) for _, v in check["samples"]) or 1
        for time, expected in check["samples"]:
            # The samples carry nine digits.
            assert found.value(time) / unit == pytest.approx(expected, abs=2e-8 * scale), (why, time)
        return
    if check["at"] == "final":
        value = solved.final(signal, len(solved.stages)).value()
    elif check["at"] == "before":
        value = solved.just_before(signal).value()
    elif check["at"] == "0+" and check.get("slope"):
        value = solved.waveform(signal).derivative().value(0)
    elif check["at"] == "0+":
        value = solved.just_after(signal).value()
    else:
        time = float(check["at"])
        value = solved.waveform(signal, interval_at(solved, time)).value(time)
    assert value / unit == pytest.approx(printed(check["published"]), abs=half_a_digit(check["published"])), why


def printed(text: str) -> float:
    if text == "1/(6*sqrt(2))":
        return 1 / (6 * 2**0.5)
    return float(Fraction(text))


def half_a_digit_or_form(text: str) -> float:
    return 1e-12 if "sqrt" in text else half_a_digit(text)


def find(net: Circuit, what: str) -> float | str:
    if what == "time constant":
        return to_float(time_constant(net))
    if what == "resistance seen":
        return to_float(resistance_seen(net))
    value = getattr(solve(net).characteristic(), what)
    return value if isinstance(value, str) else to_float(value)


def test_every_example_is_used():
    """All circuits of the file are checked, and each names its source."""
    assert len(EXAMPLES) >= 70
    assert all(example["source"] and example["checks"] for example in EXAMPLES)


FORMS = [(example, check) for example, check in CHECKS if "form" in check]


@pytest.mark.parametrize("example, check", FORMS, ids=[e["id"] for e, _ in FORMS])
def test_published_closed_form(example, check):
    """The printed formula itself, read by sympy, at the sample times."""
    import sympy

    t = sympy.Symbol("t")
    formula = sympy.lambdify(t, sympy.sympify(check["form"], locals={"t": t}), "math")
    solved, unit = solve(built(example)), float(check["unit"])
    found = solved.waveform(asked(check), interval_at(solved, check["samples"][0][0]))
    scale = max(abs(v) for _, v in check["samples"]) or 1
    rounded = any(len(number.split(".")[1]) > 1 for number in re.findall(r"\d+\.\d+", check["form"]))
    for time, _ in check["samples"]:
        expected = pytest.approx(formula(time), abs=(5e-3 if rounded else 1e-9) * scale)
        assert found.value(time) / unit == expected, (example["source"], check["form"], time)
