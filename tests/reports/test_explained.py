"""``explained.jsonl`` as it is written and read."""

import json

import pytest

from grader.errors import UsageError
from grader.ideas.records import Explanation, HeldIdea
from grader.reports.explained import EXPLAINED, explanation_values, read_explanations

FOUND = Explanation(
    student="S0007",
    ideas=(
        HeldIdea(
            id="old-circuit",
            others=("switch-backwards",),
            probability=0.871,
            shown=(("valve", "seen"), ("valve", "tau")),
            refuted=(("relay", "tau"),),
        ),
    ),
    slips=((("valve", "before"), "prefix-slip"),),
    unexplained=(("relay", "release"),),
    testable=("old-circuit", "energy"),
)


def test_what_is_written_is_read_again(tmp_path):
    tmp_path.joinpath(EXPLAINED).write_text(json.dumps(explanation_values(FOUND)) + "\n")
    assert read_explanations(tmp_path) == {"S0007": FOUND}


def test_a_line_names_items_by_problem_and_item():
    values = explanation_values(FOUND)
    assert values["ideas"][0]["shown"] == ["valve.seen", "valve.tau"]
    assert values["slips"] == [{"item": "valve.before", "id": "prefix-slip"}]
    assert values["unexplained"] == ["relay.release"]


def test_results_of_a_run_without_explanations_have_none(tmp_path):
    assert read_explanations(tmp_path) == {}


@pytest.mark.parametrize("line", ["{", "[]", '{"student": "S1"}', '{"student": "S1", "ideas": [{}]}'])
def test_a_damaged_line_is_said(tmp_path, line):
    tmp_path.joinpath(EXPLAINED).write_text(line + "\n")
    with pytest.raises(UsageError, match="line 1, is damaged; run 'grader grade' again"):
        read_explanations(tmp_path)
