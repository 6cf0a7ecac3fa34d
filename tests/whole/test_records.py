"""The records that rooms hand to one another: frozen, with slots, built by their fields' names."""

from dataclasses import is_dataclass
from importlib import import_module
from pathlib import Path

import pytest
from msgspec import Struct

ROOT = Path(__file__).parents[2]
ROOMS = ("values", "circuit", "solution", "problem", "quantities", "rubric", "mistakes", "ideas", "marking")
BY_PLACE = {
    "Waveform", "Piecewise", "Term", "TermMode", "Comparison", "Formula", "Requirement", "PowerSequence", "Interpretation",
    "Target",
}  # fmt: skip
"""Of a few things, or built by a function of their own."""

MODULES = sorted(
    path.relative_to(ROOT).with_suffix("").as_posix().replace("/", ".")
    for room in ROOMS
    for path in [ROOT / "grader" / f"{room}.py", *(ROOT / "grader" / room).rglob("*.py")]
    if path.exists() and path.name != "__init__.py"
)


@pytest.mark.parametrize("module", MODULES)
def test_records_are_frozen_and_named(module):
    for name, record in vars(import_module(module)).items():
        if not isinstance(record, type) or record.__module__ != module:
            continue
        if issubclass(record, Struct):
            assert record.__struct_config__.frozen, name
        elif is_dataclass(record):
            assert record.__dataclass_params__.frozen, name
            assert "__slots__" in vars(record), name
        else:
            continue
        assert name in BY_PLACE or not record.__match_args__, name
