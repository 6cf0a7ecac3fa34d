"""A real server in its own process, on a free port of this machine."""

import csv
import os
import re
import subprocess
import sys
from pathlib import Path

import httpx

from tests.web.conftest import PASSPHRASE, ROSTER, RUBRIC, SHEET

ROOT = Path(__file__).parents[2]
PROGRAM = ("-m", "grader.cli.main")


class Server:
    """``grader serve`` on a folder of its own; `stop` ends it, `kill` as the power would."""

    def __init__(
        self,
        folder,
        *options,
        rubrics=(RUBRIC,),
        students=None,
        passphrase=PASSPHRASE,
        environment=None,
        program=PROGRAM,
    ):
        self.folder = Path(folder)
        self.environment = {
            **os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(self.folder / "cache"), "NO_PROXY": "*", "PYTHONWARNINGS": "error", **(environment or {}),
        }  # fmt: skip
        if passphrase:
            self.environment["GRADER_PASSPHRASE"] = passphrase
        self.roster = self.folder / "roster.csv"
        students = students or [(s.id, s.name, s.section) for s in ROSTER.students]
        with self.roster.open("w", newline="") as file:
            csv.writer(file).writerows([("id", "name", "section"), *students])
        if not (self.folder / "codes.csv").exists():
            made = self.run("codes", self.roster, "-o", self.folder / "codes.csv", "--data", self.folder / "data")
            assert made.returncode == 0, made.stderr
        with (self.folder / "codes.csv").open(encoding="utf-8-sig") as file:
            self.codes = {row["student"]: row["code"] for row in csv.DictReader(file)}
        self.log = (self.folder / "log").open("a+")
        self.process = subprocess.Popen(
            [sys.executable, *program, "serve", *map(str, rubrics), "--roster", self.roster, "--data", self.folder / "data",
             "--port", "0", *options],
            cwd=self.folder, env=self.environment, stdout=subprocess.PIPE, stderr=self.log, text=True,
        )  # fmt: skip
        self.said = ""
        for line in self.process.stdout:
            self.said += line
            if line.startswith("Ctrl-C"):
                break
        found = re.search(r"http://127\.0\.0\.1:\d+", self.said)
        assert found, self.said + self.logged()
        self.address = found[0]

    def run(self, *words):
        """Another command of the program, with the same surroundings."""
        return subprocess.run(
            [sys.executable, *PROGRAM, *map(str, words)],
            cwd=self.folder, env=self.environment, capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip

    def logged(self):
        return (self.folder / "log").read_text()

    def kill(self):
        self.process.kill()
        self._gone()

    def stop(self):
        if self.process.poll() is None:
            self.process.terminate()
        self._gone()

    def _gone(self):
        self.process.wait(timeout=30)
        self.process.stdout.close()
        self.log.close()

    def visitor(self, student=None):
        """A browser's cookies and redirections, without its pages; entered where a student is named."""
        http = httpx.Client(base_url=self.address, follow_redirects=True, trust_env=False, timeout=30)
        if student is not None:
            page = http.get("/enter")
            http.post("/enter", data={"token": token_of(page), "code": self.codes[student]})
        return http


def token_of(page):
    return re.search(r'name="token" value="(\w+)"', page.text)[1]


def answer(http, answers, do="submit", sheet=SHEET, **options):
    """Load the sheet, fill it in and send it."""
    page = http.get(f"/sheets/{sheet}")
    form = re.search(r'name="form" value="([\w-]+)"', page.text)[1]
    data = {
        "token": token_of(page),
        "form": form,
        "do": do,
        **{f"answer:{name}": text for name, text in answers.items()},
    }
    return http.post(f"/sheets/{sheet}", data=data, **options)
