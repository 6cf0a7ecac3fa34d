"""Every entry of the catalogue: complete, named after its file, and right on its own sample."""

import contextlib
import re

import pytest

from grader.catalogue import modules_of
from grader.errors import RubricError
from grader.quantities import FINDS, asked, finds
from grader.quantities.records import KINDS, Asked
from grader.rubric.formatting import exact_text
from tests.quantities.building import question

DESIGN = {
    "value just before switching", "initial value", "final value", "value at", "initial slope", "time to reach",
    "expression", "resistance seen", "time constant", "stored energy", "energy dissipated", "equivalent inductance",
    "equivalent capacitance", "coil inductance", "damping type", "damping coefficient", "undamped natural frequency",
    "damped natural frequency", "damping ratio", "characteristic roots", "choice", "stated value",
    "open-circuit voltage", "short-circuit current", "resistance between", "maximum", "minimum", "time of maximum",
    "time of minimum", "overshoot", "percent overshoot", "peak time", "natural part", "forced part", "zero-input part",
    "zero-state part", "settling time", "rise time", "half life", "logarithmic decrement", "quality factor", "slope at",
    "initial second derivative", "charge passed", "energy delivered", "average power", "true or false", "element value",
    "response", "transform", "impedance", "transfer function", "impulse response",
    "characteristic polynomial", "differential equation", "choices", "explanation", "sketch",
    "energy share", "energy lost", "period", "duty cycle", "poles", "zeros",
    "time when equal",
}  # fmt: skip


def of_sample(find: str):
    sample = asked(find).sample
    keys = ", ".join(line for line in sample.item.splitlines() if line.strip())
    return question(sample.circuit, f'id = "x", find = "{find}"' + (f", {keys}" if keys else ""))


def test_every_find_of_the_design_is_there():
    assert set(FINDS) == DESIGN


def test_every_class_of_the_files_is_an_entry():
    """A find that its file does not list would be missing without a word."""
    listed = {type(asked(find)) for find in FINDS}
    written = {
        one
        for _, module in modules_of(finds)
        for one in vars(module).values()
        if isinstance(one, type) and issubclass(one, Asked) and "name" in vars(one)
    }
    assert written == listed


@pytest.mark.parametrize("find", FINDS)
def test_sample_has_the_right_answer(find):
    found = of_sample(find)
    assert exact_text(asked(find).reference(found)) == asked(find).sample.answer


@pytest.mark.parametrize("find", FINDS)
def test_item_whose_keys_are_missing_or_name_nothing_gets_sentences(find):
    """The text on the sheet is made of these keys; with none of them right there is a fault to tell and no text."""
    sample = asked(find).sample
    lines = [line for line in sample.item.splitlines() if line.strip()]
    for k in range(len(lines)):
        for changed in ([], [f'{lines[k].partition("=")[0]}= "nowhere"']):
            keys = ", ".join([*lines[:k], *changed, *lines[k + 1 :]])
            with contextlib.suppress(RubricError):
                question(sample.circuit, f'id = "x", find = "{find}"' + (f", {keys}" if keys else ""))


@pytest.mark.parametrize("find", FINDS)
def test_entry_is_complete(find):
    """A kind of answer, a text of its own that names no answer, rules and names that can be listed."""
    entry, found = asked(find), of_sample(find)
    assert entry.kind(found.problem, found.item) in KINDS
    assert found.item.text == entry.text(found.problem, found.item)
    assert re.fullmatch(r"[A-ZÉ].{5,}", found.item.text) or find == "stated value"
    assert isinstance(list(entry.rules(found)), list)
    assert all(isinstance(name, str) for name in entry.names(found.item))
    dimension = entry.dimension(found.problem, found.item)
    assert (dimension is None) == (
        entry.kind(found.problem, found.item) in ("choice", "choices", "equation", "person", "transform")
    )
