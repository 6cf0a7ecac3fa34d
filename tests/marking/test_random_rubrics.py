"""Fairness over rubrics drawn at random: circuit, items, points, weights of parts and rules of marking.

By hand: a coil or a capacitor behind one resistance goes from its first value to its last with one time constant; every
answer below is written out from these three numbers, right or off by some factor.
"""

from typing import NamedTuple

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from grader.marking.key import Key, build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import Mark
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written
from tests.marking.test_fairness import MARKINGS

SOME = settings(max_examples=25, suppress_health_check=list(HealthCheck))


class Numbers(NamedTuple):
    """First value, last value, time constant (SI)."""

    first: float
    last: float
    tau: float


class Drawn(NamedTuple):
    """A key of two problems, the unit of the state and the numbers of each."""

    key: Key
    units: tuple[str, ...]
    right: tuple[Numbers, ...]

    def __repr__(self) -> str:
        items = [item for _, items in self.key.problems for item in items]
        return f"Drawn({self.units}, {self.right}, {[item.points for item in items]}, {items[0].marking})"


CAPACITOR = """
[[problem]]
id = "p{n}"
title = "Capacitor (invented)"
text = "At t = 0 the switch connects the source."
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], value = "{source} V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "{ohm} kohm"}},
  {{name = "C1", kind = "capacitor", between = ["c", "g"], value = "{store} uF", initial = "{first} V"}},
]
"""
COIL = """
[[problem]]
id = "p{n}"
title = "Coil (invented)"
text = "At t = 0 the switch connects the source."
ground = "g"
element = [
  {{name = "Vs", kind = "voltage source", between = ["a", "g"], value = "{source} V"}},
  {{name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"}},
  {{name = "R1", kind = "resistor", between = ["b", "c"], value = "{ohm} ohm"}},
  {{name = "L1", kind = "inductor", between = ["c", "g"], value = "{store} mH", initial = "{first} A"}},
]
"""
WHOLE = st.integers(1, 60)


@st.composite
def rubrics(draw) -> Drawn:
    text, units, right = 'title = "Drawn (invented)"\ncourse = "TEST"\n', [], []
    for n in range(2):
        coil, first, last = draw(st.booleans()), draw(st.integers(0, 40)), draw(WHOLE)
        ohm, store = draw(WHOLE), draw(WHOLE)
        last += 100 * (first == last)
        weights = ", ".join(
            f'"{name}" = {draw(st.integers(1, 4))}'
            for name in ("initial value", "final value", "time constant", "form")
        )
        signal = 'current = "L1"' if coil else 'voltage = "C1"'
        points = [draw(st.integers(1, 8)) / 2 for _ in range(4)]
        text += (COIL if coil else CAPACITOR).format(
            n=n, source=last * ohm if coil else last, ohm=ohm, store=store, first=first
        )
        text += f"""item = [
  {{id = "first", find = "initial value", {signal}, points = {points[0]}}},
  {{id = "last", find = "final value", {signal}, points = {points[1]}}},
  {{id = "tau", find = "time constant", points = {points[2]}}},
  {{id = "x", find = "expression", {signal}, points = {points[3]}, parts = {{{weights}}}}},
]
"""
        units.append("A" if coil else "V")
        right.append(Numbers(first, last, store * 1e-3 / ohm if coil else store * ohm * 1e-3))
    key, marking = build_key(read_rubric(text.encode(), "drawn.toml")), draw(MARKINGS)
    problems = tuple((id, tuple(replace(item, marking=marking) for item in items)) for id, items in key.problems)
    return Drawn(replace(key, problems=problems), tuple(units), tuple(right))


OFF = st.sampled_from([1, 1, 1, 1.37, 0.43, -1, 1000, 0.1])


def written(numbers: Numbers, unit: str, notation: int) -> dict[str, str]:
    """Answers to the four items of a problem in one of four notations."""
    x0, xf, tau = numbers
    d, a = x0 - xf, 1 / tau
    expressions = (
        f"{xf:.8g} + ({d:.8g}) e^({-a:.8g}t) {unit}",
        f"x(t) = {1000 * d:.8g}*exp(-t/({tau:.8g})) + ({1000 * xf:.8g}) m{unit}, t > 0",
        f"({x0:.8g} {unit}) + ({xf - x0:.8g} {unit})*(1 - e^({-a:.8g}*t))",
        f"{xf:.8g} {unit} + ({d:.8g} {unit})/e^(t/({1000 * tau:.8g} ms))",
    )
    value = (
        lambda v, u: f"{v:.8g} {u}",
        lambda v, u: f"{1000 * v:.8g} m{u}",
        lambda v, u: f"x = {v:.7e} {u}",
        lambda v, u: f"{v / 1000:.8g}*10^3 {u}",
    )[notation]
    return {"first": value(x0, unit), "last": value(xf, unit), "tau": value(tau, "s"), "x": expressions[notation]}


def marked(key: Key, answers: dict[tuple[str, str], str]) -> dict[tuple[str, str], tuple[float, str]]:
    """Points and verdicts by problem and item."""
    return {(mark.problem, mark.item): (mark.awarded, mark.verdict) for mark in marks_of(key, answers)}


def marks_of(key: Key, answers: dict[tuple[str, str], str]) -> tuple[Mark, ...]:
    rows = tuple(Written(problem=problem, item=item, text=text) for (problem, item), text in answers.items())
    return mark_upload(key, Upload(file="u", digest="", student="S", answers=rows)).marks


def sheet(drawn: Drawn, factors: list[tuple[float, ...]], notation: int = 0) -> dict[tuple[str, str], str]:
    """A whole upload, every number off by its factor (a first value of 0 by as much of the last one)."""
    answers = {}
    for n, (right, unit, (a, b, c)) in enumerate(zip(drawn.right, drawn.units, factors, strict=True)):
        first = right.first * a if right.first else (a - 1) * right.last
        own = Numbers(first, right.last * b, right.tau * c)
        answers |= {(f"p{n}", item): text for item, text in written(own, unit, notation).items()}
    return answers


FACTORS = st.lists(st.tuples(OFF, OFF, st.sampled_from([1, 1, 1.37, 0.43, 1000])), min_size=2, max_size=2)


@SOME
@given(rubrics(), FACTORS)
def test_twins_earn_the_same(drawn, factors):
    """``e^(-t)`` may count t in ms, which a person decides; its twin ``e^(-t/(1 s))`` may not: what waits is no mark yet."""
    plain = marks_of(drawn.key, sheet(drawn, factors))
    for notation in (1, 2, 3):
        twins = zip(plain, marks_of(drawn.key, sheet(drawn, factors, notation)), strict=True)
        decided = [(one, other) for one, other in twins if not (one.review or other.review)]
        assert {one.item for one, _ in decided} >= {"first", "last", "tau"}
        for one, other in decided:
            assert (one.awarded, one.verdict) == (other.awarded, other.verdict)


@SOME
@given(rubrics(), FACTORS, st.randoms())
def test_neither_the_order_of_rows_nor_of_problems_matters(drawn, factors, random):
    answers = list(sheet(drawn, factors).items())
    plain = marked(drawn.key, dict(answers))
    random.shuffle(answers)
    turned = replace(drawn.key, problems=drawn.key.problems[::-1])
    assert marked(turned, dict(answers)) == plain


@SOME
@given(rubrics(), st.randoms())
def test_what_is_right_is_right_wherever_it_is_asked(drawn, random):
    """With every answer right nothing follows from anything: items may stand in any order."""
    answers = sheet(drawn, [(1, 1, 1)] * 2, random.randrange(4))
    mixed = tuple((id, tuple(random.sample(items, len(items)))) for id, items in drawn.key.problems)
    found = marked(replace(drawn.key, problems=mixed), answers)
    assert all(mark == (drawn.key.item(*place).points, "correct") for place, mark in found.items())


@SOME
@given(rubrics(), st.lists(st.sets(st.sampled_from("abc")), min_size=2, max_size=2), st.sampled_from("abc"))
def test_an_expression_right_in_one_more_number_never_earns_less(drawn, held, better):
    """First value, last value, time constant: each right or off by an odd factor; one of them is put right."""

    def points(right: set[str]) -> float:
        factors = [tuple(1 if name in right else off for name, off in zip("abc", (1.61, 0.57, 1.71), strict=True))] * 2
        answers = {place: text for place, text in sheet(drawn, factors).items() if place[1] == "x"}
        return sum(awarded for awarded, _ in marked(drawn.key, answers).values())

    for right in held:
        assert points(right | {better}) >= points(right) - 1e-9
    assert points({"a", "b", "c"}) == sum(items[3].points for _, items in drawn.key.problems)
