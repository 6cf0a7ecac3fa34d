"""A source's name in an answer stands for what it delivers on the interval asked; values worked out by hand.

`pulse`: 10 V for 50 ms on 1 kΩ and 20 µF (20 ms): v → 10 V, i(0) = 10 mA, v = 10 (1 - e^(-50t)) V; just before 50 ms
10 (1 - e^(-2.5)) = 9.179 V.  `stairs`: 4 V, and from 50 ms on 10 V.  `ramp`: 200 V/s for 50 ms, then 10 V.
`stairs` from 4 (1 - e^(-2.5)) = 3.672 V reach 0.95·10 V after 50 + 20 ln(6.328/0.5) = 100.8 ms; half of 4 V at 20 ln 2 = 13.86 ms.
"""

import pytest

from grader.marking.key import build_key
from grader.marking.vetting import check_keys
from grader.rubric.files import read_rubric
from tests.marking.test_rules import marks_of

PROBLEM = """
[[problem]]
id = "{id}"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "{waveform} V"}},
  {{name = "R1", kind = "resistor", between = ["a", "b"], value = "1 kohm"}},
  {{name = "C1", kind = "capacitor", between = ["b", "g"], value = "20 uF"}},
]
item = [
  {{id = "vf", find = "final value", voltage = "C1", points = 1{key}}},
  {{id = "i0", find = "initial value", current = "R1", points = 1}},
  {{id = "v", find = "expression", voltage = "C1", points = 4}},
  {{id = "half", find = "time to reach", voltage = "C1", level = "Vs/2", points = 1}},
  {{id = "v50", find = "value just before switching", voltage = "C1", after = "50 ms", points = 1}},
  {{id = "vf2", find = "final value", voltage = "C1", after = "50 ms", points = 1}},
  {{id = "more", find = "time to reach", voltage = "C1", after = "50 ms", level = "{level}", points = 1}},
]
"""
WAVEFORMS = {"pulse": ("10 u(t) - 10 u(t - 50 ms)", "1 V"), "stairs": ("4 u(t) + 6 u(t - 50 ms)", "0.95 Vs")}
RAMP = (
    PROBLEM.replace("Vs/2", "1 V")
    .replace('"vf", find = "final', '"v0", find = "initial')
    .format(id="ramp", waveform="200 t u(t) - 200 (t - 0.05) u(t - 0.05)", level="9.5 V", key="")
)


def rubric(key=""):
    problems = (PROBLEM.format(id=id, waveform=one, level=level, key=key) for id, (one, level) in WAVEFORMS.items())
    return read_rubric("".join(('title = "Names (invented)"', *problems, RAMP)).encode(), "names.toml")


@pytest.fixture(scope="module")
def key():
    return build_key(rubric())


@pytest.mark.parametrize(
    ("place", "text", "points"),
    [
        ("pulse.vf", "Vs", 1), ("pulse.vf", "-Vs", 0.5), ("pulse.i0", "Vs/R1", 1), ("pulse.v", "Vs(1-e^(-t/(R1*C1)))", 4),
        ("pulse.half", "13.86 ms", 1), ("pulse.v50", "Vs(1-e^(-2.5))", 1), ("stairs.vf", "Vs", 1),
        ("stairs.v", "Vs(1 - e^(-50t))", 4), ("stairs.vf2", "Vs", 1), ("stairs.half", "13.86 ms", 1), ("stairs.more", "100.8 ms", 1),
         ("ramp.vf2", "Vs", 1),
    ],
)  # fmt: skip
def test_a_name_is_what_the_source_delivers_then(key, place, text, points):
    mark = marks_of(key, {place: text})[place]
    assert (mark.awarded, mark.review) == (points, False)


@pytest.mark.parametrize("place", ["pulse.vf2", "ramp.v"])
def test_of_a_source_that_is_over_or_varies_a_person_says_what_its_name_means(key, place):
    mark = marks_of(key, {place: "Vs (1 - e^(-50t))" if place == "ramp.v" else "Vs"})[place]
    assert (mark.awarded, mark.review) == (0, True)


def test_a_key_may_name_the_source():
    assert not check_keys(build_key(rubric(', key = "Vs"')))
