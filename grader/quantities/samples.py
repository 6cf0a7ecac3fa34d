"""Small invented circuits for the entries' samples, as element lines of a rubric file.

All are of the Harbour Lock works: a sluice gate's damper, its relay coil and its signal filter.
"""

CIRCUITS: dict[str, str] = {
    # 10 V charges 2 uF through 1 kohm from t = 0; tau = 2 ms.
    "charging": """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
        {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
        {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
        {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
    """,
    # 12 V drives 4 ohm and 0.5 H in series; at t = 0 the source is left and 6 ohm closes the loop: 3 A, tau = 50 ms.
    "relay": """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
        {name = "S1", kind = "changeover switch", common = "b", from = "a", to = "d", at = "0 s"},
        {name = "R1", kind = "resistor", between = ["b", "c"], value = "4 ohm"},
        {name = "L1", kind = "inductor", between = ["c", "g"], value = "0.5 H"},
        {name = "R2", kind = "resistor", between = ["d", "g"], value = "6 ohm"},
    """,
    # R1 is asked: 2 uF charge through it from t = 0.
    "unknown resistor": """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "10 V"},
        {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
        {name = "R1", kind = "resistor", between = ["b", "c"], value = "unknown"},
        {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
    """,
    # A pulse of 6 V and 1 s drives 2 ohm and 1 H in series: tau = 0.5 s.
    "pulse": """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], waveform = "6 u(t) - 6 u(t - 1 s) V"},
        {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 ohm"},
        {name = "L1", kind = "inductor", between = ["b", "g"], value = "1 H"},
    """,
    # 30 uF at 20 V is joined to an empty 30 uF at t = 0: 10 V each, half of 6 mJ is lost.
    "sharing": """
        {name = "C1", kind = "capacitor", between = ["a", "g"], value = "30 uF", initial = "20 V"},
        {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
        {name = "C2", kind = "capacitor", between = ["b", "g"], value = "30 uF", initial = "0 V"},
    """,
    # 9 V charges 1 uF through 2 kohm; whenever 6 V are reached, S1 puts 200 ohm across it, until 3 V are left.
    "flasher": """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "9 V"},
        {name = "R1", kind = "resistor", between = ["a", "b"], value = "2 kohm"},
        {name = "C1", kind = "capacitor", between = ["b", "g"], value = "1 uF"},
        {name = "S1", kind = "switch", between = ["b", "c"], closes = "0 s"},
        {name = "R2", kind = "resistor", between = ["c", "g"], value = "200 ohm"},
    """,
    # Series R, L, C on a 5 V step: alpha = 3 /s, omega0 = 5 rad/s, omega_d = 4 rad/s.
    "damper": """
        {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = 0, after = "5 V", at = "0 s"}},
        {name = "R1", kind = "resistor", between = ["a", "b"], value = "6 ohm"},
        {name = "L1", kind = "inductor", between = ["b", "c"], value = "1 H"},
        {name = "C1", kind = "capacitor", between = ["c", "g"], value = "40 mF"},
    """,
}
