"""Every single thing that a submission or a start asks of the disk fails once, below SQLite, or is the last before a kill.

A plain page or sentence, nothing lost, an attempt counted wholly or not.

Idea of the method: D. R. Hipp and others, "How SQLite Is Tested", anomaly testing.
"""

import errno
import mmap
import os
import re
import shutil
import sqlite3
import struct
import subprocess
import sys
from collections import Counter
from html import unescape
from itertools import cycle
from pathlib import Path

import pytest

from grader.web.data.folder import DATABASE_FILE
from tests.web.conftest import PASSPHRASE, RIGHT, RUBRIC, SHEET
from tests.web.running import ROOT, Server, token_of
from tests.web.test_files import sheet_csv

pytestmark = pytest.mark.skipif(
    sys.platform != "linux" or shutil.which("cc") is None,
    reason="needs Linux and a C compiler to stand before the disk",
)

STUDENTS = [(f"S{number:04}", f"Invented {number}", "1") for number in range(1, 31)]
ERRORS = [errno.ENOSPC, errno.EIO]


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    """The functions that stand before the system's, ready to be loaded."""
    made = tmp_path_factory.mktemp("library") / "failing_disk.so"
    source = Path(__file__).with_name("failing_disk.c")
    subprocess.run(["cc", "-O1", "-shared", "-fPIC", "-o", made, source, "-ldl"], check=True)
    return made


class Disk:
    """A disk under a server's data folder of which one operation fails, once asked for."""

    def __init__(self, folder, library, error):
        self.data = folder / "data"
        place = folder / "shared"
        place.write_bytes(struct.pack("l56x", -1))
        with place.open("r+b") as file:
            self._shared = mmap.mmap(file.fileno(), 64)
        self.environment = {
            "LD_PRELOAD": str(library), "FAILING_DISK_SHARED": str(place), "FAILING_DISK_BELOW": f"{self.data}/",
            "FAILING_DISK_ERROR": str(error),
        }  # fmt: skip

    def fail_after(self, left):
        self._shared[:] = struct.pack("l56x", left)

    def heal(self):
        """Let nothing fail any more; gives what has failed, "" where nothing has."""
        failed = self._shared[8:].split(b"\0")[0].decode()
        self.fail_after(-1)
        return failed

    def attempts(self, student):
        """What is kept, read beside the server."""
        database = sqlite3.connect(f"file:{self.data / DATABASE_FILE}?mode=ro", uri=True)
        (count,) = database.execute("SELECT count(*) FROM attempts WHERE student = ?", (student,)).fetchone()
        database.close()
        return count

    def is_sound(self):
        database = sqlite3.connect(self.data / DATABASE_FILE)
        said = database.execute("PRAGMA integrity_check").fetchall()
        database.close()
        return said == [("ok",)]


def filled(http):
    """The form as a browser would send it, loaded while everything is well."""
    page = http.get(f"/sheets/{SHEET}")
    form = re.search(r'name="form" value="([\w-]+)"', page.text)[1]
    answers = {f"answer:{name}": text for name, text in RIGHT.items()}
    return {"token": token_of(page), "form": form, "do": "submit", **answers}


def typed(http, loaded):
    return http.post(f"/sheets/{SHEET}", data=loaded, follow_redirects=False)


def in_a_file(http, loaded):
    fields = {name: text for name, text in loaded.items() if not name.startswith("answer:")}
    files = {"file": ("hw.csv", sheet_csv(RIGHT))}
    return http.post(f"/sheets/{SHEET}/file", data=fields, files=files, follow_redirects=False)


def sent_and_sent_again(http, disk, student, number, send=typed):
    """Send answers while an operation fails; gives what failed and whether the answer was "not saved"."""
    loaded, before = filled(http), disk.attempts(student)
    disk.fail_after(number)
    page = send(http, loaded)
    failed = disk.heal()
    assert page.status_code in {303, 503}, (failed, page.text)
    if page.status_code == 503:
        assert "Not saved yet" in page.text, failed
        for name, text in RIGHT.items():
            assert f'name="answer:{name}"' in page.text
            assert text in unescape(page.text), (failed, name)
        assert f'value="{loaded["form"]}"' in page.text
    else:
        assert disk.attempts(student) == before + 1, failed
    again = send(http, loaded)
    assert again.status_code == 303, (failed, again.text)
    assert disk.attempts(student) == before + 1, failed
    assert "18 of 18 points" in http.get(again.headers["location"]).text
    return failed, page.status_code == 503


@pytest.mark.parametrize("send", [typed, in_a_file])
@pytest.mark.parametrize("error", ERRORS, ids=errno.errorcode.get)
def test_whatever_the_disk_refuses_while_attempts_arrive(tmp_path, library, error, send):
    disk = Disk(tmp_path, library, error)
    server = Server(tmp_path, students=STUDENTS, environment=disk.environment)
    told = Counter()
    for number, (student, *_) in enumerate(cycle(STUDENTS[:8])):
        http = server.visitor(student)
        failed, refused = sent_and_sent_again(http, disk, student, number, send)
        http.close()
        told[failed.split(" ")[0], refused] += 1
        if not failed:
            break
    print(f"\n{number} operations: {dict(told)}")
    assert number > 3
    assert sum(count for (_, refused), count in told.items() if refused) > 2
    server.stop()
    assert "Traceback" not in server.logged()
    assert disk.is_sound()


@pytest.mark.nightly
@pytest.mark.parametrize("error", ERRORS, ids=errno.errorcode.get)
def test_whatever_the_disk_refuses_when_nothing_is_open_yet(tmp_path, library, error):
    """A server's first attempt, in one started afresh for each."""
    disk = Disk(tmp_path, library, error)
    for number in range(1000):
        server = Server(tmp_path, students=STUDENTS, environment=disk.environment)
        student = STUDENTS[number % len(STUDENTS)][0]
        http = server.visitor(student)
        failed, _ = sent_and_sent_again(http, disk, student, number)
        http.close()
        server.stop()
        assert disk.is_sound()
        if not failed:
            break
    print(f"\n{number} operations")
    assert "Traceback" not in server.logged()


STARTED = """
import sys, uvicorn
uvicorn.Server.run = lambda *_, **__: None
from grader.cli.main import main
if __name__ == "__main__":
    sys.exit(main())
"""
"""A server that is ready and serves nobody."""

KILLED = 0
"""In place of an error: the process ends in that moment, as if it were killed."""


@pytest.mark.parametrize(
    "error, step",
    [(KILLED, 61), *(pytest.param(error, 5, marks=pytest.mark.nightly) for error in (KILLED, *ERRORS))],
)
def test_whatever_the_disk_refuses_at_the_first_start(tmp_path, library, error, step):
    """It starts or says one sentence; the next start, on a disk that is well, finds nothing damaged."""
    (tmp_path / "start.py").write_text(STARTED)
    (tmp_path / "roster.csv").write_text("id\nS0001\n")
    words = [sys.executable, tmp_path / "start.py", "serve", RUBRIC, "--roster", tmp_path / "roster.csv", "--port", "0"]

    def start(folder, disk):
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "GRADER_PASSPHRASE": PASSPHRASE, **disk}
        return subprocess.run(
            [*words, "--data", folder / "data"],
            env=environment,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )

    ended = Counter()
    for number in range(0, 1000, step):
        folder = tmp_path / str(number)
        folder.mkdir()
        disk = Disk(folder, library, error)
        disk.fail_after(number)
        first = start(folder, disk.environment)
        failed = disk.heal()
        assert first.returncode in ({0, 2} if error else {0, 99}), (failed, first.stderr)
        assert first.stderr.count("\n") == (first.returncode == 2), (failed, first.stderr)
        second = start(folder, {})
        assert (second.returncode, second.stderr) == (0, ""), failed
        assert disk.is_sound()
        ended[failed.split(" ")[0], first.returncode] += 1
        if not failed:
            break
    print(f"\n{number} operations: {dict(ended)}")
    assert number > 20
