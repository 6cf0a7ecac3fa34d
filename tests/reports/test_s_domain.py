"""The worked solution's step in the s-domain, by the example among the rubrics."""

from __future__ import annotations

from pathlib import Path

from grader.circuit.response import solve
from grader.reports.s_domain import s_domain_step
from grader.rubric.files import load_rubric
from grader.rubric.references import references

RUBRICS = Path(__file__).parents[2] / "rubrics"


def lines(path, problem):
    rubric = load_rubric(RUBRICS / path)
    found = rubric.problem(problem)
    step = s_domain_step(found, solve(found.circuit), references(rubric))
    return None if step is None else [" = ".join(side.text for side in line.chain) for line in step.lines]


def test_impedances_sources_and_answers():
    assert lines("bilge_filter.toml", "filter") == [
        "Z_C1 = 1/(s·C1) = 1/(2·10^−6·s)",
        "Vs(s) = 10/s",
        "v_C1(0−)/s = 4/s",
        "V_C1(s) = (4·s + 5000)/(s^2 + 500·s)",
        "I_C1(s) = 0.006/(s + 500)",
    ]


def test_nothing_where_nothing_is_asked_in_s():
    assert lines("lock_valve.toml", "valve") is None
