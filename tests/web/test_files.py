"""Answer sheets handed in as files: read as the command line reads them, refused in one sentence."""

import io
import re
import zipfile

import openpyxl
import pytest

from grader.web.site import KEPT_FILE_BYTES
from tests.web.conftest import RIGHT, SHEET


def sheet_csv(answers, student=None):
    head = f"student,{student}\n" if student else ""
    rows = "".join(f"{name.replace('.', ',')},{text}\n" for name, text in answers.items())
    return f"{head}problem,item,answer\n{rows}".encode()


def sheet_xlsx(answers):
    book = openpyxl.Workbook()
    book.active.append(["problem", "item", "answer", "unit"])
    for name, value in answers.items():
        book.active.append([*name.split("."), *(value if isinstance(value, tuple) else (value, None))])
    packed = io.BytesIO()
    book.save(packed)
    book.close()
    return packed.getvalue()


def hand_in(browser, name, content, do="submit", **more):
    token = browser.token("/sheets/lock-gate")
    data = {"token": token, "form": "f", "do": do, **more}
    return browser.post("/sheets/lock-gate/file", data=data, files={"file": (name, content)})


def test_a_table_is_an_attempt(site, student):
    page = hand_in(student, "hw.csv", sheet_csv({**RIGHT, "gate.tau": "7 ms"}))
    assert page.url.path.startswith("/attempts/")
    assert "16 of 18 points" in page.text
    (attempt,) = site.store.all_attempts(SHEET)
    assert attempt.file == "hw.csv"
    assert site.store.content(attempt.id) == sheet_csv({**RIGHT, "gate.tau": "7 ms"})


def test_a_workbook_with_numbers_and_units_in_their_own_cells(student):
    page = hand_in(student, "hw.xlsx", sheet_xlsx({"gate.tau": (10, "ms"), "gate.end": (2, "A")}))
    assert "3 of 18 points" in page.text


def test_a_text_file(student):
    page = hand_in(student, "hw.txt", b"student: S0001\ngate.tau: 10 ms\ngate.rth = 8 ohm\n")
    assert "3 of 18 points" in page.text


def test_checking_a_file_shows_its_answers_and_readings_and_counts_nothing(site, student):
    page = hand_in(student, "hw.csv", sheet_csv({"gate.tau": "1/2 s"}), do="check")
    assert page.status_code == 200
    assert 'value="1/2 s"' in page.text
    assert "<math" in page.text
    assert site.store.all_attempts(SHEET) == ()


def test_what_cannot_be_read_in_a_file_stops_it_unless_insisted(site, student):
    content = sheet_csv({"gate.tau": "((", "gate.end": "2 A"})
    page = hand_in(student, "hw.csv", content)
    assert page.status_code == 422
    assert "f-gate.tau" in page.text
    assert hand_in(student, "hw.csv", content, insist="yes").url.path.startswith("/attempts/")
    assert len(site.store.all_attempts(SHEET)) == 1


def test_what_is_doubtful_in_a_file_is_shown_first(site, student):
    content = sheet_csv({"gate.tau": "10 ms"}) + b"gate,tau,20 ms\n"
    page = hand_in(student, "hw.csv", content)
    assert page.status_code == 422
    assert "second time" in page.text
    assert site.store.all_attempts(SHEET) == ()


@pytest.mark.parametrize(
    "name, content, says",
    [
        ("hw.csv", b"", "The file is empty."),
        ("hw.csv", b"nothing,here\n1,2\n", "No answers were found"),
        ("hw.xlsx", b"PK\x03\x04 broken", "could not be read"),
        ("hw.exe", b"MZ\x90\x00", ""),
        ("hw.csv", sheet_csv({"gate.tau": "10 ms"}, student="S0002"), "S0002"),
        ("hw.csv", sheet_csv({"gate.tau": "10 ms"}, student="S9999"), "S9999"),
        ("wide.csv", b"student,gate.tau\nS0001,10 ms\nS0002,20 ms\n", "several students"),
    ],
)
def test_a_file_that_cannot_be_taken_says_why(site, student, name, content, says):
    page = hand_in(student, name, content)
    assert page.status_code == 422
    assert says in page.text
    assert site.store.all_attempts(SHEET) == ()


def test_a_refused_file_leaves_the_answers_of_the_last_attempt_on_the_sheet(student):
    student.answer({"gate.tau": "12.5 ms"})
    assert 'value="12.5 ms"' in hand_in(student, "scan.pdf", b"%PDF-1.4").text


def test_no_file_at_all(site, student):
    token = student.token("/sheets/lock-gate")
    page = student.post("/sheets/lock-gate/file", data={"token": token, "do": "submit"}, files={"other": ("x", b"y")})
    assert page.status_code == 422 or page.status_code == 400
    assert site.store.all_attempts(SHEET) == ()


def test_a_zip_bomb_is_refused_by_the_readers_bounds(site, student):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", b" " * 200_000_000)
    page = hand_in(student, "bomb.xlsx", packed.getvalue())
    assert page.status_code == 422
    assert site.store.all_attempts(SHEET) == ()


@pytest.mark.parametrize("name", ["../../etc/passwd.csv", "a\x00b.csv", "<script>.csv", "x" * 250 + ".csv", "ü😀.csv"])
def test_a_files_name_is_only_its_ending(site, student, instructor, name):
    page = hand_in(student, name, sheet_csv({"gate.tau": "10 ms"}))
    assert page.url.path.startswith("/attempts/")
    packed = instructor(site).get("/instructor/sheets/lock-gate/files/uploads.zip").content
    assert zipfile.ZipFile(io.BytesIO(packed)).namelist() == ["S0001.csv"]
    assert "<script>.csv" not in instructor(site).get("/instructor/sheets/lock-gate/students/S0001").text


def test_the_instructor_has_the_file_of_an_attempt_as_it_came(site, student, instructor):
    content = sheet_csv({"gate.tau": "10 ms"})
    hand_in(student, "hw.csv", content)
    desk = instructor(site)
    (link,) = re.findall(
        r'href="(/instructor/[^"]*/attempts/[^"]*)"', desk.get(f"/instructor/sheets/{SHEET}/students/S0001").text
    )
    answer = desk.get(link)
    assert answer.content == content
    assert answer.headers["Content-Disposition"] == "attachment; filename*=UTF-8''S0001_v1.csv"
    assert desk.get(link.replace("S0001", "S0002")).status_code == 404
    assert student.get(link).url.path == "/instructor/enter"


def test_a_file_that_was_checked_need_not_be_chosen_again(site, student, browser, codes):
    content = sheet_csv({"gate.tau": "10 ms"})
    page = hand_in(student, "hw.csv", content, do="check")
    assert "hw.csv has been read and is still here" in page.text
    kept = re.search(r'name="kept" value="([\w-]+)"', page.text)[1]
    data = {"token": student.token(f"/sheets/{SHEET}"), "form": "f", "do": "submit", "kept": kept}
    other = browser(site, codes["S0002"])
    theirs = other.post(f"/sheets/{SHEET}/file", data={**data, "token": other.token(f"/sheets/{SHEET}")})
    assert theirs.status_code == 422
    assert "no longer kept here" in theirs.text
    assert student.post(f"/sheets/{SHEET}/file", data=data).url.path.startswith("/attempts/")
    (attempt,) = site.store.all_attempts(SHEET)
    assert (attempt.file, site.store.content(attempt.id)) == ("hw.csv", content)


def test_a_name_with_the_id_of_another_student_is_said_and_confirmed_before_it_counts(site, student):
    content, says = sheet_csv({"gate.tau": "(("}), "This file&#39;s name says S0002; you are signed in as S0001."
    assert says in hand_in(student, "S0002.csv", content, do="check").text
    assert hand_in(student, "S0002.csv", content, insist="yes").status_code == 422
    assert says in student.seen[-1].text
    assert hand_in(student, "S0002.csv", content, insist="yes", own="S0003").status_code == 422
    assert site.store.all_attempts(SHEET) == ()
    assert hand_in(student, "S0002.csv", content, insist="yes", own="S0002").url.path.startswith("/attempts/")
    assert hand_in(student, "S0001.csv", sheet_csv({"gate.tau": "10 ms"})).url.path.startswith("/attempts/")


def test_a_large_file_is_not_kept(student):
    page = hand_in(student, "hw.csv", sheet_csv({"gate.tau": "10 ms"}) + b"\n" * KEPT_FILE_BYTES, do="check")
    assert page.status_code == 200
    assert 'name="kept"' not in page.text
