"""A key to mark against: an invented valve circuit (Harbour Lock works), its currents worked out by hand below.

24 V feeds 2 ohm (bridged when S1 closes at t = 0), 6 ohm, then node n; from n 12 ohm to ground, and 4 ohm with 80 mH.
By hand: i(0-) = 18/11 A, i(inf) = 2 A, R seen = 4 + 6*12/18 = 8 ohm, tau = 10 ms.
"""

import pytest

from grader.marking.key import Key, build_key
from grader.rubric.files import load_rubric

VALVE = """
title = "Valve driver (invented)"
course = "EE 118"
{marking}
[[problem]]
id = "valve"
title = "Solenoid valve"
text = "Find the coil current."
ground = "g"
element = [
  {{name = "V1", kind = "voltage source", between = ["a", "g"], value = "24 V"}},
  {{name = "R4", kind = "resistor", between = ["a", "x"], value = "2 ohm"}},
  {{name = "S1", kind = "switch", between = ["a", "x"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["x", "n"], value = "6 ohm"}},
  {{name = "R2", kind = "resistor", between = ["n", "g"], value = "12 ohm"}},
  {{name = "R3", kind = "resistor", between = ["n", "m"], value = "4 ohm"}},
  {{name = "L1", kind = "inductor", between = ["m", "g"], value = "80 mH"}},
]
item = [
  {{id = "before", find = "value just before switching", current = "L1", points = 1}},
  {{id = "start", find = "initial value", current = "L1", points = 1}},
  {{id = "final", find = "final value", current = "L1", points = 1}},
  {{id = "seen", find = "resistance seen", by = "L1", points = 2}},
  {{id = "tau", find = "time constant", points = 1}},
  {{id = "i", find = "expression", current = "L1", points = 4{extra}}},
  {{id = "energy", find = "stored energy", of = "L1", at = "10 ms", points = 2}},
]
"""


@pytest.fixture(scope="session")
def valve_key(tmp_path_factory):
    """Build a key with marking rules of the test's choice: ``valve_key(marking=..., extra=...)``."""
    built: dict[tuple[str, str], Key] = {}

    def build(marking: str = "", extra: str = "") -> Key:
        if (marking, extra) not in built:
            path = tmp_path_factory.mktemp("rubric") / "valve.toml"
            table = f"[marking]\n{marking}" if marking else ""
            path.write_text(VALVE.format(marking=table, extra=extra), encoding="utf-8")
            built[marking, extra] = build_key(load_rubric(path))
        return built[marking, extra]

    return build
