"""Every single thing that a submission asks of the disk fails once, below SQLite: a plain page, nothing lost, counted wholly or not.

Idea of the method: D. R. Hipp and others, "How SQLite Is Tested", anomaly testing.
"""

import errno
import mmap
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
from tests.web.conftest import RIGHT, SHEET
from tests.web.running import Server, token_of

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


def sent_and_sent_again(http, disk, student, number):
    """Send a form while an operation fails; gives what failed and whether the answer was "not saved"."""
    loaded, before = filled(http), disk.attempts(student)
    disk.fail_after(number)
    page = http.post(f"/sheets/{SHEET}", data=loaded, follow_redirects=False)
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
    again = http.post(f"/sheets/{SHEET}", data=loaded, follow_redirects=False)
    assert again.status_code == 303, (failed, again.text)
    assert disk.attempts(student) == before + 1, failed
    assert "18 of 18 points" in http.get(again.headers["location"]).text
    return failed, page.status_code == 503


@pytest.mark.parametrize("error", ERRORS, ids=errno.errorcode.get)
def test_whatever_the_disk_refuses_while_attempts_arrive(tmp_path, library, error):
    disk = Disk(tmp_path, library, error)
    server = Server(tmp_path, students=STUDENTS, environment=disk.environment)
    told = Counter()
    for number, (student, *_) in enumerate(cycle(STUDENTS[:8])):
        http = server.visitor(student)
        failed, refused = sent_and_sent_again(http, disk, student, number)
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
