"""Who may speak for whom: what a file's name says against what stands in it, and which of two uploads counts.

A name is given by whoever collects the uploads, the content by whoever writes it.  So a file speaks for the student
whom its name and its content agree on; where they differ a person decides.  A file whose name says nothing may speak
for a student who handed in nothing else, and never in place of an upload that stands.  A table of the class is one only
where the caller names it.  All of this was written down before it was run.
"""

import pytest
from msgspec import Struct
from msgspec.structs import replace

from grader.uploads.latest import chosen
from grader.uploads.owner import Assigned, contents_of
from grader.uploads.reader import read_source
from grader.uploads.roster import Roster
from grader.uploads.upload import Student
from tests.uploads.building import PAIRS, ROSTER, source

A, B = "S0012", "S0013"
WAITS = None

NAMES = {
    "A": f"hw_{A}_v2.csv",
    "nobody": "answers.csv",
    "two": f"{A} and {B}.csv",
    "unknown": "S9999.csv",
    "folder A": f"{A}/answers.csv",
    "zip A": f"{A}.zip/answers.csv",
    "folder A, file A": f"{A}/{A}.csv",
    "folder A, file B": f"{A}/{B}.csv",
    "zip A, folder B": f"{A}.zip/{B}/answers.csv",
}
SHEET = "item,answer\nvalve.tau,2 ms\n"
INSIDE = {
    "nobody": SHEET,
    "A": f"student,{A}\n{SHEET}",
    "B": f"student,{B}\n{SHEET}",
    "A, unlabelled": f"Harbour Lock {A}\n{SHEET}",
    "B, unlabelled": f"Harbour Lock {B}\n{SHEET}",
    "several": f"student,{A}\nstudent,{B}\n{SHEET}",
    "unknown": f"student,S9999\n{SHEET}",
    "table of A": f"student,valve.tau\n{A},2 ms\n",
    "table of B": f"student,valve.tau\n{B},2 ms\n",
    "table of A and B": f"student,valve.tau\n{A},2 ms\n{B},3 ms\n",
    "table of B and C": f"student,valve.tau\n{B},2 ms\ns-77,3 ms\n",
    "table of B twice": f"student,valve.tau\n{B},2 ms\n{B},3 ms\n",
    "table of unknown": "student,valve.tau\nS9999,2 ms\n",
    "table of nobody": "student,valve.tau\n,2 ms\n",
    "rows of A": f"student,item,answer\n{A},valve.tau,2 ms\n",
    "rows of B": f"item,answer,student\nvalve.tau,2 ms,{B}\n",
    "rows of B and A": f"student,item,answer\n{B},valve.tau,2 ms\n{A},valve.tau,3 ms\n",
}
TABLES = ("table of A and B", "table of B and C", "table of B twice")
OUTCOMES = {
    # name: {inside: student, and whether the name or the caller vouches for it}; whatever is not listed waits
    "A": {"nobody": (A, True), "A": (A, True), "A, unlabelled": (A, True), "table of A": (A, True),
          "table of nobody": (A, True), "rows of A": (A, True)},
    "nobody": {"A": (A, False), "B": (B, False), "A, unlabelled": (A, False), "B, unlabelled": (B, False),
               "table of A": (A, False), "table of B": (B, False), "rows of A": (A, False), "rows of B": (B, False)},
    "two": {},
    "unknown": {},
    "folder A, file B": {},
    "zip A, folder B": {},
}  # fmt: skip
OUTCOMES |= dict.fromkeys(("folder A", "zip A", "folder A, file A"), OUTCOMES["A"])


@pytest.mark.parametrize("inside", INSIDE)
@pytest.mark.parametrize("name", NAMES)
def test_a_file_among_others(name, inside):
    (found,) = read_source(source(NAMES[name], INSIDE[inside]), PAIRS, ROSTER)
    student, vouched = OUTCOMES[name].get(inside, (WAITS, False))
    assert (found.student, found.vouched) == (student, vouched)
    assert bool(found.faults) == (student is WAITS)
    assert bool(found.answers) == (inside not in TABLES)


@pytest.mark.parametrize(
    ("name", "inside", "said"),
    [
        ("A", "B", (A, B)),
        ("A", "several", (A, B)),
        ("A", "B, unlabelled", (A, B)),
        ("A", "table of B", (A, B)),
        ("A", "table of B and C", (B, "s-77", "table")),
        ("nobody", "table of A and B", (A, B, "table")),
        ("two", "A", (A, B)),
        ("unknown", "A", ("S9999", A)),
        ("folder A, file B", "B", (A, B)),
        ("zip A, folder B", "nobody", (A, B)),
    ],
)
def test_the_person_is_told_both(name, inside, said):
    (found,) = read_source(source(NAMES[name], INSIDE[inside]), PAIRS, ROSTER)
    assert all(word in " ".join(found.faults) for word in said)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    ("inside", "students"),
    [
        ("table of A and B", [A, B]),
        ("table of B and C", [B, "s-77"]),
        ("table of B twice", [B, B]),
        ("table of A", [A]),
        ("table of unknown", [WAITS]),
        ("table of nobody", [WAITS]),
    ],
)
def test_the_table_that_the_caller_names(name, inside, students):
    found = read_source(replace(source(NAMES[name], INSIDE[inside]), table=True), PAIRS, ROSTER)
    assert [one.student for one in found] == students
    assert [one.vouched for one in found] == [student is not WAITS for student in students]


@pytest.mark.parametrize("inside", ["nobody", "A", "B", "several", "unknown"])
@pytest.mark.parametrize("name", NAMES)
def test_the_one_file_named_is_no_table_without_the_heading_of_one(name, inside):
    alone = read_source(replace(source(NAMES[name], INSIDE[inside]), table=True), PAIRS, ROSTER)
    assert alone == read_source(source(NAMES[name], INSIDE[inside]), PAIRS, ROSTER)


def test_a_person_has_the_last_word():
    sent = source(NAMES["A"], INSIDE["B"])
    for contents in ("", contents_of(sent.digest)):
        (found,) = read_source(sent, PAIRS, ROSTER, {(sent.file, contents): Assigned(B)})
        assert (found.student, found.vouched, found.faults) == (B, True, ())
    other = source(NAMES["A"], INSIDE["A"])
    (found,) = read_source(other, PAIRS, ROSTER, {(sent.file, contents_of(sent.digest)): Assigned(B)})
    assert found.student == A


def test_without_a_roster_a_name_alone_vouches():
    (label,), (name,) = (
        read_source(source("answers.csv", INSIDE["A"]), PAIRS),
        read_source(source(f"{A}_v2.csv", SHEET), PAIRS),
    )
    (both,) = read_source(source(f"{A}.csv", INSIDE["A"]), PAIRS)
    assert (label.student, label.vouched) == (A, False)
    assert (name.student, name.vouched) == (A, True)
    assert (both.student, both.vouched) == (A, True)
    (table,) = read_source(source("x.csv", INSIDE["table of B and C"]), PAIRS)
    assert (table.student, table.answers) == (None, ())


class Sent(Struct, frozen=True):
    file: str
    modified: str
    vouched: bool = True
    failed: bool = False
    digest: str = ""

    @staticmethod
    def at(hour: int, file: str, **rest) -> "Sent":
        return Sent(file, f"2025-02-03T{hour:02}:00:00+00:00", **{"digest": file, **rest})


NAMED, LATER_NAMED = Sent.at(10, "S0012.txt"), Sent.at(12, "S0012_v2.txt")
EARLY, LATE = Sent.at(9, "early.txt", vouched=False), Sent.at(13, "late.txt", vouched=False)
SAME = Sent.at(13, "copy.txt", vouched=False, digest="S0012.txt")
BROKEN = Sent.at(8, "S0012 broken.xlsx", failed=True)


@pytest.mark.parametrize(
    ("uploads", "counted", "waiting"),
    [
        ([NAMED], NAMED, []),
        ([NAMED, LATER_NAMED], LATER_NAMED, []),
        ([NAMED, EARLY], NAMED, []),
        ([NAMED, LATE], NAMED, [LATE]),
        ([NAMED, SAME], NAMED, []),
        ([NAMED, LATE, LATER_NAMED], LATER_NAMED, [LATE]),
        ([NAMED, EARLY, LATE], NAMED, [LATE]),
        ([LATE], LATE, []),
        ([EARLY, LATE], EARLY, [LATE]),
        ([EARLY, replace(LATE, digest="early.txt")], EARLY, []),
        ([BROKEN, LATE], LATE, []),
        ([BROKEN, replace(LATE, failed=True)], replace(LATE, failed=True), []),
        ([replace(NAMED, modified=""), replace(LATE, file="z", modified="")], replace(NAMED, modified=""),
         [replace(LATE, file="z", modified="")]),
    ],
)  # fmt: skip
def test_what_stands_until_a_person_decides(uploads, counted, waiting):
    for order in (uploads, uploads[::-1]):
        assert chosen(order) == (counted, tuple(one for one in order if one in waiting))


@pytest.mark.parametrize(
    ("heading", "row", "student"),
    [
        ("student,id", "S0012,S0012", A),
        ("id,student", "S0012,S0013", WAITS),
        ("student,id", "S0012,S0013", WAITS),
        ("student,id", "Ada Quay,S0012", A),
        ("id,student", ",S0012", A),
        ("student,id,student number", "Ada Quay,S0012,S9999", WAITS),
        ("student,id", "Ada Quay,48213", WAITS),
        ("Your student number", "S0012", A),
        ("my id", "S0012", A),
    ],
)
def test_of_a_row_that_names_its_student_in_several_columns_all_must_agree(heading, row, student):
    table = f"{heading},valve.tau\n{row},2 ms\n".encode()
    (found,) = read_source(replace(source("class.csv", table), table=True), PAIRS, ROSTER)
    assert (found.student, bool(found.faults)) == (student, student is WAITS)
    assert found.answers


def test_a_table_without_a_column_for_the_student_is_told_which_headings_make_one():
    table = replace(source("class.csv", b"who,valve.tau\nS0012,2 ms\n"), table=True)
    (found,) = read_source(table, PAIRS, ROSTER)
    assert not found.answers
    assert "headed 'student', 'student id', 'student number'" in " ".join(found.faults)


def test_without_a_roster_the_surest_column_says_whose_a_row_is():
    table = source("class.csv", b"id,student,valve.tau\n48213,Ada Quay,2 ms\n")
    (found,) = read_source(replace(table, table=True), PAIRS)
    assert (found.student, found.faults) == ("Ada Quay", ())


@pytest.mark.parametrize(
    ("text", "student"),
    [
        ("12", "12"), ("12.0", "12"), ("12,00", "12"), ("1000.0", "1000"), ("2012-01-12", WAITS), ("12/1", WAITS), ("1E3", WAITS),
        ("1,000", WAITS), ("2026-03-01 1000", "1000"),
    ],
)  # fmt: skip
def test_a_number_that_may_be_a_day_is_no_id(text, student):
    roster = Roster(students=(Student(id="12"), Student(id="1000")))
    (found,) = read_source(
        replace(source("class.csv", f"id;valve.tau\n{text};2 ms\n".encode()), table=True), PAIRS, roster
    )
    assert found.student == student
