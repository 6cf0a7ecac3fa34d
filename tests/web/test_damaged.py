"""The server's own files damaged: one sentence with the file and what to do, never a fault of the program."""

import random
import shutil
import sqlite3

import pytest

from grader.cli.main import main
from grader.errors import GraderError
from grader.web.access.codes import FILE_NAME
from grader.web.data.folder import COOKIES_KEY, DATABASE_FILE, LOCK, PASSPHRASE_FILE, VALUES_KEY
from grader.web.data.store import Store
from tests.common.odd_files import bounded, put
from tests.web.conftest import RIGHT, RUBRIC, SHEET
from tests.web.running import Server, answer

OWN_FILES = (PASSPHRASE_FILE, FILE_NAME, COOKIES_KEY, VALUES_KEY, DATABASE_FILE)

DAMAGE = {
    "nothing": lambda _: b"",
    "random bytes": lambda _: random.Random(1).randbytes(5000),
    "the first half": lambda whole: whole[: len(whole) // 2],
    "zeros": lambda whole: b"\0" * len(whole),
    "another file": lambda _: b'{"codes": [{"student": "S0001", "name": "K7QM", "hash": "scrypt 14 x y"}]}',
    "a folder": None,
}


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """What a server leaves behind that had one attempt."""
    folder = tmp_path_factory.mktemp("served")
    server = Server(folder)
    http = server.visitor("S0001")
    assert "18 of 18 points" in answer(http, RIGHT).text
    http.close()
    server.stop()
    return folder


@pytest.fixture
def again(served, tmp_path, monkeypatch, capsys):
    """Starts a server, which serves nobody, on a copy of the data."""
    shutil.copytree(served / "data", tmp_path / "data")
    monkeypatch.setattr("uvicorn.Server.run", lambda *_, **__: None)

    def start():
        words = ("serve", RUBRIC, "--roster", served / "roster.csv", "--data", tmp_path / "data", "--port", "0")
        status = main([str(word) for word in words])
        return status, capsys.readouterr()

    return start


def test_whole_files_are_no_fault(again):
    assert again()[0] == 0


@pytest.mark.parametrize("name", OWN_FILES)
@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_file_is_named_with_what_to_do(again, tmp_path, name, damage):
    path = tmp_path / "data" / name
    whole = path.read_bytes()
    for beside in tmp_path.glob(f"data/{DATABASE_FILE}-*"):
        beside.unlink()
    path.unlink()
    if damage is None:
        path.mkdir()
    else:
        path.write_bytes(damage(whole))
    status, said = again()
    assert status == 2, said.err
    assert said.err.count("\n") == 1
    assert name in said.err
    assert any(word in said.err for word in ("delete it", "Put back", "put back", "restore it"))
    if damage is not None:
        assert path.read_bytes() == damage(whole)  # nothing is made in its place


@pytest.mark.parametrize("what", ["a pipe", "a device", "3 GB of nothing"])
@pytest.mark.parametrize("name", [*OWN_FILES, LOCK, f"{DATABASE_FILE}-wal", f"{DATABASE_FILE}-journal"])
def test_what_is_no_file_is_named_and_holds_nothing_up(again, tmp_path, name, what):
    for beside in tmp_path.glob(f"data/{DATABASE_FILE}-*"):
        beside.unlink()
    put(what, tmp_path / "data" / name)
    with bounded():
        status, said = again()
    if what == "3 GB of nothing" and name not in OWN_FILES:
        assert (status, said.err) == (0, "")
    else:
        assert status == 2, said.err
        assert said.err.count("\n") == 1
        assert name in said.err


def test_the_data_folder_may_be_a_link(again, tmp_path):
    (tmp_path / "data").rename(tmp_path / "elsewhere")
    (tmp_path / "data").symlink_to(tmp_path / "elsewhere")
    status, said = again()
    assert (status, said.err) == (0, "")


def test_a_file_where_the_data_folder_should_be_is_named_and_kept(again, tmp_path):
    shutil.rmtree(tmp_path / "data")
    (tmp_path / "data").write_text("mine")
    status, said = again()
    assert status == 2
    assert said.err.startswith(f"{tmp_path / 'data'}: the data folder cannot be made")
    assert said.err.count("\n") == 1
    assert (tmp_path / "data").read_text() == "mine"


def test_a_database_whose_making_was_stopped_is_made_anew(again, tmp_path):
    for kept in tmp_path.glob(f"data/{DATABASE_FILE}*"):
        kept.unlink()
    for draft in ("attempts.new", "attempts.new-journal", "attempts.new-wal"):
        (tmp_path / "data" / draft).write_bytes(b"half of it")
    status, said = again()
    assert (status, said.err) == (0, "")
    assert not [*tmp_path.glob("data/attempts.new*")]
    assert (tmp_path / "data" / DATABASE_FILE).stat().st_size


def test_a_row_that_cannot_be_read_is_said_at_the_start(again, tmp_path):
    with sqlite3.connect(tmp_path / "data" / DATABASE_FILE) as database:
        database.execute("UPDATE attempts SET answers = substr(answers, 3)")
    database.close()
    status, said = again()
    assert status == 2
    assert DATABASE_FILE in said.err
    assert said.err.count("\n") == 1


def test_marks_that_cannot_be_read_are_no_fault_of_the_program_and_others_go_on(site, browser, codes, caplog):
    mine, other = browser(site, codes["S0001"]), browser(site, codes["S0002"])
    for student in (mine, other):
        assert student.answer(RIGHT).status_code == 200
    with sqlite3.connect(site.folder / DATABASE_FILE) as database:
        database.execute("UPDATE attempts SET marks = substr(marks, 3) WHERE student = 'S0001'")
    database.close()
    page = mine.get(f"/sheets/{SHEET}")
    assert page.status_code == 503
    assert "Tell the instructor" in page.text
    assert "Put back an undamaged copy" in caplog.text
    assert other.get(f"/sheets/{SHEET}").status_code == 200


def test_codes_damaged_while_the_server_runs_leave_those_of_before(site, browser, codes, caplog):
    assert browser(site, codes["S0001"]).get("/").status_code == 200
    (site.folder / FILE_NAME).write_bytes(b"\xff\xfe not codes")
    assert browser(site, codes["S0002"]).get("/").status_code == 200
    assert "make new codes" in caplog.text


@pytest.fixture
def whole(site, student):
    """The bytes of a database with one attempt."""
    assert student.answer(RIGHT).status_code == 200
    site.store.close()
    return (site.folder / DATABASE_FILE).read_bytes()


def flipped(whole, tmp_path, times):
    """Bytes of the database changed at random: all can be read, or a sentence says that it cannot."""
    chance = random.Random(7)
    refused, told = 0, []
    for number in range(times):
        damaged = bytearray(whole)
        for _ in range(chance.choice([1, 1, 10, 1000])):
            damaged[chance.randrange(len(damaged))] = chance.randrange(256)
        path = tmp_path / f"{number}.sqlite"
        path.write_bytes(damaged)
        try:
            store = Store(f"sqlite:///{path}")
        except GraderError as fault:
            told.append((str(path), str(fault)))
            continue
        try:
            for read in (store.all_attempts, store.decisions, store.requests, store.state):
                read(SHEET)
            store.made(SHEET, "S0001")
        except GraderError:
            refused += 1
        store.close()
    assert all(path in sentence for path, sentence in told)
    assert refused + len(told)


def test_a_name_in_the_database_that_is_no_text_is_a_sentence(whole, tmp_path):
    """SQLite repeats it in what it says, and Python cannot read that."""
    path = tmp_path / "damaged.sqlite"
    named, made = b"tableattemptsattempts", b"CREATE TABLE attempts"
    path.write_bytes(whole.replace(named, b"table\x81ttemptsattempts").replace(made, b"CREATE TABLX attempts"))
    with pytest.raises(
        GraderError, match=r"damaged\.sqlite cannot be opened: the names of its tables are damaged\. Put back"
    ):
        Store(f"sqlite:///{path}")


def test_bytes_of_the_database_changed_at_random(whole, tmp_path):
    flipped(whole, tmp_path, 12)


@pytest.mark.nightly
def test_many_bytes_of_the_database_changed_at_random(whole, tmp_path):
    """Some ten seconds of a processor's time."""
    flipped(whole, tmp_path, 600)
