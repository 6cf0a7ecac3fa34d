"""A coil connected and left to itself: a response over two intervals, worked out by hand.

By hand, `drive`: i = 6 - 6 e^(-50t) A up to 20 ms, there 6 (1 - 1/e) = 3.7927 A, then 1.5 + 2.2927 e^(-200(t - 20 ms)) A; v_L1 =
24 e^(-50t) V, then -80 ms * 200/s * 2.2927 A = -36.68 e^(-200(t - 20 ms)) V.  Eight points: four for each interval, one each
for its initial value, final value, time constant and form.
"""

from grader.marking.mark import mark_upload
from grader.uploads.upload import Upload, Written

DRIVE = """
title = "Drive (invented)"
[[problem]]
id = "p"
text = "At t = 0 S1 connects the coil to 24 V; at t = 20 ms S2 opens and leaves R2 in the loop."
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "24 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R2", kind = "resistor", between = ["b", "c"], value = "12 ohm"},
  {name = "S2", kind = "switch", between = ["b", "c"], opens = "20 ms"},
  {name = "R1", kind = "resistor", between = ["c", "d"], value = "4 ohm"},
  {name = "L1", kind = "inductor", between = ["d", "g"], value = "80 mH"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "i", find = "response", current = "L1", points = 8, known_wrong = [{answer = "0<t<20 ms: 2 A; t>20 ms: 1 A", share = 0.25, comment = "Foreseen."}]},
  {id = "v", find = "response", voltage = "L1", points = 8},
  {id = "i25", find = "value at", current = "L1", at = "25 ms", points = 1},
]
"""


def marked(key, **answers):
    """Mark answers given by item id; the marks by item id."""
    written = tuple(Written(problem="p", item=item, text=text) for item, text in answers.items())
    upload = Upload(file="u.txt", digest="", student="S1", answers=written)
    return {mark.item: mark for mark in mark_upload(key, upload).marks}


RIGHT = [
    "0<t<20 ms: 6-6e^(-50t) A; t>20 ms: 1.5+2.293e^(-200(t-20ms)) A",
    "t>20 ms: 1.5+2.293e^(-200(t-20ms)) A; 0<t<20 ms: 6-6e^(-50t) A",
    "t<0: 0 A\n0<t<20 ms: i = 6-6e^(-50t) A\nt>20 ms: i = 1.5+2.293e^(-200(t-0.02)) A",
    "(6-6e^(-50t))(u(t)-u(t-0.02)) + (1.5+2.293e^(-200(t-0.02)))u(t-0.02) A",
    "6(1-e^(-50t))u(t) + [-4.5 + 2.2927e^(-200(t-0.02)) + 6e^(-50t)]u(t-0.02) A",
    r"i(t)=\begin{cases} 6(1-e^{-50t})\,\text{A}, & 0<t<20\,\text{ms} \\ 1.5+2.293e^{-200(t-0.02)}\,\text{A}, & t>20\,\text{ms} \end{cases}",
    "6-6e^(-50t) A for t < 20.1 ms; 1.5+2.293e^(-200t') A for t > 20.1 ms",
]

FIRST, SECOND = "6-6e^(-50t) A", "1.5+2.293e^(-200(t-20ms)) A"
