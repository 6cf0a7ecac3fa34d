"""What a person reads in a line of mathematics, held against right answers: the whole way from text to points."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from flint import fmpq

from grader.marking.context import ProblemContext
from grader.marking.interpretation import Unreadable
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size, UnitVerdict
from grader.marking.understand import understand
from grader.marking.verdict import best
from grader.problem import Marking
from grader.quantities import Answer
from grader.reading.reader import read
from grader.reading.refusals import Refusal
from grader.reading.tokens.units import look_up
from grader.reading.value.evaluate import evaluate
from grader.rubric.references import Reference
from grader.uploads.upload import Written
from grader.values import dimension as dim
from grader.values.modes import peak
from grader.values.scalar import ZERO, rational
from grader.values.waveform import Waveform, constant

TABLE = tomllib.loads(Path(__file__).with_name("mathematics.toml").read_text(encoding="utf-8"))["question"]
KINDS = {
    "R": dim.RESISTANCE, "L": dim.INDUCTANCE, "C": dim.CAPACITANCE, "V": dim.VOLTAGE, "v": dim.VOLTAGE, "I": dim.CURRENT, "i": dim.CURRENT,
    "A": dim.CURRENT, "t": dim.TIME,
}  # fmt: skip


def waveform(text: str, unit: str = "") -> Waveform:
    """A right answer of the table."""
    readings = read(text, expects="expression")
    assert not isinstance(readings, Refusal)
    return evaluate(readings[0].tree).waveform.scaled(look_up(unit)[0].scale if unit[:1] in "mk" and unit else fmpq(1))


def key_to(row: dict[str, Any]) -> ItemKey:
    """The key to one question of the table."""
    expects, unit = row.get("expects", "value"), row.get("unit", "")
    answer: Answer
    if expects == "roots":
        answer = tuple((constant(rational(a)), constant(rational(b))) for a, b in row["right"])
        scale = 0.0
    else:
        answer = waveform(row["right"], unit if expects == "expression" else "")
        scale = peak(answer.modes())
    asked = dim.RATE if unit == "1/s" else dim.ENERGY if unit == "J" else look_up(unit)[0].dimension
    names = {name: waveform(value) for name, value in row.get("names", {}).items()}
    if unit == "°":
        answer = waveform(f"{row['right']}*pi/180")
    reference = Reference(
        problem="p", item="i", find="expression", kind=expects, answer=answer, dimension=asked, unit=unit,
        start=rational(row["start"]) if "start" in row else ZERO if expects == "expression" else None,
        end=rational(row["end"]) if "end" in row else None, scale=scale, text="", exact="",
    )  # fmt: skip
    return ItemKey(
        problem="p", id="i", points=1.0, marking=Marking(), hint="", reference=reference, signal=None, accepted=(answer,), parts=(),
        options=(), percent=False, names={name: KINDS[name[0]] for name in names}, values=names, carries=(),
    )  # fmt: skip


def judged(row: dict[str, Any], text: str) -> str:
    """``right`` for full points; ``wrong`` or what makes it unreadable."""
    item = key_to(row)
    understood = understand(item, Written(problem="p", item="i", text=text), {})
    if understood is None:
        return "blank"
    if isinstance(understood, Unreadable):
        return understood.sentence
    verdict = best(item, understood, ProblemContext())
    size = "wrong"
    if verdict.judgement.size is Size.RIGHT:
        plain = verdict.credit.share == 1 or (
            verdict.judgement.unit is UnitVerdict.MISSING and verdict.judgement.meant == 1
        )
        size = "right" if plain else "right but for its unit"
    if size == "right":
        return size
    return f"{size}: {verdict.taken.reading.text} {verdict.taken.reading.notes}"


def cases(key: str) -> list[Any]:
    """Every text of the table under a key, with its question."""
    return [pytest.param(row, text, id=f"{row['right']}: {text}") for row in TABLE for text in row[key]]


@pytest.mark.parametrize(("row", "text"), cases("accepted"))
def test_accepted(row: dict[str, Any], text: str) -> None:
    """Full points for what says the right answer."""
    assert judged(row, text) == "right"


@pytest.mark.parametrize(("row", "text"), cases("rejected"))
def test_rejected(row: dict[str, Any], text: str) -> None:
    """No reading of a wrong answer is right, be its unit as it may."""
    assert judged(row, text) != "right"


@pytest.mark.parametrize("text", ["2k", "2K", "2.0 k", "R1 + R2 = 2k", "2k0", "0.002M", "2000R", "2 kohm"])
def test_the_ohm_may_be_left_out(text: str) -> None:
    """The trade writes 2k for two kilohm: full points, unit and all."""
    item = key_to({"right": "2000", "unit": "Ω"})
    understood = understand(item, Written(problem="p", item="i", text=text), {})
    assert understood is not None
    assert not isinstance(understood, Unreadable)
    assert best(item, understood, ProblemContext()).credit.share == 1
