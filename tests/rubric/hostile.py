"""Rubrics written to harm or by a slip, each with what its fault says; every text is invented.

A case is (name, text of the file, a part of the sentence that it must give).  Values are put into one small sound rubric,
so that whatever is said is said of the one thing that is wrong.
"""

SOUND = """
title = "Weir lamp"
[[problem]]
id = "lamp"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
]
item = [
  {id = "tau", find = "time constant", points = 1, key = "2 ms"},
  {id = "v", find = "expression", voltage = "C1", points = 1},
]
"""


def with_value(text: str) -> str:
    """The resistance as given."""
    return SOUND.replace('"1 kohm"', text)


def with_key(text: str) -> str:
    """The time constant's key as given."""
    return SOUND.replace('"2 ms"', text)


def with_more(text: str) -> str:
    """Another element."""
    return SOUND.replace("element = [", f"element = [\n  {text},")


def with_item(text: str) -> str:
    """Another item."""
    return SOUND.replace("item = [", f"item = [\n  {text},")


def ladder(letters: int) -> str:
    """A chain of resistors and capacitors, a letter each."""
    lines = []
    for k in range(letters // 2):
        lines.append(f'{{name = "R{k + 10}", kind = "resistor", between = ["n{k}", "n{k + 1}"], value = "r{k}"}}')
        lines.append(f'{{name = "C{k + 10}", kind = "capacitor", between = ["n{k + 1}", "g"], value = "c{k}"}}')
    source = '{name = "Vs", kind = "voltage source", between = ["n0", "g"], step = {after = "5 V"}}'
    return f"""
title = "Ladder"
[[problem]]
id = "lamp"
ground = "g"
element = [{", ".join([source, *lines])}]
item = [{{id = "v", find = "expression", voltage = "C10", points = 1}}]
"""


MISTYPED = [
    "l20 ohm", "O5 ohm", "o.5 ohm", "I00 ohm", "nan ohm", "inf ohm", "NaN", "infinity", "l0k", "S0 ohm", "lO ohm", "1O0 ohm",
    "l2,5 kohm", "B0 ohm", "Z2 ohm", "-inf ohm", "q ohm", "R ohm",
]  # fmt: skip

CASES: list[tuple[str, str, str]] = [
    *((f"value {text}", with_value(f'"{text}"'), "element 'R1': 'value': ") for text in MISTYPED),
    ("value 1/0", with_value('"1/0 ohm"'), "cannot be worked out"),
    ("value 0/0", with_value('"0/0"'), "cannot be worked out"),
    ("tower of powers", with_value('"9^9^9^9 ohm"'), "element 'R1': 'value': "),
    ("power of a sum", with_value('"(a+b+c+d)^30"'), "element 'R1': 'value': "),
    ("power of a letter", with_value('"r^900"'), "element 'R1': 'value': "),
    ("powers by products", with_value('"' + "*".join(["(a+b+c+d+f+g)"] * 12) + '"'), "element 'R1': 'value': "),
    ("a raised digit as a letter", with_value('"²V0"'), "'²V0' cannot be a symbol"),
    ("many letters", with_value('"' + "+".join(f"r{k}" for k in range(60)) + '"'), "letters"),
    ("long value", with_value('"' + "1" * 20_000 + ' ohm"'), "longer than"),
    ("long sum", with_value('"' + "+".join(["1"] * 4000) + ' ohm"'), "element 'R1': 'value': "),
    ("deep brackets", with_value('"' + "(" * 4000 + "1" + ")" * 4000 + ' ohm"'), "element 'R1': 'value': "),
    ("huge exponent", with_value('"1e99999999 ohm"'), "element 'R1': 'value': "),
    ("huge bare number", with_value("1e99999999"), "element 'R1': 'value': "),
    ("bare nan", with_value("nan"), "element 'R1': 'value': "),
    ("bare inf", with_value("inf"), "element 'R1': 'value': "),
    ("a list", with_value('["1 kohm", "2 kohm"]'), "element 'R1'"),
    ("a date", with_value("1979-05-27"), "element 'R1'"),
    ("a table", with_value("{value = 3}"), "element 'R1'"),
    ("an empty value", with_value('""'), "element 'R1'"),
    ("blanks", with_value('"   "'), "element 'R1'"),
    ("NUL", with_value('"1\\u0000 kohm"'), "element 'R1': 'value': "),
    ("right-to-left", with_value('"1\\u202e kohm"'), "element 'R1': 'value': "),
    ("right-to-left in an id", with_item('{id = "\\u202ev", find = "expression", voltage = "C1", points = 1}'), "‹U+202E›v"),
    ("right-to-left in a find", with_item('{id = "w", find = "\\u202eslope", voltage = "C1", points = 1}'), "‹U+202E›slope"),
    ("right-to-left outside a text", SOUND + "x = 1\u202e2 3\n", "‹U+202E›2 3"),
    ("code", with_value('"__import__(\'os\')"'), "element 'R1': 'value': "),
    ("dotted key", SOUND + ".".join("a" * 1 for _ in range(100_000)) + " = 1\n", "nested"),
    ("dotted header", SOUND + "[" + ".".join("a" for _ in range(50_000)) + "]\n", "nested"),
    ("dotted key inside", SOUND.replace("item = [", "x = {" + ".".join("a" for _ in range(30_000)) + " = 1}\nitem = ["), "nested"),
    ("deep lists", SOUND + "x = " + "[" * 5000 + "]" * 5000, "nested"),
    ("deep tables", SOUND + "x = " + "{a = " * 3000 + "1" + "}" * 3000, "nested"),
    ("long whole number", SOUND + "x = " + "9" * 50_000, "too long"),
    ("number beyond bounds", SOUND + "x = 1e" + "9" * 60, "too long"),
    ("many instants", SOUND.replace('closes = "0 s"', f'closes = [{", ".join(f"{k}" for k in range(2000))}]'), "instants"),
    ("many steps in one waveform", SOUND.replace('value = "12 V"', 'waveform = "' + "+".join(f"u(t-{k})" for k in range(400)) + ' V"'), "element 'Vs'"),
    ("many sources that step", SOUND.replace("element = [", "element = [\n" + "".join(f'  {{name = "I{k}", kind = "current source", between = ["g", "c"], step = {{after = "1 A", at = "{k + 1} s"}}}},\n' for k in range(150))), "actions"),
    ("many elements", SOUND.replace("element = [", "element = [\n" + "".join(f'  {{name = "R{k + 5}", kind = "resistor", between = ["b", "c"], value = 1}},\n' for k in range(5000))), "elements are too many"),
    ("many items", SOUND.replace("item = [", "item = [\n" + "".join(f'  {{id = "x{k}", find = "time constant", points = 1}},\n' for k in range(2500))), "items are asked"),
    ("many faults", SOUND.replace("item = [", "item = [\n" + "".join(f'  {{id = "x{k}", find = "nonsense{k}", points = 1}},\n' for k in range(2000))), "nothing to find"),
    ("high power of t", SOUND.replace('value = "12 V"', 'waveform = "t^900 V"'), "element 'Vs'"),
    ("product of many sines", SOUND.replace('value = "12 V"', 'waveform = "' + " ".join(f"cos({k}t)" for k in range(1, 40)) + ' V"'), "element 'Vs'"),
    ("a source that grows since ever", SOUND.replace('value = "12 V"', 'waveform = "e^(-3t) + 1e999 V"'), "element 'Vs'"),
    ("points nan", SOUND.replace("points = 1, key", "points = nan, key"), "points"),
    ("points inf", SOUND.replace("points = 1, key", "points = inf, key"), "points"),
    ("points negative", SOUND.replace("points = 1, key", "points = -1, key"), "points"),
    ("points boolean", SOUND.replace("points = 1, key", "points = true, key"), "points"),
    ("tolerance nan", SOUND.replace("points = 1, key", "points = 1, tolerance = nan, key"), "tolerance"),
    ("an id with a path", SOUND.replace('id = "tau"', 'id = "../tau"'), "letters, digits"),
    ("an id with markup", SOUND.replace('id = "tau"', 'id = "<b>tau</b>"'), "letters, digits"),
    ("an id of a thousand letters", SOUND.replace('id = "tau"', f'id = "{"x" * 1000}"'), "at most 40"),
    ("a name with markup", SOUND.replace('"R1"', '"<script>"'), "letters, digits and underscores"),
    ("a node of many letters", SOUND.replace('"b", "c"', f'"{"b" * 20_000}", "c"'), "longer than"),
    ("a text beyond bounds", SOUND.replace('id = "lamp"', f'id = "lamp"\ntext = "{"x" * 200_000}"'), "longer than"),
    ("a stated key that is a bomb", with_item('{id = "k", find = "stated value", points = 1, key = "(1+t+t^2+t^3)^60"}'), "item 'k'"),
    ("a stated key with steps", with_item('{id = "k", find = "stated value", points = 1, key = "5 u(t) - 5 u(t-2 s) V"}'), "item 'k'"),
    ("a stated key in s", with_item('{id = "k", find = "stated value", points = 1, key = "10/(s+2)"}'), "item 'k'"),
    ("a range without end", with_value('"1 ohm … 1e12 ohm, step 1e-9 ohm"'), "element 'R1': 'value': "),
    ("a ladder of letters", ladder(24), "problem 'lamp'"),
    ("two faults at once", with_value('"l20 ohm"').replace('"2 uF"', '"nan F"'), "element 'C1': 'value': "),
]  # fmt: skip
