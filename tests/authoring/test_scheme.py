"""The key on paper: answers, points by part, and wrong answers that earn what a student who wrote them would."""

import pytest

from grader.authoring.scheme import costs, scheme
from grader.marking.key import build_key
from grader.problem import Rubric
from grader.rubric.files import read_rubric
from tests.cli.running import run
from tests.quantities import building

TOML = """
title = "Relay"
[marking]
unit_costs = 0.5
[[problem]]
id = "relay"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.2 H"},
]
item = [
  {id = "tau", find = "time constant", points = 2, accept = "0.05", known_wrong = [{answer = "0.8 s", share = 0.25, comment = "L times R."}, {answer = "L1*R1/2", share = 0}]},
  {id = "i", find = "expression", current = "L1", points = 4, parts = {"final value" = 1, "time constant" = 2, form = 1}},
]
"""


@pytest.fixture(scope="module")
def key():
    return build_key(read_rubric(TOML.encode(), "relay.toml"))


def test_answers_and_points_by_part(key):
    """L/R = 50 ms; 12/4 = 3 A."""
    found = scheme(key)
    assert found["relay", "tau"].answer == "50 ms"
    assert found["relay", "tau"].accepted == ("0.05",)
    assert found["relay", "tau"].parts == ()
    assert "".join(found["relay", "tau"].mathml).startswith('<math alttext="50 ms">')
    assert all(one.mathml for one in found["relay", "i"].wrong)
    assert dict(found["relay", "i"].parts) == {"final value": 1, "time constant": 2, "form": 1}


def test_wrong_answers_earn_what_marking_gives(key):
    """What the rubric foresees earns its share; R/L = 20 s earns nothing; with the wrong rate two of four are left."""
    found = scheme(key)
    tau = {one.text: one.points for one in found["relay", "tau"].wrong}
    assert tau["0.8 s"] == 0.5
    assert tau["20 s"] == 0
    assert {one.text: one.value for one in found["relay", "tau"].wrong if one.value} == {"L1*R1/2": "400 ms"}
    wrong = {one.why: one for one in found["relay", "i"].wrong}
    assert any(
        one.points == 2 and "0.05" in one.text for one in wrong.values()
    )  # e^(-0.05 t): 3 A and the form are right
    assert all(0 <= one.points < 4 for one in wrong.values())
    assert len(wrong) == len(found["relay", "i"].wrong)  # each mistake once


def test_what_slips_cost_is_said_once(key):
    assert costs(key).endswith("a wrong power of ten 50 %, a missing or wrong unit 50 % of what the answer earns.")


def test_from_the_call_to_the_page(tmp_path, capsys):
    rubric = tmp_path / "relay.toml"
    rubric.write_text(TOML, encoding="utf-8")
    for ending in ("html", "txt"):
        out = tmp_path / f"key.{ending}"
        assert run("sheet", str(rubric), "--key", "-o", str(out), capsys=capsys)[0] == 0
        text = out.read_text(encoding="utf-8")
        assert "50 ms" in text
        assert "L times R." in text
        assert " = 400 ms" in text
        assert "time constant 2" in text
    status, _, told = run("sheet", str(rubric), "--key", "-o", str(tmp_path / "key.xlsx"), capsys=capsys)
    assert status == 2
    assert ".html or .txt" in told


def test_an_equation_stands_there_as_one_and_not_as_a_polynomial_in_t():
    """The right answer in its text's own letters, the wrong ones as students write them."""
    damper = building.problem("damper", 'id = "poly", find = "characteristic polynomial"')
    found = scheme(build_key(Rubric(title="", course="", problems=(damper,), digest="", name="damper.toml")))
    one = found["p", "poly"]
    assert (one.answer, one.mathml) == ("s² + 6 s + 25 = 0", ())
    assert one.wrong
    for wrong in one.wrong:
        assert "s²" in wrong.text
        assert "<mi>t</mi>" not in "".join(wrong.mathml)


def test_a_response_has_its_points_by_interval_and_a_value_the_figures_asked():
    """24 V/3 ohm = 8 A until 10 ms, 24 V/6 ohm = 4 A then; L/R = 20 ms and 10 ms."""
    text = """
title = "Two intervals"
[[problem]]
id = "coil"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "3 ohm"},
  {name = "S2", kind = "switch", between = ["c", "d"], opens = "10 ms"},
  {name = "R2", kind = "resistor", between = ["c", "d"], value = "3 ohm"},
  {name = "L1", kind = "inductor", between = ["d", "g"], value = "0.06 H"},
]
item = [
  {id = "i", find = "response", current = "L1", points = 8},
  {id = "tau", find = "time constant", points = 1, significant_figures = 3},
]
"""
    found = scheme(build_key(read_rubric(text.encode(), "coil.toml")))
    names, points = zip(*found["coil", "i"].parts, strict=True)
    assert names[::4] == ("0 < t < 10 ms: initial value", "t > 10 ms: initial value")
    assert sum(points) == 8
    assert "for" in "".join(found["coil", "i"].mathml)
    assert found["coil", "tau"].answer == "20.0 ms"
    assert 'alttext="20.0 ms"' in found["coil", "tau"].mathml[0]
