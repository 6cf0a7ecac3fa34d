"""Where values are personal, equal answers say nothing, and mistakes are pooled all the same."""

import pytest

from grader.marking.classmates import TO_EVERY_DIGIT
from grader.marking.marks import INCORRECT, Mark
from grader.reports.audit_gather import gather
from grader.reports.audit_records import AuditLine


def line(student, item, value, personal, *, mistakes=(), notes=()):
    mark = Mark(
        problem="valve", item=item, answer=f"{value} A", reading_value=value, awarded=0.0, possible=1.0,
        verdict=INCORRECT, mistakes=mistakes, notes=notes,
    )  # fmt: skip
    return AuditLine(student, "", mark, personal=personal)


@pytest.mark.parametrize("personal", [False, True])
def test_equal_wrong_answers_are_looked_for_only_where_all_have_the_same_values(personal):
    lines = [line(f"S{n}", item, 1.234, personal) for n in range(2) for item in ("end", "start")]
    lines += [line(f"T{n}", item, 2.0 + n, personal) for n in range(30) for item in ("end", "start")]
    figures = gather(lines).figures("week")
    assert len(figures.clusters) == (0 if personal else 2)
    assert len(figures.shared) == (0 if personal else 1)
    assert figures.left_out.startswith("Values are personal in valve:") is personal
    assert (figures.left_out in figures.cautions) is personal


def test_mistakes_are_pooled_by_item_whatever_the_values():
    lines = [line(f"S{n}", "tau", 1.0 + n, True, mistakes=("rl-time-constant-inverted",)) for n in range(4)]
    (figures,) = gather(lines).figures("week").mistakes
    assert len(figures.students) == 4
    assert figures.items == (("valve.tau", 4),)


def test_answers_right_elsewhere_are_gathered_with_their_notes():
    note = f"{TO_EVERY_DIGIT} of S2, not with the student's own."
    lines = [line("S1", "end", 1.234, True, notes=("Something else.", note)), line("S2", "end", 5.0, True)]
    assert gather(lines).figures("week").elsewhere == (("S1", "valve.end", "1.234 A", note),)
