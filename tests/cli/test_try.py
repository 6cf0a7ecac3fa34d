"""``grader try`` from a file of answers to the words on the screen, once and at every save."""

import os
import subprocess
import sys
import threading
import time

import pytest

from grader.cli import try_, watching
from grader.cli.parser import build_parser
from grader.errors import UsageError

TOML = """
title = "Signal lamp"
[[problem]]
id = "lamp"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "2.2 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "3 uF"},
]
item = [
  {id = "tau", find = "time constant", points = 1},
  {id = "end", find = "final value", voltage = "C1", points = 1},
]
"""


@pytest.fixture
def files(tmp_path):
    rubric, answers = tmp_path / "lamp.toml", tmp_path / "S0012.txt"
    rubric.write_text(TOML, encoding="utf-8")
    answers.write_text("lamp.tau: 6.6 ms\nlamp.end: 3 V\n", encoding="utf-8")
    return rubric, answers


def call(*words):
    return try_.run(build_parser().parse_args(["try", *map(str, words)]))


def test_feedback_says_what_was_read_and_how_it_stands(files, capsys):
    assert call(*files) == 0
    text = capsys.readouterr().out
    assert "✓ tau" in text
    assert "✗ end" in text
    assert "1 of 2 points" in text
    assert "12 V" not in text, "the reference answer must not be shown"


def test_a_blank_sheet_is_said_to_be_one(files, capsys):
    files[1].write_text("lamp.tau:\nlamp.end:\n", encoding="utf-8")
    assert call(*files) == 0
    assert "There is no answer in this file" in capsys.readouterr().out


def test_a_missing_file_is_one_sentence(files):
    with pytest.raises(UsageError, match="there is no such file"):
        call(files[0], files[1].with_name("nothing.txt"))


def test_saves_are_seen_in_place_and_by_renaming(tmp_path):
    """An editor may write the file anew, or write another one and rename it; between the two it may be missing."""
    file = tmp_path / "answers.txt"
    file.write_text("1")
    seen = watching.saves(file, pause=0.01)
    assert next(seen) == 0

    def write_in_place():
        file.write_text("22")

    def rename():
        file.unlink()
        time.sleep(0.05)
        (tmp_path / "draft").write_text("333")
        (tmp_path / "draft").replace(file)

    for count, save in enumerate((write_in_place, rename), start=1):
        thread = threading.Timer(0.05, save)
        thread.start()
        assert next(seen) == count
        thread.join()


@pytest.mark.skipif(sys.platform == "win32", reason="signals work otherwise there")
def test_watching_ends_quietly_with_control_c(files):
    import signal

    code = (
        "import signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler);"  # ignored where tests run in the background
        "from grader.cli import try_; from grader.cli.parser import build_parser; sys.exit(try_.run(build_parser().parse_args()))"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, "try", str(files[0]), str(files[1]), "--watch"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    ) as process:
        output = ""
        while "Ctrl-C ends." not in output:
            line = process.stdout.readline()
            assert line, process.stderr.read()
            output += line
        process.send_signal(signal.SIGINT)
        try:
            _, errors = process.communicate(timeout=30)
        finally:
            process.kill()
    assert process.returncode == 0
    assert errors == ""
    assert "1 of 2 points" in output
