"""What the server marked, the command line marks the same: the export of uploads is faithful to the last character."""

import asyncio
import csv
import subprocess
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlencode

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from grader.marking.mark import mark_upload
from grader.reports.gradebook import LOST
from grader.uploads.files.sources import sources
from grader.uploads.reader import read_source
from grader.web.data.exports import upload_name, uploads_zip
from grader.web.data.records import Attempt, new_id
from grader.web.data.store import Store
from grader.web.pages.sheet_view import typed_of
from grader.web.received import answers_of_form
from grader.web.sheets import FOR_A_PERSON, NEVER, NO_ANSWER, NONE, build_sheet, look_at, unread
from grader.web.visit import Form, one_line, parse_form
from grader.web.work import Count, Which
from tests.web.conftest import RIGHT, ROSTER, RUBRIC
from tests.web.test_files import hand_in, sheet_xlsx
from tests.web.test_instructor import DESK, decide

TYPED = [
    "2", "10 ms", "-4.5 A", "=1+1", "'2.4", "@x", "+3,5 V", "1,250", "2;3", '"2" A', "a\tb", "2 − 4/11·e^(−100t) A", "12 \u2126", "#NAME?",
    "1/2", "01.02", "1-Feb", "0", "-", "n/a", "2e-3t", "\u202e4 A", "‹U+0041›", "student: S0002", "gate.tau: 3", "µ", "√2", "5 %", "TRUE",
    "2 A or 2000 mA", "e⁻¹⁰⁰ᵗ", "ß😀", "''", "=", "\ufeff2", "2.400000000000000000001", "1e999", "S0002", "S0001", "answer", "item", "sep=;", "problem,item,answer",
]  # fmt: skip

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)

answers = st.dictionaries(
    st.sampled_from(sorted(RIGHT)),
    st.one_of(st.sampled_from(TYPED), st.sampled_from(sorted(RIGHT.values())), st.text(max_size=40)),
    min_size=1,
)


def received_of(sheet, typed):
    form = Form(fields={f"answer:{name}": one_line(text) for name, text in typed.items()})
    return answers_of_form(sheet.fields, "S0001", form)


@pytest.fixture(scope="module")
def sheet(key):
    return build_sheet(key, "s")


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    opened = Store(f"sqlite:///{tmp_path_factory.mktemp('db')}/a.sqlite")
    yield opened
    opened.close()


@pytest.mark.filterwarnings("ignore:Generating overly large repr")
@given(answers)
@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_typed_answers_are_marked_the_same_from_the_exported_table(key, sheet, store, typed):
    received = received_of(sheet, typed)
    if not received.answers:
        return
    attempt = Attempt(
        id=new_id(), sheet=new_id(), student="S0001", number=1, at=NOON, form=new_id(), answers=received.answers
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "uploads.zip"
        store.add([(attempt, received.content)])
        path.write_bytes(uploads_zip(store, [attempt]))
        (source,) = sources(path)
        (upload,) = read_source(source, tuple((one.problem, one.item) for one in sheet.fields), ROSTER)
    assert upload.student == "S0001"
    here = mark_upload(key, Count(Which(sheet.name), "S0001", received.answers, "", insists=True).upload)
    there = mark_upload(key, upload)
    for mine, theirs in zip(here.marks, there.marks, strict=True):
        assert mine == theirs


def test_a_table_of_answers_does_nothing_in_a_spreadsheet(sheet):
    typed = {"gate.tau": "=HYPERLINK(1)", "gate.end": "+1", "gate.i": "@x"}
    text = received_of(sheet, typed).content.decode("utf-8-sig")
    for row in list(csv.reader(text.splitlines()))[2:]:
        assert row[2][0] == "'"


@pytest.mark.parametrize(
    "student, name",
    [("S0012", "S0012.csv"), ("a/../b", "a-..-b.csv"), ("..", "-.csv"), ("x y", "x-y.csv"), ("Ü7", "Ü7.csv")],
)
def test_no_id_leads_out_of_the_zip(student, name):
    assert upload_name(student, ".csv") == name


def test_server_and_command_line_agree_on_every_point(site, browser, codes, instructor, tmp_path):
    """Attempts typed and handed in, of three students, with a decision: the two gradebooks are the same."""
    one, two, three = (browser(site, codes[id]) for id in ("S0001", "S0002", "S0003"))
    one.answer(
        {**RIGHT, "gate.tau": "12 ms", "gate.i": "2 - 0.36e^(-83.3t) A", "lamp.v0": "", "lamp.tau": "soon ((("},
        do="insist",
    )
    one.answer({"gate.tau": "10 ms"})  # worse: the first one counts
    hand_in(
        two,
        "hw.xlsx",
        sheet_xlsx(
            {"gate.tau": (10, "ms"), "gate.end": 2, "lamp.tau": "=1+1", "gate.rth": 8.8, "lamp.i0": (0.1915, "mA")}
        ),
        insist="yes",
    )
    three.answer(
        {
            "gate.i": "2(1-e^-100t)",
            "gate.start": "=0",
            "lamp.v": "9(1-e^-t/R5C1)",
            "lamp.safe": "the switch",
            "gate.rth": "'8",
        },
        do="insist",
    )
    desk = instructor(site)
    decide(desk, "0.5", "Half of it is there.")
    for file in ("uploads.zip", "decisions.csv", "gradebook.csv"):
        (tmp_path / file).write_bytes(desk.get(f"{DESK}/files/{file}").content)
    (tmp_path / "roster.csv").write_text(
        "id,name,section\n" + "".join(f"{s.id},{s.name},{s.section}\n" for s in ROSTER.students)
    )
    call = [
        "grade",
        RUBRIC,
        "uploads.zip",
        "-o",
        "results",
        "--roster",
        "roster.csv",
        "--decisions",
        "decisions.csv",
        "--workers",
        "1",
    ]
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-m", "grader.cli.main", *map(str, call)],
        cwd=tmp_path, env={"PYTHONPATH": str(root), "PATH": "/usr/bin:/bin", "XDG_CACHE_HOME": str(tmp_path / "cache"), "HOME": str(tmp_path)},
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    here, there = (
        {row["student"]: row for row in csv.DictReader((tmp_path / path).read_text(encoding="utf-8-sig").splitlines())}
        for path in ("gradebook.csv", "results/gradebook.csv")
    )
    assert set(here) == set(there) == {"S0001", "S0002", "S0003"}
    for student, row in here.items():
        points = {column: value for column, value in row.items() if column not in {LOST, "flags", "name", "section"}}
        assert points == {column: there[student][column] for column in points}
    assert float(here["S0001"]["total"]) > 0


@pytest.mark.parametrize(
    ("item", "text"),
    [
        ("gate.tau", "10 ms"), ("gate.tau", "12 ms, no: 10 ms"), ("gate.tau", "with R = 8 ohm, tau = L/R = 10 ms"),
        ("gate.tau", "L1/rth"), ("gate.tau", "never, it is constant"), ("gate.i", "2 - 4/11 e^(-100t) A, for t > 0"), ("gate.i", "end + (start - end) e^(-t/tau)"),
        ("gate.end", "at t = 10 ms: 1.9 A"), ("gate.end", "banana"), ("gate.end", "1/0 A"), ("gate.end", "unknown_name A"),
    ],
)  # fmt: skip
def test_an_answer_is_shown_as_marking_reads_it(sheet, key, item, text):
    received = received_of(sheet, {"gate.rth": "8 ohm", "gate.start": "1 A", "gate.end": "2 A", item: text})
    looked = look_at(sheet, received.answers)[f"answer:{item}"]
    marks = mark_upload(key, Count(Which("s"), "S0001", received.answers, "", insists=True).upload).marks
    mark = next(mark for mark in marks if ".".join(mark.place) == item)
    if mark.verdict == "unreadable" and "never" not in text:  # that was read, and waits behind other slips
        assert (looked.refusal, unread(sheet, received.answers)) == (mark.reasons[0], True)
    else:
        assert not looked.refusal
        assert mark.reading_mathml in ["", *(reading.mathml for reading in looked.readings)]
        assert not unread(sheet, received.answers)


def test_the_option_read_is_shown(sheet):
    place = next(one.name for one in sheet.fields if one.place[1] == "safe")
    received = received_of(sheet, {place.removeprefix("answer:"): "a charged capacitor"})
    (shown,) = look_at(sheet, received.answers)[place].readings
    assert "the charged capacitor" in shown.mathml


def test_an_answer_that_is_none_is_shown_as_none(sheet):
    received = received_of(sheet, {"gate.tau": "idk"})
    assert look_at(sheet, received.answers)["answer:gate.tau"].warnings == (NO_ANSWER,)


def test_lines_of_a_file_stand_in_a_field_one_behind_the_other(sheet):
    (answer,) = received_of(sheet, {"gate.tau": "80 mH"}).answers
    several = replace(answer, text="80 mH/8 ohm\n= 10 ms")
    assert typed_of(sheet, (several,)) == {"answer:gate.tau": "80 mH/8 ohm; = 10 ms"}
    longer = replace(
        sheet, problems=tuple(one._replace(fields=tuple(map(_for_a_person, one.fields))) for one in sheet.problems)
    )
    assert typed_of(longer, (several,)) == {"answer:gate.tau": "80 mH/8 ohm\n= 10 ms"}


def _for_a_person(field):
    return replace(field, kind="person")


def test_an_answer_of_several_lines_keeps_them_and_nothing_else_does():
    body = urlencode({"answer:gate.tau": " 80 mH/8 ohm\r\n\r\n= 10\x00ms", "sentence": "a\r\nb"}).encode()
    form = asyncio.run(parse_form("application/x-www-form-urlencoded", body))
    assert (form.text("answer:gate.tau"), form.text("sentence")) == ("80 mH/8 ohm\n= 10 ms", "a b")


def test_never_and_words_for_a_person_are_told_as_read(sheet):
    never = look_at(sheet, received_of(sheet, {"gate.tau": "never"}).answers)["answer:gate.tau"]
    assert [("∞" in one.mathml, one.notes) for one in never.readings] == [(True, (NEVER,))]
    reasoned = look_at(sheet, received_of(sheet, {"gate.tau": "it does not exist"}).answers)
    assert (reasoned["answer:gate.tau"].refusal, reasoned["answer:gate.tau"].readings[0].notes) == ("", (NONE,))
    of_words = next((one for one in sheet.fields if one.kind == "person"), None)
    if of_words is not None:
        said = look_at(sheet, received_of(sheet, {".".join(of_words.place): "it rings"}).answers)[of_words.name]
        assert [one.notes for one in said.readings] == [(FOR_A_PERSON,)]


@pytest.mark.parametrize(
    ("text", "readings"), [("4.427 A", 1), ("4,427 A", 2), ("48.000 A", 2), ("2 A", 1), ("1/2 A", 1)]
)
def test_two_readings_are_told_where_either_may_be_meant(sheet, text, readings):
    looked = look_at(sheet, received_of(sheet, {"gate.end": text}).answers)["answer:gate.end"]
    assert len(looked.readings) == readings
