"""The worked solution at a pair of terminals; an invented divider of 12 V, 6 Ω and 3 Ω, 2 Ω on, worked by hand."""

from grader.circuit.response import solve
from grader.reports.terminals import terminal_steps
from grader.rubric.files import read_rubric
from grader.rubric.references import references
from grader.solution import prose_text

DIVIDER = """
title = "Divider, invented"
[[problem]]
id = "port"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "6 ohm"},
  {name = "R2", kind = "resistor", between = ["c", "g"], value = "3 ohm"},
  {name = "R3", kind = "resistor", between = ["c", "d"], value = "2 ohm"},
  {name = "L1", kind = "inductor", between = ["d", "g"], value = "2 H"},
%s
]
item = [%s]
"""


def steps(*items, more=""):
    text = DIVIDER % (more, ", ".join(f"{{id = 'i{k}', points = 1, {item}}}" for k, item in enumerate(items)))
    rubric = read_rubric(text.encode(), "port.toml")
    (problem,) = rubric.problems
    found = terminal_steps(problem, solve(problem.circuit), references(rubric))
    return [
        (
            " ".join(prose_text(sentence) for sentence in step.sentences),
            [" = ".join(side.text for side in line.chain) for line in step.lines],
        )
        for step in found
    ]


def test_a_coil_taken_out_leaves_the_divider_and_a_wire_in_its_place_takes_a_third_branch():
    """12 V·3/9 = 4 V; with 3 Ω ∥ 2 Ω = 1.2 Ω to ground 2 V are left, 1 A in 2 Ω; 4 V/1 A = 2 Ω + 6 Ω ∥ 3 Ω."""
    opened, shorted = steps("find = 'open-circuit voltage', by = 'L1'", "find = 'short-circuit current', by = 'L1'")
    assert opened == (
        "L1 is taken out.",
        [
            "(v_c − 12 V)/(6 Ω) + v_c/(3 Ω) + (v_c − v_d)/(2 Ω) = 0",
            "(v_d − v_c)/(2 Ω) = 0",
            "v_c = 4 V",
            "v_d = 4 V",
            "V_oc = v_d = 4 V",
        ],
    )
    assert shorted == (
        "A wire stands in the place of L1.",
        ["(v_c − 12 V)/(6 Ω) + v_c/(3 Ω) + v_c/(2 Ω) = 0", "v_c = 2 V", "I_sc = v_c/(2 Ω) = 1 A"],
    )


def test_between_two_nodes_the_coil_is_a_wire_and_the_resistors_are_combined():
    """The coil shorts 2 Ω to ground: 2 V, 12 V/6 Ω = 2 A through a wire, 6 ∥ 3 ∥ 2 = 1 Ω."""
    rest = "in the dc steady state capacitors are open and inductors short circuits."
    ends = "between = ['c', 'g']"
    assert steps(
        f"find = 'open-circuit voltage', {ends}",
        f"find = 'short-circuit current', {ends}",
        f"find = 'resistance between', {ends}",
    ) == [
        (
            rest.capitalize(),
            ["(v_c − 12 V)/(6 Ω) + v_c/(3 Ω) + v_c/(2 Ω) = 0", "v_c = 2 V", "V_oc = v_c = 2 V"],
        ),
        (f"A wire joins the two; {rest}", ["I_sc = 12 V/(6 Ω) = 2 A"]),
        (
            "Independent voltage sources become short circuits, independent current sources open circuits.",
            ["R = R3 ∥ R1 ∥ R2 = 2 Ω ∥ 6 Ω ∥ 3 Ω = 1 Ω"],
        ),
    ]


def test_one_of_two_storage_elements_looks_into_its_own_resistance():
    """A capacitor at c open: 2 Ω + 6 ∥ 3 Ω = 4 Ω; the coil a wire: 6 ∥ 3 ∥ 2 Ω = 1 Ω."""
    capacitor = '{name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 F"},'
    seen = "find = 'resistance seen', by = '%s'"
    coil, plates = steps(seen % "L1", seen % "C1", more=capacitor)
    assert coil[1] == ["R_th = R3 + R1 ∥ R2 = 2 Ω + 6 Ω ∥ 3 Ω = 4 Ω"]
    assert plates[1] == ["R_th = R3 ∥ R1 ∥ R2 = 2 Ω ∥ 6 Ω ∥ 3 Ω = 1 Ω"]
