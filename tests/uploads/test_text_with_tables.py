"""Tables in text files: lines around them, cells that a delimiter parted, tables side by side; and mails with quoted answers."""

import pytest

from tests.uploads.building import texts, upload, uploads, workbook


@pytest.mark.parametrize("around", ["before", "behind"])
@pytest.mark.parametrize(
    ("table", "end"),
    [("| item | answer |\n|---|---|\n| valve.tau | 2 ms |\n", "md"), ("item;answer\nvalve.tau;2 ms\n", "csv")],
)
def test_lines_around_a_table_are_answers_too(around, table, end):
    lines = "\n- **valve.current:** |-5| A\n\nrelay: v0- = 3 V\n  as nothing jumps\n\n"
    found = upload(f"S0012.{end}", f"{lines}{table}" if around == "before" else f"{table}{lines}")
    said = {"valve.tau": "2 ms", "valve.current": "|-5| A", "relay.v0-": "3 V\nas nothing jumps"}
    assert (texts(found), found.faults) == (said, ())


def test_of_a_table_and_a_line_around_it_the_table_counts_and_the_line_is_told():
    found = upload(
        "S0012.md", "current = 4 A\n\n| item | answer |\n|---|---|\n| current | 2 A |\n\nvalve.current: 3 A\n"
    )
    assert texts(found) == {"valve.current": "2 A"}
    assert [one.text for one in found.answers[0].unused] == ["4 A", "3 A"]
    (fault,) = found.faults
    assert "'valve.current' is answered a second time, with '3 A'" in fault


def test_a_line_below_the_table_of_a_workbook_is_an_answer_too():
    rows = [["item", "answer"], ["valve.tau", "2 ms"], [], ["valve.current: 5 A"]]
    assert texts(upload("S0012.xlsx", workbook({"Mine": rows}))) == {"valve.tau": "2 ms", "valve.current": "5 A"}


@pytest.mark.parametrize(
    ("file", "text", "unit"),
    [
        ("item,answer\nvalve.tau,0,918 A\n", "0,918 A", ""),
        ("item,answer,unit\nvalve.tau,0,918,A\n", "0,918", "A"),
        ("item,answer,unit\nvalve.tau,0,918 A\n", "0,918 A", ""),
        ("item,answer,\nvalve.tau,0,72 J,\n", "0,72 J", ""),
        ("item,answer,unit,working\nvalve.tau,-2,5,1/s,as R = 4\n", "-2,5", "1/s"),
    ],
)
def test_a_number_parted_by_its_decimal_comma_is_one_and_a_person_is_told(file, text, unit):
    found = upload("S0012.csv", file)
    assert [(one.text, one.unit, one.undecided) for one in found.answers] == [(text, unit, "")]
    assert "were taken as the answer's own: " in found.faults[0]


@pytest.mark.parametrize(
    ("file", "text", "unit", "waits"),
    [
        ("item,answer\nvalve.tau,3e^(-(t-0,02)/0,35) V\n", "3e^(-(t-0,02)/0,35) V", "", True),
        ("sep=;\nitem;answer\nvalve.tau;-2;-3\n", "-2;-3", "", True),
        ("item,answer,remark\nvalve.tau,0,918 A\n", "0", "", True),
        ("item,answer,unit\nvalve.tau,2,373\n", "2", "373", True),
        ("item,answer,unit\nvalve.tau,6,A, sure\n", "6", "A", True),
        ("item,answer,unit,working\nvalve.tau,-2,-3,1/s,by the loop\n", "-2", "-3", True),
        ("item,answer,working\nvalve.tau,6,36/4.5 = 8, then\n", "6", "", False),
        ("item,answer,working\nvalve.tau,4,2+2, in series\n", "4", "", False),
        ("item,answer,working\nvalve.tau,0.01,40e-3/4, L over R\n", "0.01", "", False),
        ("item,answer,confidence,remarks\nvalve.tau,6,5,sure, yes\n", "6", "", False),
        ("item,answer,unit,working\nvalve.tau,50,ms,L/R, as R = 4\n", "50", "ms", False),
    ],
)
def test_commas_that_may_be_of_another_cell_leave_the_row_and_its_mark_waits(file, text, unit, waits):
    found = upload("S0012.csv", file)
    assert [(one.text, one.unit, bool(one.undecided)) for one in found.answers] == [(text, unit, waits)]
    assert found.faults == ()


@pytest.mark.parametrize(
    ("heading", "row", "text"),
    [
        ("| item | answer |", "| valve.tau | 4 + 6||12 = 8 |", "4 + 6||12 = 8"),
        ("| item | answer |", "| valve.tau | |-5| V |", "|-5| V"),
        ("| item | answer | working |", "| valve.tau | 6 | as 4||2 |", "6"),
        ("| item | answer | working |", "| valve.tau | |-5| V | |", "|-5| V"),
        ("| item | answer | working |", "| valve.tau | 4||2 | so |", "4||2"),
        ("| item | answer | working |", r"| valve.tau | 4 \|\| 2 | so |", r"4 \|\| 2"),
        ("| item | answer | working |", "| valve.tau | 4 || 2 | so |", "4 || 2"),
        ("| item | answer |", "| valve.tau | 4 | so |", "4"),
        ("", "| valve.tau | 4||2 |", "4||2"),
    ],
)
def test_bars_of_an_answer_in_a_table_drawn_with_bars_are_its_own(heading, row, text):
    found = upload("S0012.md", f"{heading}\n|---|---|\n{row}\n| current | 5 A |\n")
    assert texts(found) == {"valve.tau": text, "valve.current": "5 A"}


@pytest.mark.parametrize(
    "file",
    [
        "item,answer,unit\nvalve.tau,-2,1/s\nhorn.choice,b,\n",
        "item,answer\nvalve.tau,2 ms,,\n",
        "item,answer,,\nvalve.tau,2 ms,checked,\n",
        "item,answer,points\nvalve.tau,2,3\n",
        "item,answer,remark\nvalve.tau,2,3 significant figures\n",
        "my homework,a,b,c\nitem,answer\nvalve.tau,2 ms\n",
    ],
)
def test_a_row_no_longer_than_its_heading_is_as_it_stands(file):
    assert upload("S0012.csv", file).faults == ()


def test_a_row_of_the_class_that_is_longer_than_the_heading_is_told():
    first, second = uploads("class.csv", "id,valve.tau,current\nS0012,2 ms,5 A\nS0013,0,002 s,5 A\n", table=True)
    assert (first.faults, len(second.faults)) == ((), 1)
    assert texts(second) == {"valve.tau": "0", "valve.current": "002 s"}
    assert all(one.undecided for one in second.answers)
    assert "more cells than the heading" in second.faults[0]


@pytest.mark.parametrize("heading", ["item,answer,item,answer", "item,answer,,Item,Answer,"])
def test_tables_side_by_side_are_read_alike(heading):
    gap = "," * (heading.count(",,") > 0)
    rows = f"valve.tau,2 ms,{gap}valve.current,5 A\nrelay.v0-,3 V,{gap}relay.v0+,\n,,{gap}horn.choice,b\n"
    found = upload("S0012.csv", f"{heading}\n{rows}")
    said = {"valve.tau": "2 ms", "valve.current": "5 A", "relay.v0-": "3 V", "horn.choice": "b"}
    assert (texts(found), found.faults) == (said, ())


def test_a_rule_below_the_heading_needs_no_bar_in_front():
    assert upload("S0012.md", "item | answer\n--- | ---\nvalve.tau | 2 ms\n").faults == ()


@pytest.mark.parametrize(
    ("below", "told"),
    [
        ("On Tue, Ben Weir wrote:\n> relay.v0-: 3 V\n", True),
        ("-----Original Message-----\nFrom: Ben Weir\nSent: 3 May\nrelay.v0-: 3 V\n", True),
        ("On Tue, the course wrote:\n> relay.v0-:\n3 V\n", False),
        ("relay.v0-: 3 V\nOn Tue, the course wrote:\n> Hand in by 5 pm.\n", False),
    ],
)
def test_an_answer_that_only_a_quoted_mail_gives_is_told_to_a_person(below, told):
    found = upload("S0012.txt", f"Subject: homework\nvalve.tau: 2 ms\n\n{below}")
    assert texts(found) == {"valve.tau": "2 ms", "relay.v0-": "3 V"}
    assert any("mail that is quoted" in fault for fault in found.faults) is told


def test_what_a_mail_quotes_below_an_answer_is_kept_beside_it_without_a_word():
    (answer,) = upload("S0012.txt", "Subject: homework\nvalve.tau: L/R with\n> L = 8 H\n> 2 ms\n").answers
    assert answer.text == "L/R with"
    assert [(one.text, one.told) for one in answer.unused] == [("L/R with\nL = 8 H\n2 ms", False)]


def test_an_answer_above_a_table_ends_there():
    table = "| item | answer |\n|---|---|\n| valve.tau | 2 ms |\n"
    found = upload("S0012.md", f"valve.current: 5 A\nrelay.v0-:\n{table}This took 3 h.\n")
    assert texts(found) == {"valve.tau": "2 ms", "valve.current": "5 A"}
    found = upload("S0012.md", f"valve.current: 5 A\n{table}This took 3 h.\n")
    assert texts(found) == {"valve.tau": "2 ms", "valve.current": "5 A"}
