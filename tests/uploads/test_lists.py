"""Values of a list in one place: the answers to ``curve-1``, ``curve-2`` …, written once for ``curve``."""

import pytest

from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.marking.marks import FOR_A_PERSON
from grader.rubric.files import read_rubric
from grader.uploads.files.source import Source
from grader.uploads.reader import read_source

PAIRS = (
    ("winch", "tau"),
    ("winch", "curve-1"),
    ("winch", "curve-2"),
    ("winch", "curve-3"),
    ("winch", "R1"),
    ("winch", "R2"),
)
LIST = ["winch.curve-1", "winch.curve-2", "winch.curve-3"]


def upload(name, text):
    (found,) = read_source(Source(file=name, digest="0", data=text.encode()), PAIRS)
    return found


def taken(found):
    return {".".join(answer.place): answer.as_written for answer in found.answers}


@pytest.mark.parametrize(
    "line",
    [
        "winch.curve: 0.3 V; 1.6 V; 2 V",
        "winch.curve = 0.3 V; 1.6 V; 2 V;",
        "winch.curve: 0.3 V, 1.6 V, 2 V",
        "winch.curve: 0.3; 1.6; 2 V",
        "winch.curve: 0.3 V\n1.6 V\n2 V",
        "winch.curve:\n- 0.3 V\n- 1.6 V\n\n- 2 V",
        "winch.curve\n1) 0.3 V\n2) 1.6 V\n3) 2 V",
        "winch\ncurve:\n0.3\n1.6\n2 V",
    ],
)
def test_as_many_values_as_the_list_has_are_taken_in_turn(line):
    found = upload("S1.txt", f"winch.tau: 2 ms\n{line}\n")
    assert taken(found) == {"winch.tau": "2 ms", **dict(zip(LIST, ("0.3 V", "1.6 V", "2 V"), strict=True))}
    assert found.faults == ()
    (note,) = found.answers[-1].notes
    assert note.startswith("This is value 3 of the 3 written together for '")
    assert not any(answer.undecided for answer in found.answers)


def test_a_row_of_a_table_keeps_its_unit():
    found = upload("S1.csv", "item,answer,unit\nwinch.curve,0.3; 1.6; 2,V\n")
    assert taken(found) == dict(zip(LIST, ("0.3 V", "1.6 V", "2 V"), strict=True))


@pytest.mark.parametrize("values", ["0.3 V; 1.6 V", "0.3 V; 1.6 V; 2 V; 3 V", "2 V", "0.3 V\n-1.6 V"])
def test_more_or_fewer_wait_for_a_person_at_every_item_of_the_list(values):
    found = upload("S1.txt", f"winch.curve: {values}\nwinch.tau: 2 ms\n")
    assert taken(found) == {**dict.fromkeys(LIST, values), "winch.tau": "2 ms"}
    assert [bool(answer.undecided) for answer in found.answers] == [True, True, True, False]
    assert found.faults == ()


def test_what_has_a_line_of_its_own_is_not_replaced():
    found = upload("S1.txt", "winch.curve-2: 7 V\nwinch.curve: 0.3 V; 1.6 V\n")
    assert taken(found)["winch.curve-2"] == "7 V"
    assert not found.answers[0].undecided


def test_numbered_names_without_a_hyphen_are_no_list():
    found = upload("S1.txt", "winch.R: 3 ohm; 4 ohm\nwinch.tau: 2 ms\n")
    assert taken(found) == {"winch.tau": "2 ms"}


def test_such_an_answer_waits_with_its_points():
    items = ",".join(f'{{id = "curve-{n}", find = "stated value", key = "{n} V", points = 1}}' for n in (1, 2, 3))
    key = build_key(read_rubric(f'title = "Winch"\n[[problem]]\nid = "winch"\nitem = [{items}]\n'.encode(), "w.toml"))
    marks = mark_upload(key, upload("S1.txt", "winch.curve: 1 V; 2 V\n")).marks
    assert [(mark.verdict, mark.review, mark.possible, mark.reading) for mark in marks] == [
        (FOR_A_PERSON, True, 1, "1 V; 2 V")
    ] * 3
    assert "for 3 values" in marks[0].reasons[0]
    right = mark_upload(key, upload("S1.txt", "winch.curve: 1 V; 2 V; 3 V\n")).marks
    assert [mark.awarded for mark in right] == [1, 1, 1]


def test_a_line_of_its_own_replaces_a_value_that_nobody_can_place():
    found = upload("S1.txt", "winch.curve: 0.3 V; 1.6 V\nwinch.curve-2: 7 V\n")
    assert taken(found)["winch.curve-2"] == "7 V"
    assert [bool(answer.undecided) for answer in found.answers] == [True, False, True]


def test_what_stands_below_a_line_with_all_values_is_kept_beside_the_last():
    found = upload("S1.txt", "winch.curve: 0.3 V; 1.6 V; 2 V\nby the drawing\nwinch.tau: 2 ms\n")
    assert taken(found) == {"winch.tau": "2 ms", **dict(zip(LIST, ("0.3 V", "1.6 V", "2 V"), strict=True))}
    assert [one.text for one in found.answers[2].unused] == ["by the drawing"]


def test_a_symbol_with_the_name_of_a_list_is_working_before_the_list_is_told_plainly():
    found = upload("S1.txt", "winch.tau: 2 ms\ncurve = 2 V\nwinch.curve: 0.3 V; 1.6 V; 2 V\n")
    assert taken(found) == {"winch.tau": "2 ms\ncurve = 2 V", **dict(zip(LIST, ("0.3 V", "1.6 V", "2 V"), strict=True))}
