"""Every single thing that a submission or a start asks of the disk fails once, below SQLite, or is the last before a kill.

A plain page or sentence, nothing lost, an attempt counted wholly or not.

Idea of the method: D. R. Hipp and others, "How SQLite Is Tested", anomaly testing.
"""

import errno
import mmap
import os
import re
import shutil
import signal
import sqlite3
import struct
import subprocess
import sys
import time
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


def sent_and_sent_again(http, disk, student, number, send=typed, ready=lambda: None):
    """Send answers while an operation fails; gives what failed and whether the answer was "not saved"."""
    loaded, before = filled(http), disk.attempts(student)
    ready()
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


FORGETFUL = """
import signal, sys, threading
from grader.cli.main import main
from grader.web import start

class Forgetful(start.Store):
    def __init__(self, url):
        super().__init__(url)
        stores.append(self)

def forget():
    while signal.sigwait({signal.SIGUSR1}):
        stores[-1].close()
        print("closed", file=closed, flush=True)

if __name__ == "__main__":
    closed, stores, start.Store = open("closed", "w"), [], Forgetful
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGUSR1})
    threading.Thread(target=forget, daemon=True).start()
    sys.exit(main())
"""
"""A server that closes its database when it is told to: as it stands before the first visitor."""


@pytest.mark.parametrize(
    "error, step", [(errno.ENOSPC, 7), *(pytest.param(error, 1, marks=pytest.mark.nightly) for error in ERRORS)]
)
def test_whatever_the_disk_refuses_when_nothing_is_open_yet(tmp_path, library, error, step):
    """A first attempt, the database closed before each; each of its operations within a minute."""
    (tmp_path / "forgetful.py").write_text(FORGETFUL)
    disk = Disk(tmp_path, library, error)
    server = Server(tmp_path, students=STUDENTS, environment=disk.environment, program=[tmp_path / "forgetful.py"])

    def close():
        said = (tmp_path / "closed").read_text()
        server.process.send_signal(signal.SIGUSR1)
        while (tmp_path / "closed").read_text() == said:
            time.sleep(0.001)

    told = Counter()
    for number in range(0, 1000, step):
        student = STUDENTS[number // step % len(STUDENTS)][0]
        http = server.visitor(student)
        failed, refused = sent_and_sent_again(http, disk, student, number, ready=close)
        http.close()
        told[failed.split(" ")[0], refused] += 1
        if not failed:
            break
    print(f"\n{number} operations: {dict(told)}")
    assert number > 20
    server.stop()
    assert "Traceback" not in server.logged()
    assert disk.is_sound()


STARTS = """
import os, sys, uvicorn
from pathlib import Path
from grader.cli import serve
from grader.cli.main import main
from grader.web import start

class Nobody:
    close = __init__ = lambda *_, **__: None

start.Workers = start.warm_up = uvicorn.Server.run = Nobody
keys = start._keys([Path(sys.argv[2])])
start._keys = lambda _: keys
for said in sys.stdin:
    child = os.fork()
    if not child:
        sys.stdout, sys.stderr = open(os.devnull, "w"), open(said.strip(), "w")
        status = main(sys.argv[1:])
        sys.stderr.close()
        os._exit(status)
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""
"""Servers that are ready and serve nobody, each a copy of one process that has loaded everything."""

KILLED = 0
"""In place of an error: the process ends in that moment, as if it were killed."""


@pytest.mark.parametrize(
    "error, step", [(KILLED, 17), *(pytest.param(error, 1, marks=pytest.mark.nightly) for error in (KILLED, *ERRORS))]
)
def test_whatever_the_disk_refuses_at_the_first_start(tmp_path, library, error, step):
    """It starts or says one sentence; the next start, on a disk that is well, finds nothing damaged.

    Each operation in some three minutes.
    """
    (tmp_path / "starts.py").write_text(STARTS)
    (tmp_path / "roster.csv").write_text("id\nS0001\n")
    disk, said = Disk(tmp_path, library, error), tmp_path / "said"
    words = ["serve", RUBRIC, "--roster", tmp_path / "roster.csv", "--port", "0", "--data", disk.data]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "GRADER_PASSPHRASE": PASSPHRASE, **disk.environment}
    ended = Counter()
    with subprocess.Popen(
        [sys.executable, tmp_path / "starts.py", *words],
        env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as starts:  # fmt: skip

        def start():
            print(said, file=starts.stdin, flush=True)
            return int(starts.stdout.readline()), said.read_text()

        for number in range(0, 1000, step):
            shutil.rmtree(disk.data, ignore_errors=True)
            disk.fail_after(number)
            status, sentence = start()
            failed = disk.heal()
            assert status in ({0, 2} if error else {0, 99}), (failed, sentence)
            assert sentence.count("\n") == (status == 2), (failed, sentence)
            assert start() == (0, ""), failed
            assert disk.is_sound()
            ended[failed.split(" ")[0], status] += 1
            if not failed:
                break
    print(f"\n{number} operations: {dict(ended)}")
    assert number > 20
