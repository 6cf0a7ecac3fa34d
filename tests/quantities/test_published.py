"""Published answers of ``tests/reference/quantities.toml``: times, energies, combined elements, coils; sources there."""

import json
import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

from grader.rubric.files import read_rubric
from grader.rubric.references import references

FILE = Path(__file__).parents[1] / "reference" / "quantities.toml"
EXAMPLES = tomllib.loads(FILE.read_text(encoding="utf-8"))["example"]


def table(content) -> str:
    """A table of a rubric on one line."""
    values = {key: table(one) if isinstance(one, dict) else json.dumps(one) for key, one in content.items()}
    return "{" + ", ".join(f"{key} = {value}" for key, value in values.items()) + "}"


def rubric(example):
    nodes = [node for row in example["elements"] for node in row["between"]]
    items = [
        {key: value for key, value in check.items() if key not in ("published", "unit")} | {"id": f"x{k}", "points": 1}
        for k, check in enumerate(example["checks"])
    ]
    lines = ['title = "Published"', "[[problem]]", 'id = "p"', f"item = [{', '.join(map(table, items))}]"]
    if nodes:
        lines.append(f'ground = "{"0" if "0" in nodes else nodes[0]}"')
        lines.append(f"element = [{', '.join(map(table, example['elements']))}]")
    return read_rubric("\n".join(lines).encode(), "published.toml")


@pytest.mark.parametrize("example", EXAMPLES, ids=[example["id"] for example in EXAMPLES])
def test_published_answer(example):
    """To the printed digits."""
    why = f"{example['source']} (weak: {example.get('weak', 'no')})"
    for check, reference in zip(example["checks"], references(rubric(example)), strict=True):
        if isinstance(reference.answer, str):
            assert reference.answer == check["published"], why
            continue
        answer = reference.answer[0][0] if isinstance(reference.answer, tuple) else reference.answer
        reach = 0.5001 * 10.0 ** Decimal(check["published"]).as_tuple().exponent
        assert answer.value() / float(check["unit"]) == pytest.approx(float(check["published"]), abs=reach), why
