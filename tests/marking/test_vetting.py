"""The instructor's own key against the solver: what is said, and whether it is a fault.

By hand: 20 V on 5 ohm and 50 mH give tau = 10 ms, i = 4 - 4 e^(-100t) A, I(s) = 400/(s (s + 100)).
"""

import pytest

from grader.errors import RubricError
from grader.jobs.helper import Overran
from grader.marking.key import build_key
from grader.marking.vetting import check_keys
from grader.rubric.files import read_rubric

RUBRIC = """
title = "Keys (invented)"
[[problem]]
id = "coil"
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], value = "20 V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "5 ohm"}},
  {{name = "L1", kind = "inductor", between = ["c", "g"], value = "50 mH"}},
]
item = [{{id = "x", points = 1, {asked}, key = "{key}"}}]
"""

TAU = 'find = "time constant"'
START = 'find = "initial value", current = "L1"'
CURRENT = 'find = "expression", current = "L1"'
IN_S = 'find = "transform", current = "L1"'


@pytest.mark.parametrize(
    ("asked", "key", "says", "wrong"),
    [
        (TAU, "10 ms", "", False),
        (TAU, "-10 ms", ": the sign is the other one.", True),
        (TAU, "10 s", ": a factor of 10^3.", True),
        (TAU, "10.1 ms", ": 1.00% more (within the tolerance; rounded on the way?).", False),
        (TAU, "9.9 ms", ": 1.00% less (within the tolerance; rounded on the way?).", False),
        (TAU, "9 ms", ": 10.00% less.", True),
        (TAU, "13 ms", ": 30.00% more.", True),
        (TAU, "0 s", ": 100.00% less.", True),
        (TAU, "20 ms", ": 100.00% more.", True),
        (TAU, "20.1 ms", ": 2.01 times as large.", True),
        (TAU, "10.05 ms", "", False),
        (TAU, "10.06 ms", ": 0.60% more (within the tolerance; rounded on the way?).", False),
        (TAU, "a lot", "; the solver finds 10 ms.", True),
        (TAU, "0.0102", ": 2.00% more (within the tolerance; rounded on the way?).", False),
        (TAU, "30 ms", ": 3 times as large.", True),
        (TAU, "-7 ms", ": -0.7 times as large.", True),
        (TAU, "10", "the key '10' has no unit and would be 10 s; the solver finds 10 ms.", True),
        (TAU, "0.01", "the key '0.01' has no unit; the solver finds 10 ms.", False),
        (TAU, "10 mA", "the key '10 mA' has a unit of another kind; the solver finds 10 ms.", True),
        (TAU, "10 + t", ": they differ.", True),
        (TAU, "-", "the key '-' cannot be read (nothing is written there); the solver finds 10 ms.", True),
        (START, "0 A", "", False),
        (CURRENT, "4 - 4e^(-100t)", "has no unit; the solver finds (4 − 4e^(−100t)) A.", False),
        (
            CURRENT,
            "4 - 4e^(-t/9.9ms) A",
            ": the time constant differs (within the tolerance; rounded on the way?).",
            False,
        ),
        (CURRENT, "4.01 - 4.01e^(-100t) A", "", False),
        (CURRENT, "4(1-e^(-100t)) V", "has a unit of another kind; the solver finds (4 − 4e^(−100t)) A.", True),
        (CURRENT, "-4 + 4e^(-100t) A", ": the sign is the other one.", True),
        (CURRENT, "4000 - 4000e^(-100t) A", ": a factor of 10^3.", True),
        (CURRENT, "4 A", ": the initial value, time constant and form differ.", True),
        (CURRENT, "4e^(-100t) A", ": the initial value and final value differ.", True),
        (START, "1 A", ": it is not zero.", True),
        (CURRENT, "4 - 4e^(-100t) A", "", False),
        (CURRENT, "4 - 4e^(-200t) A", ": the time constant differs.", True),
        (CURRENT, "4 - 3e^(-100t) A", ": the initial value differs.", True),
        (CURRENT, "3 - 3e^(-200t) A", ": the final value and time constant differ.", True),
        (CURRENT, "4 + 4e^(-100t) cos(50t) A", ": the initial value and form differ.", True),
        (IN_S, "400/(s(s+100))", "", False),
        (IN_S, "400/(s(s+200))", ": the poles differ.", True),
        (IN_S, "200/(s(s+100))", ": the gain differs.", True),
        (IN_S, "200/(s(s+50))", ": the poles and gain differ.", True),
    ],
)
def test_a_key_is_compared_with_the_solver(asked, key, says, wrong):
    found = check_keys(build_key(read_rubric(RUBRIC.format(asked=asked, key=key).encode(), "keys.toml")))
    if not says:
        assert not found
        return
    (remark,) = found
    assert remark.sentence.split(" This would come from")[0].endswith(says)
    assert remark.wrong is wrong


def test_a_frequency_is_spoken_of_where_there_is_one():
    """20 V on 10 ohm, 50 mH and 20 µF: 2 sin(1000t) e^(-100t) A but for 0.5 % (w = sqrt(10^6 - 10^4) = 995)."""
    rubric = RUBRIC.replace("5 ohm", "10 ohm").replace(
        'between = ["c", "g"], value = "50 mH"}},',
        'between = ["c", "d"], value = "50 mH"}},\n  {{name = "C1", kind = "capacitor", between = ["d", "g"], value = "20 uF"}},',
    )
    (remark,) = vetted(rubric.format(asked=CURRENT, key="0.402 e^(-100t) sin(900t) A"))
    assert "the frequency differs" in remark.sentence
    (remark,) = vetted(rubric.format(asked=CURRENT, key="0.402 e^(-110t) sin(995t) A"))
    assert "the time constant differs" in remark.sentence


def vetted(rubric):
    return check_keys(build_key(read_rubric(rubric.encode(), "keys.toml")))


def test_where_a_key_stands_is_told():
    (remark,) = vetted(RUBRIC.format(asked=TAU, key="13 ms"))
    assert remark.where == "problem 'coil', item 'x'"
    assert remark.sentence.startswith("the key says '13 ms', the solver finds 10 ms: ")


@pytest.mark.parametrize(("units", "said"), [("required", True), ("assumed", False), ("ignored", False)])
def test_a_key_needs_its_unit_where_answers_do(units, said):
    rubric = RUBRIC.format(asked=TAU, key="0.01")
    assert bool(vetted(f'{rubric}\n[marking]\nunits = "{units}"\n')) is said


def test_a_key_that_comes_to_no_end_is_told(monkeypatch):
    from grader.marking import vetting

    key = build_key(read_rubric(RUBRIC.format(asked=TAU, key="10 ms").encode(), "keys.toml"))

    def overruns(*_):
        raise Overran

    monkeypatch.setattr(vetting, "understand", overruns)
    (remark,) = check_keys(key)
    assert remark.sentence == "the key '10 ms' takes too long to work out; write it as a sum of terms."
    assert remark.wrong


def test_an_accepted_answer_that_comes_to_no_end_is_told(monkeypatch):
    from grader.marking import key

    def overruns(*_):
        raise Overran

    rubric = read_rubric(RUBRIC.format(asked=f'{TAU}, accept = ["11 ms"]', key="10 ms").encode(), "keys.toml")
    monkeypatch.setattr(key, "understand", overruns)
    with pytest.raises(RubricError, match="'11 ms' under accept takes too long to work out"):
        build_key(rubric)


def test_a_mistake_that_leads_to_the_key_is_named():
    """R/L for L/R: 5/0.05 = 100."""
    text = RUBRIC.format(asked=TAU, key="100 s")
    (remark,) = check_keys(build_key(read_rubric(text.encode(), "keys.toml")))
    assert "This would come from: " in remark.sentence
