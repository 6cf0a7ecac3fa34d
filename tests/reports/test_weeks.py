"""The audit of several weeks together: which ideas stayed, of whom, and what the weeks are called.  All is invented."""

from grader.reports.audit import audit, audit_html, kept_rubrics
from grader.reports.audit_page import slope_rows
from tests.reports.test_audit import TAU_IDEA, class_of, explained, folder, unexplained


def test_ideas_from_week_to_week(tmp_path):
    first = explained(folder(tmp_path / "one", class_of(12, 4)), TAU_IDEA, ("energy", (), 2, "valve.final"))
    asked = ("time-constant-of", "energy")
    second = explained(
        folder(tmp_path / "two", class_of(12, 2)), ("time-constant-of", (), 2, "valve.tau"), testable=asked
    )
    found = audit([first, second])
    assert [(row.id, row.change) for row in found.courses] == [("time-constant-of", "stayed"), ("energy", "gone")]
    assert [[rate.held for rate in row.rates] for row in found.courses] == [[4, 2], [2, 0]]
    page = audit_html(found)
    assert page.index("From week to week") < page.index("What to say in the next class")
    assert audit([second]).courses == ()


def test_from_week_to_week_those_are_compared_who_were_there_each_time(tmp_path):
    """Who holds an idea and stays away the week after has not given it up."""
    first = explained(folder(tmp_path / "one", class_of(12, 4)), TAU_IDEA, ("energy", (), 2, "valve.final"))
    second = explained(folder(tmp_path / "two", class_of(12, 0)[6:14]), testable=("time-constant-of", "energy"))
    (row,) = audit([first, second]).courses
    assert [(rate.held, rate.of) for rate in row.rates] == [(1, 4), (0, 4)]
    assert (row.id, row.change) == ("time-constant-of", "gone")
    assert "the 4 students who are in all of these weeks" in audit_html(audit([first, second]))
    third = explained(folder(tmp_path / "three", unexplained(("Z", "1", 1.0))), testable=("time-constant-of",), among=0)
    apart = audit([first, third])
    assert [rate and rate.held for rate in apart.courses[0].rates] == [4, None]
    assert "No student is in all of these weeks" in audit_html(apart)


def test_weeks_are_called_by_their_titles(tmp_path):
    for name, title in (("one", "Week 5"), ("two", "Week 6"), ("three", "Week 6"), ("four", None)):
        path = folder(tmp_path / name, class_of(4, 1))
        if title:
            item = '{id = "a", find = "stated value", key = "1 V", points = 1}'
            (path / "rubric_as_marked.toml").write_text(
                f'title = "{title}"\n[[problem]]\nid = "p"\ntext = "x"\nitem = [{item}]\n'
            )
    folders = [tmp_path / name for name in ("one", "two", "three", "four")]
    names = [of_class.name for of_class in audit(folders).classes]
    assert names == ["Week 5", "Week 6 (two)", "Week 6 (three)", "four"]
    assert [*kept_rubrics(folders)] == names[:3]


def test_an_idea_that_no_question_would_have_shown_is_not_gone(tmp_path):
    first = explained(folder(tmp_path / "one", class_of(12, 4)), TAU_IDEA, ("energy", (), 2, "valve.final"))
    second = explained(folder(tmp_path / "two", class_of(12, 2)), ("time-constant-of", (), 2, "valve.tau"))
    found = audit([first, second])
    assert [(row.id, row.change) for row in found.courses] == [("time-constant-of", "stayed"), ("energy", "not asked")]
    assert [title for title, _ in slope_rows(found)] == [found.courses[0].title]
    assert "<td>not asked</td>" in audit_html(found)


def test_folders_of_one_name_are_told_apart(tmp_path):
    found = audit([folder(tmp_path / "w1" / "results", class_of(2)), folder(tmp_path / "w2" / "results", class_of(2))])
    assert [c.name for c in found.classes] == ["w1/results", "w2/results"]


def test_what_stayed_is_told_with_more_or_fewer_and_equal_shares_are_one_line(tmp_path):
    both = (TAU_IDEA, ("energy", (), 4, "valve.final"))
    asked = ("time-constant-of", "energy")
    first = explained(folder(tmp_path / "one", class_of(12, 4)), *both, testable=asked)
    second = explained(
        folder(tmp_path / "two", class_of(12, 2)),
        ("time-constant-of", (), 2, "valve.tau"),
        ("energy", (), 2, "valve.final"),
        testable=asked,
    )
    found = audit([first, second])
    assert {row.became for row in found.courses} == {"stayed, with fewer"}
    assert {row.became for row in audit([second, first]).courses} == {"stayed, with more"}
    ((title, _),) = slope_rows(found)
    assert title.count("; ") == 1
