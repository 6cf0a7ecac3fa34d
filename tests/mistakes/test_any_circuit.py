"""The catalogue on published circuits of every kind: no mistake fails, none is within the tolerance of the right answer."""

import tomllib
from pathlib import Path

import pytest

from grader.circuit.elements import Capacitor, Inductor, Resistor, Signal
from grader.circuit.response import solve
from grader.errors import CircuitError, NotDefined
from grader.mistakes.numeric_form import relative_deviation
from grader.mistakes.wrong_answers import WrongAnswerTables
from grader.problem import Item, Problem, Rubric
from grader.quantities.catalogue import asked, question_of
from grader.rubric.references import references
from tests.circuit.test_published import built

EXAMPLES = tomllib.loads((Path(__file__).parents[1] / "reference" / "responses.toml").read_text(encoding="utf-8"))[
    "example"
]


def items_of(circuit):
    """Each find once, for the first element of each kind."""
    found = []
    for kind in (Capacitor, Inductor, Resistor):
        name = next((e.name for e in circuit.elements if isinstance(e, kind)), None)
        for signal in ("current", "voltage") if name is not None else ():
            found += [
                Item(id=f"{find[:7]} {signal} {name}", find=find, points=1, signal=Signal(kind=signal, of=name))
                for find in (
                    "value just before switching",
                    "initial value",
                    "final value",
                    "expression",
                    "initial slope",
                )
            ]
    wholes = (
        "resistance seen", "time constant", "damping coefficient", "undamped natural frequency",
        "damped natural frequency", "damping ratio", "characteristic roots", "damping type",
        "equivalent inductance", "equivalent capacitance",
    )  # fmt: skip
    return found + [Item(id=find, find=find, points=1) for find in wholes]


def rubric_for(circuit):
    """All of `items_of` that have an answer."""
    solved = solve(circuit)
    items = []
    for item in items_of(circuit):
        problem = Problem(id="p", title="", text="", circuit=circuit, items=(item,))
        try:
            asked(item.find).reference(question_of(problem, item, solved))
        except (CircuitError, NotDefined):
            continue
        items.append(item)
    problem = Problem(id="p", title="", text="", circuit=circuit, items=tuple(items))
    return Rubric(title="", course="", problems=(problem,), digest="", name="published")


def check(example):
    rubric = rubric_for(built(example))
    for table in WrongAnswerTables(rubric, references(rubric)).values():
        for entry in table.rows:
            assert relative_deviation(entry.form, table.right, table.tolerance, table.scale) > 1
        assert [row.key for row in table.rows] == sorted(row.key for row in table.rows)


@pytest.mark.parametrize("example", EXAMPLES[::9], ids=lambda example: example["id"])
def test_some_published_circuits(example):
    """Sources stand beside each circuit in the file."""
    check(example)


@pytest.mark.nightly
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example["id"])
def test_every_published_circuit(example):
    check(example)
