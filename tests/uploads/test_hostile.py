"""Files made to do harm, and files that are merely broken: one sentence each, quickly, and never an exception."""

import io
import os
import resource
import struct
import zipfile
from pathlib import Path

import openpyxl
import pytest

from grader.uploads import limits
from grader.uploads.files.sources import one_source, sources
from grader.uploads.reader import read_source
from tests.uploads.building import PAIRS, ROSTER, changed, saved, texts, upload, workbook, zipped

SHEET = workbook({"A": [["item", "answer"], ["valve.tau", "2 ms"]]})
SHEET_PART = "xl/worksheets/sheet1.xml"


def part(data: bytes, name: str) -> str:
    return zipfile.ZipFile(io.BytesIO(data)).read(name).decode()


def refused(file: str, data: bytes) -> str:
    found = upload(file, data)
    assert found.answers == ()
    assert len(found.faults) == 1
    return found.faults[0]


def found_in(data: bytes, tmp_path: Path, name: str = "section.zip"):
    (tmp_path / name).write_bytes(data)
    return list(sources(tmp_path / name))


# Bombs


def test_a_spreadsheet_that_unpacks_to_gigabytes():
    huge = b"<worksheet>" + b" " * (40 * limits.MiB)
    assert "200 times its size" in refused("S0012.xlsx", changed(SHEET, {SHEET_PART: huge}))


def test_a_spreadsheet_whose_table_of_contents_lies_about_sizes():
    data = bytearray(changed(SHEET, {SHEET_PART: b"<worksheet>" + os.urandom(1000).hex().encode() * 2000}))
    entry = data.rindex(SHEET_PART.encode()) - 46
    data[entry + 24 : entry + 28] = struct.pack("<I", 1000)
    assert "damaged" in refused("S0012.xlsx", bytes(data))


def test_a_zip_bomb_among_uploads_is_not_unpacked(tmp_path):
    bomb = zipped({"S0012.txt": b"0" * (19 * limits.MiB), "S0013.txt": b"valve.tau: 2 ms"})
    first, second = found_in(bomb, tmp_path)
    assert "200 times" in first.fault
    assert (first.data, second.fault) == (b"", "")


def test_entries_that_overlap(tmp_path):
    data = bytearray(zipped({f"{n}.txt": os.urandom(2000) for n in range(3)}))
    for name in (b"1.txt", b"2.txt"):
        at = data.rindex(name) - 46
        data[at + 20 : at + 24] = struct.pack("<I", 5000)
    (only,) = found_in(bytes(data), tmp_path)
    assert "overlap" in only.fault


def test_zips_within_zips(tmp_path):
    inner = zipped({"deep.zip": zipped({"S0012.txt": b"valve.tau: 1 s"}), "S0013.txt": b"valve.tau: 2 s"})
    found = found_in(zipped({"hw.zip": inner}), tmp_path)
    assert [(one.file, bool(one.fault)) for one in found] == [("hw.zip/S0013.txt", False), ("hw.zip/deep.zip", True)]


def test_a_table_of_contents_out_of_all_proportion(tmp_path, monkeypatch):
    monkeypatch.setattr(limits, "ARCHIVE_DIRECTORY_BYTES", 1000)
    (only,) = found_in(zipped({f"{n}.txt": b"" for n in range(100)}), tmp_path)
    assert "table of contents" in only.fault


@pytest.mark.parametrize("declared", [
    '<!DOCTYPE w [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>',
    '<!DOCTYPE w SYSTEM "file:///etc/passwd">',
    '<!DOCTYPE w [<!ENTITY secret SYSTEM "file:///etc/hostname">]>',
])  # fmt: skip
def test_entities_and_references_outside(declared):
    xml = part(SHEET, SHEET_PART).replace("<worksheet", f"{declared}<worksheet", 1)
    assert "XML entities" in refused("S0012.xlsx", changed(SHEET, {SHEET_PART: xml.encode()}))


def test_links_to_other_files_are_never_opened():
    relations = part(SHEET, "xl/_rels/workbook.xml.rels").replace(
        "/xl/worksheets/sheet1.xml", "../../../../etc/hostname"
    )
    assert upload("S0012.xlsx", changed(SHEET, {"xl/_rels/workbook.xml.rels": relations.encode()})).answers == ()
    outside = relations.replace('Target="../', 'TargetMode="External" Target="http://127.0.0.1:9/')
    assert upload("S0012.xlsx", changed(SHEET, {"xl/_rels/workbook.xml.rels": outside.encode()})).answers == ()


def test_xml_that_nests_without_end_or_holds_one_endless_tag():
    assert "nests deeper" in refused("S0012.xlsx", changed(SHEET, {SHEET_PART: b"<a>" * 50_000}))
    endless = b"<worksheet x='" + os.urandom(limits.MiB).hex().encode() + b"'/>"
    assert "single piece" in refused("S0012.xlsx", changed(SHEET, {SHEET_PART: endless}))


# Sizes


def test_one_cell_in_the_last_row_of_the_last_column_costs_nothing():
    book = openpyxl.Workbook()
    book.active.append(["item", "answer"])
    book.active.append(["valve.tau", "2 ms"])
    book.active.cell(1_048_576, 16_384, "far away")
    book.active.cell(1_048_576, 2, "also far")
    found = upload("S0012.xlsx", saved(book))
    assert texts(found) == {"valve.tau": "2 ms"}
    assert any("beyond column" in fault for fault in found.faults)
    assert any("also far" in fault for fault in found.faults)


def test_a_million_rows():
    rows = "".join(f'<row r="{n}"><c r="A{n}"><v>{n}</v></c></row>' for n in range(1, limits.ROWS + 2))
    xml = f"<worksheet><sheetData>{rows}</sheetData></worksheet>"
    assert f"{limits.ROWS} filled rows" in refused("S0012.xlsx", changed(SHEET, {SHEET_PART: xml.encode()}))
    assert f"{limits.ROWS} lines" in refused("S0012.csv", b"valve.tau,2 ms\n" * 1_000_000)
    assert f"{limits.LINES} lines" in refused("S0012.txt", b"valve.tau: 2 ms\n" + b"so it is 2 ms\n" * limits.LINES)


def test_repeated_cells_of_an_open_document():
    cell = '<table:table-cell office:value-type="string" table:number-columns-repeated="900"><text:p>x</text:p></table:table-cell>'
    row = f'<table:table-row table:number-rows-repeated="1048576">{cell}</table:table-row>'
    xml = f'<d xmlns:table="t" xmlns:office="o" xmlns:text="x"><table:table table:name="A">{row}</table:table></d>'
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    assert "filled cells" in refused("S0012.ods", zipped({"mimetype": kind, "content.xml": xml.encode()}))


def test_a_cell_of_ten_megabytes():
    long = "7" * (10 * limits.MiB)
    found = upload("S0012.csv", f"item,answer\nvalve.tau,{long}\n".encode())
    assert "line of more than" in found.faults[0]
    xml = f'<worksheet><row r="1"><c t="str" r="A1"><v>item</v></c><c t="str" r="B1"><v>answer</v></c></row><row r="2"><c t="str" r="A2"><v>valve.tau</v></c><c t="str" r="B2"><v>{os.urandom(5 * limits.MiB).hex()}</v></c></row></worksheet>'
    found = upload("S0012.xlsx", changed(SHEET, {SHEET_PART: xml.encode()}))
    (answer,) = found.answers
    assert len(answer.text) == limits.CELL_CHARS
    assert "only the first 4000 characters were read" in found.faults[0].lower()


def test_one_long_text_used_by_every_cell():
    strings = f"<sst><si><t>{'7' * 2_000_000}</t></si></sst>"
    cells = "".join(f'<c r="{letter}{row}" t="s"><v>0</v></c>' for row in range(1, 3000) for letter in "ABCDEFGHIJ")
    xml = f"<worksheet><sheetData>{cells}</sheetData></worksheet>"
    book = workbook({"A": [["x"]]})
    relations = part(book, "xl/_rels/workbook.xml.rels").replace(
        "</Relationships>",
        '<Relationship Id="rS" Type="http://x/sharedStrings" Target="/xl/s.xml"/></Relationships>',
    )
    data = changed(
        book, {SHEET_PART: xml.encode(), "xl/s.xml": strings.encode(), "xl/_rels/workbook.xml.rels": relations.encode()}
    )
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    upload("S0012.xlsx", data)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 200 * 1024


def test_ten_thousand_sheets():
    xml = part(SHEET, "xl/workbook.xml")
    start = xml.index("<sheet ")
    sheet = xml[start : xml.index("/>", start) + 2]
    found = upload("S0012.xlsx", changed(SHEET, {"xl/workbook.xml": xml.replace(sheet, sheet * 10_000).encode()}))
    assert texts(found) == {"valve.tau": "2 ms"}
    assert "only the first 100 of its 10000 sheets" in found.faults[0].lower()


def test_a_line_without_end_and_a_row_of_a_million_columns():
    assert "characters" in refused("S0012.csv", b"item,answer" + b"," * 2_000_000)
    wide = "item,answer" + ",x" * 300_000 + "\nvalve.tau,2 ms\n"
    assert texts(upload("S0012.csv", wide)) == {"valve.tau": "2 ms"}


OLD = (Path(__file__).with_name("saved") / "answers.xls").read_bytes()


def test_an_old_workbook_with_a_cell_in_the_last_corner():
    """The library holds the whole rectangle, half a gigabyte; it does so in a process of its own, within bounds."""
    data = bytearray(OLD)
    record = data.index(b"\xfd\x00\x0a\x00")
    data[record + 4 : record + 8] = struct.pack("<HH", 65_535, 255)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert upload("S0012.xls", bytes(data)).student == "S0012"
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100 * 1024


@pytest.mark.parametrize("data", [OLD[:3000], OLD[:-700], OLD[:1000] + bytes(5000)])
def test_old_workbooks_that_are_damaged(data):
    assert "damaged" in refused("S0012.xls", data)


# Names, links and places


def test_names_that_point_outside_the_zip(tmp_path):
    names = ["../S0012.txt", "/etc/S0012.txt", "a/../../S0012.txt", "C:\\S0012.txt", "..\\S0012.txt", "ok/S0013.txt"]
    found = found_in(zipped(dict.fromkeys(names, b"valve.tau: 2 ms")), tmp_path)
    assert [one.file for one in found if not one.fault] == ["ok/S0013.txt"]
    assert len(found) == len(names)
    assert [path.name for path in tmp_path.iterdir()] == ["section.zip"]


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_one_name_twice_in_a_zip(tmp_path):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as target:
        target.writestr("S0012.txt", "valve.tau: 1 s")
        target.writestr("S0012.txt", "valve.tau: 2 s")
    assert [(one.file, one.data[-3:]) for one in found_in(stream.getvalue(), tmp_path)] == [
        ("S0012.txt", b"1 s"), ("S0012.txt (2)", b"2 s"),
    ]  # fmt: skip


def test_links_in_a_zip_and_in_a_folder(tmp_path):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as target:
        entry = zipfile.ZipInfo("S0012.txt")
        entry.create_system, entry.external_attr = 3, 0o120777 << 16
        target.writestr(entry, "/etc/hostname")
    (link,) = found_in(stream.getvalue(), tmp_path)
    assert "a link" in link.fault
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "S0012.txt").symlink_to("/etc/hostname")
    (folder / "loop").symlink_to(folder)
    os.mkfifo(folder / "S0013.txt")
    found = list(sources(folder))
    assert [one.file for one in found] == ["S0012.txt", "S0013.txt", "loop"]
    assert all(one.fault and not one.data for one in found)


def test_a_directory_named_like_a_file(tmp_path):
    inside = tmp_path / "S0012.xlsx"
    inside.mkdir()
    (inside / "answers.txt").write_text("valve.tau: 2 ms")
    (found,) = sources(tmp_path)
    assert found.file == "S0012.xlsx/answers.txt"
    assert read_source(found, PAIRS, ROSTER)[0].student == "S0012"


def test_folders_without_end(tmp_path):
    deep = tmp_path
    for _ in range(limits.DEPTH + 2):
        deep = deep / "d"
        deep.mkdir()
    (deep / "S0012.txt").write_text("valve.tau: 2 ms")
    (only,) = sources(tmp_path)
    assert "folders deep" in only.fault


def test_a_file_name_that_is_no_text(tmp_path):
    (tmp_path / os.fsdecode(b"S0012_\xff.txt")).write_text("valve.tau: 2 ms")
    (found,) = sources(tmp_path)
    assert found.file == "S0012_\\xff.txt"
    found.file.encode()


def test_a_file_that_changes_while_it_is_read(tmp_path, monkeypatch):
    path = tmp_path / "S0012.txt"
    path.write_text("valve.tau: 2 ms")
    honest = os.fstat
    seen: list[int] = []

    def changing(descriptor: int) -> os.stat_result:
        seen.append(descriptor)
        with path.open("a") as file:
            file.write(".")
        return honest(descriptor)

    monkeypatch.setattr(os, "fstat", changing)
    assert "changed while it was being read" in one_source(path).fault
    assert len(seen) > 2


def test_a_file_too_large_is_not_read_but_accounted_for(tmp_path, monkeypatch):
    monkeypatch.setattr(limits, "FILE_BYTES", 100)
    (tmp_path / "S0012.txt").write_text("valve.tau: 2 ms" * 100)
    (found,) = sources(tmp_path)
    assert found.data == b""
    assert len(found.digest) == 64
    assert "larger than" in found.fault


# Passwords, macros, wrong and broken files


def test_files_under_a_password(tmp_path):
    encrypted = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le") + b"\0" * 600
    assert "password" in refused("S0012.xlsx", encrypted)
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    manifest = b'<m:manifest xmlns:m="m"><m:file-entry><m:encryption-data/></m:file-entry></m:manifest>'
    assert "password" in refused(
        "S0012.ods", zipped({"mimetype": kind, "META-INF/manifest.xml": manifest, "content.xml": b"x"})
    )
    data = bytearray(zipped({"S0012.txt": b"valve.tau: 2 ms"}))
    data[data.rindex(b"S0012.txt") - 46 + 8] |= 1
    (only,) = found_in(bytes(data), tmp_path)
    assert "password" in only.fault


def test_macros_are_said_and_the_answers_still_read():
    found = upload("S0012.xlsm", changed(SHEET, {"xl/vbaProject.bin": b"\xd0\xcf\x11\xe0"}))
    assert texts(found) == {"valve.tau": "2 ms"}
    assert "macros" in found.faults[0]


@pytest.mark.parametrize(
    ("file", "data", "said"),
    [
        ("S0012.xlsx", b"", "empty"),
        ("S0012.xlsx", b"\0" * 5000, "empty"),
        ("S0012.txt", b" \r\n\t ", "empty"),
        ("S0012.xlsx", SHEET[:-200], "damaged"),
        ("S0012.xlsx", SHEET[: len(SHEET) // 2], "damaged"),
        ("S0012.xlsx", b"%PDF-1.7 ...", "a PDF document"),
        ("S0012.csv", b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "a picture"),
        ("S0012.docx", zipped({"word/document.xml": b"<w/>"}), "another kind of document"),
        ("S0012.xls", b"<html><table><tr><td>item</td></tr></table></html>", "a web page"),
        ("S0012.txt", bytes(range(256)) * 20, "neither a spreadsheet nor a text"),
        ("S0012.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\1" * 3000, "older office document"),
    ],
)  # fmt: skip
def test_wrong_empty_and_truncated_files(file, data, said):
    assert said in refused(file, data)
    assert upload(file, data).student == "S0012"


@pytest.mark.parametrize("name", ["S0012.csv", "S0012.txt", "S0012", "S0012.pdf"])
def test_a_spreadsheet_under_a_wrong_ending_is_read_by_what_it_is(name):
    assert texts(upload(name, SHEET)) == {"valve.tau": "2 ms"}


def test_a_spreadsheet_named_as_a_zip_is_not_taken_apart(tmp_path):
    (only,) = found_in(SHEET, tmp_path, "S0012.zip")
    assert texts(read_source(only, PAIRS, ROSTER)[0]) == {"valve.tau": "2 ms"}


# Characters


def test_direction_overrides_controls_and_null_bytes_are_kept_and_said():
    found = upload("S0012.txt", "valve.tau: 2\u202e4 ms\nvalve.current: 5\0 A\nrelay.tau: 3\u200b s\n")
    assert [answer.text for answer in found.answers] == ["2\u202e4 ms", "5\0 A", "3\u200b s"]
    assert [bool(answer.notes) for answer in found.answers] == [True, True, False]
    assert len(found.faults) == 2


@pytest.mark.parametrize("id", ["Ѕ0012", "S00\u043e12"])
def test_an_id_in_lookalike_letters_is_not_taken_but_named(id):
    roster = ROSTER
    found = upload(f"hw_{id}.txt", f"student: {id}\nvalve.tau: 2 ms", roster)
    assert found.student is None
    if id[0] != "S":
        assert "'S0012' may be meant" in found.faults[0]


def test_an_id_in_wide_letters_or_with_invisible_ones_is_the_same_id():
    assert upload("x.txt", "student: Ｓ００1\u200b2\nvalve.tau: 2 ms").student == "S0012"
