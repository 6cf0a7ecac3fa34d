"""Whose upload it is, which of several counts, and the roster."""

import itertools
from dataclasses import dataclass

import pytest

from grader.errors import UsageError
from grader.uploads.latest import chosen
from grader.uploads.owner import owner
from grader.uploads.roster import Roster, load_roster
from grader.uploads.upload import Student
from tests.uploads.building import ROSTER, workbook


@pytest.mark.parametrize(
    ("file", "labelled", "loose", "student"),
    [
        ("hw_S0012_v2.xlsx", (), (), "S0012"),
        ("hw-s0012 (1).xlsx", (), (), "S0012"),
        ("S0012/answers.xlsx", (), (), "S0012"),
        ("S0012.zip/S0013/answers.xlsx", (), (), None),
        ("week 12/S0013/answers.xlsx", (), (), "S0013"),
        ("s_77.txt", (), (), "s-77"),
        ("answers.xlsx", ("S0012",), (), "S0012"),
        ("answers.xlsx", ("Ada Quay, s0012",), (), "S0012"),
        ("answers.xlsx", (), ("Harbour Lock", "Quay S0012 A"), "S0012"),
        ("hw_S0012.xlsx", ("S0012",), ("S0013",), "S0012"),
        ("hw_S0012.xlsx", ("Ada Quay",), (), "S0012"),
        ("hw_S00123.xlsx", (), (), None),
        ("hwS0012.xlsx", (), (), None),
        ("hw_S0012.xlsx", ("S0013",), (), None),
        ("hw_S0012_S0013.xlsx", (), (), None),
        ("x.xlsx", ("S0012", "S0013"), (), None),
        ("hw_S0012.xlsx", ("S9999",), (), None),
        ("x.xlsx", (), (), None),
        ("x.xlsx", (), ("S0012", "S0013"), None),
    ],
)
def test_the_student_is_found_or_a_person_decides(file, labelled, loose, student):
    found, why, _ = owner(file, labelled, loose, ROSTER)
    assert found == student
    assert bool(why) == (student is None)


def test_what_the_person_is_told():
    assert owner("hw_S0012.xlsx", ("S0013",), (), ROSTER)[1] == "the file says student S0013, its name says S0012"
    assert "S9999', who is not on the roster" in owner("a.xlsx", ("S9999",), (), ROSTER)[1]
    assert "several students: S0012, S0013" in owner("S0013_S0012.xlsx", (), (), ROSTER)[1]


@pytest.mark.parametrize(
    ("file", "labelled", "student"),
    [
        ("S0012.xlsx", (), "S0012"),
        ("in/S0012_v2.xlsx", (), "S0012"),
        ("S0012 (3) final.txt", (), "S0012"),
        ("hw.xlsx", (" S0013 ",), "S0013"),
        ("hw.xlsx", ("S0013", "s0013"), "s0013"),
        ("hw.xlsx", ("S00\u202e1\u200b3\0",), "S0013"),
        ("S00\u202e12.xlsx", (), "S0012"),
        ("hw.xlsx", ("S0013", "S0014"), None),
    ],
)
def test_without_a_roster(file, labelled, student):
    assert owner(file, labelled, (), None)[0] == student


@dataclass(frozen=True)
class Sent:
    file: str
    modified: str = ""
    failed: bool = False
    vouched: bool = True
    digest: str = ""


OLD, NEW = "2025-02-03T04:05:06", "2025-02-03T04:05:07.5"


@pytest.mark.parametrize(
    "sent",
    [
        (Sent("b_v1.txt", OLD), Sent("a_v2.txt", NEW)),
        (Sent("hw_v9.txt", OLD), Sent("hw_v10.txt", OLD)),
        (Sent("hw.xlsx"), Sent("hw_v2.txt")),
        (Sent("hw.xlsx", OLD), Sent("hw (1).xlsx", OLD), Sent("hw (2).xlsx", OLD)),
        (Sent("hw_v1.txt", NEW), Sent("hw_v2.txt", "")),
        (Sent("class.csv, row 9", OLD), Sent("class.csv, row 10", OLD)),
        (Sent("hw_v3.xlsx", NEW, failed=True), Sent("hw_v2.xlsx", OLD)),
        (Sent("a/hw.txt", OLD), Sent("b/hw.txt", OLD)),
    ],
)
def test_the_latest_counts_in_whatever_order_they_are_found(sent):
    for order in itertools.permutations(sent):
        assert chosen(order) == (sent[-1], ())


def test_if_all_failed_the_latest_of_them():
    assert chosen((Sent("a", OLD, True), Sent("b", NEW, True)))[0].file == "b"


def test_a_roster_as_table_workbook_or_list(tmp_path):
    (tmp_path / "r.csv").write_text("Name;ID;Section\nAda Quay;S0012;A\nBen Weir; S0013 ;\n")
    (tmp_path / "r.xlsx").write_bytes(
        workbook({"x": [["EE 118"], ["id", "last name", "first name"], [1234, "Quay", "Ada"]]})
    )
    (tmp_path / "r.txt").write_text("id\nS0012\n\nS0013\n")
    assert load_roster(tmp_path / "r.csv").students == (
        Student(id="S0012", name="Ada Quay", section="A"), Student(id="S0013", name="Ben Weir"),
    )  # fmt: skip
    assert load_roster(tmp_path / "r.xlsx").students == (Student(id="1234", name="Ada Quay"),)
    assert [student.id for student in load_roster(tmp_path / "r.txt").students] == ["S0012", "S0013"]
    assert len(load_roster(tmp_path / "r.txt").digest) == 64
    (tmp_path / "r.csv").write_text("id\nS00\u202e12\0\n", encoding="utf-8")
    assert load_roster(tmp_path / "r.csv").students == (Student(id="S0012"),)


def test_all_faults_of_a_roster_at_once(tmp_path):
    (tmp_path / "r.csv").write_text("id,name\nS0012,a\nS0012,b\ns0012,c\nＳ0012,d\nЅ0012,e\n,f\nS0013,g\n")
    with pytest.raises(UsageError) as caught:
        load_roster(tmp_path / "r.csv")
    lines = str(caught.value).splitlines()
    assert len(lines) == 5
    assert "r.csv: row 3: the id 'S0012' stands in row 2 already." in lines
    assert sum("cannot be told from" in line for line in lines) == 3
    assert "row 7 has no id" in lines[-1]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it is empty"),
        ("name,section\nAda,A\n", "no row has the heading 'id'"),
        ("id,name\n", "there is no student"),
    ],
)
def test_what_is_no_roster(tmp_path, text, said):
    (tmp_path / "r.csv").write_text(text)
    with pytest.raises(UsageError, match=said):
        load_roster(tmp_path / "r.csv")


def test_a_longer_id_is_not_taken_for_the_shorter_one_within_it():
    roster = Roster(students=(Student(id="12"), Student(id="12-3")))
    assert roster.ids_in("hw_12_3.txt") == ("12-3",)
    assert roster.ids_in("hw_12.txt") == ("12",)
