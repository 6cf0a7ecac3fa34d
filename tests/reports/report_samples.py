"""A rubric, answers and marks made up for these tests: the Harbour Lock works, an invented course."""

from grader.marking.marks import BLANK, CORRECT, FOLLOWED, INCORRECT, PARTLY, UNREADABLE, Mark, Marked, Part
from grader.problem import Rubric
from grader.rubric.files import read_rubric

TOML = b"""
title = "Lock valve & <horn>"
course = "EE 118"

[[problem]]
id = "valve"
title = "Solenoid valve"
ground = "g"
text = \"\"\"
The coil of a lock valve is fed from 24 V.

At t = 0 the bypass closes.\"\"\"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "R4", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R3", kind = "resistor", between = ["b", "m"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["m", "g"], value = "80 mH"},
]
item = [
  {id = "i0", find = "initial value", current = "L1", points = 1},
  {id = "tau", find = "time constant", points = 2},
  {id = "i", find = "expression", current = "L1", points = 4},
]

[[problem]]
id = "horn"
title = "Foghorn"
ground = "g"
text = "The capacitor is charged from 90 V and then switched over to the horn."
element = [
  {name = "V1", kind = "voltage source", between = ["s", "g"], value = "90 V"},
  {name = "R1", kind = "resistor", between = ["s", "p"], value = "4.7 kohm"},
  {name = "S1", kind = "changeover switch", common = "c", from = "p", to = "q", at = "0 s"},
  {name = "R2", kind = "resistor", between = ["q", "g"], value = "1 kohm"},
  {name = "R3", kind = "resistor", between = ["c", "g"], value = "10 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
]
item = [
  {id = "v0", find = "initial value", voltage = "C1", points = 1},
  {id = "heat", find = "choice", text = "Where does the energy go?", options = ["R1", "R2"], key = "R2", points = 1},
]
"""


def rubric() -> Rubric:
    return read_rubric(TOML, "samples.toml")


PAIRS = (("valve", "i0"), ("valve", "tau"), ("valve", "i"), ("horn", "v0"), ("horn", "heat"))

MATHML = (
    "<math><mn>4</mn><mo>+</mo><mn>2</mn><msup><mi>e</mi><mrow><mo>−</mo><mn>50</mn><mi>t</mi></mrow></msup></math>"
)


def marked() -> Marked:
    """Every verdict once, with what a student might write to break a page or a spreadsheet."""
    return Marked(
        student="S0012",
        file="hw3_S0012.xlsx",
        marks=(
            Mark(
                problem="valve", item="i0", answer="=4 A", reading="4 A", awarded=1, possible=1, verdict=CORRECT,
                reasons=("This is right.",),
            ),
            Mark(
                problem="valve", item="tau", answer="4/80mH", reading="50 1/s", awarded=0, possible=2, verdict=INCORRECT,
                mistakes=("rl-time-constant-inverted",), reasons=("This does not agree with the circuit.",),
                nudges=("Work out the unit of your expression: is it seconds?",), notes=("For the instructor alone.",),
            ),
            Mark(
                problem="valve", item="i", answer="4+2e^(-50t) <script>alert(1)</script>", reading="4 + 2e^(−50t)",
                reading_mathml=MATHML, awarded=3, possible=4, verdict=PARTLY, follows_from=("tau",),
                parts=(
                    Part(name="initial value", awarded=1, possible=2, verdict=PARTLY),
                    Part(name="time constant", awarded=2, possible=2, verdict=FOLLOWED),
                ),
                reasons=("Parts of it follow from your own answer to tau.",),
                decision="Agreed in the office hour.", review=True,
            ),
            Mark(
                problem="horn", item="v0", answer="@ninety", awarded=0, possible=1, verdict=UNREADABLE, review=True,
                reasons=("'ninety' could not be read; write a number.",),
            ),
            Mark(problem="horn", item="heat", answer="", awarded=0, possible=1, verdict=BLANK,
                 reasons=("Nothing was written here.",)),
        ),
    )  # fmt: skip
