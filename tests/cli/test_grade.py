"""``grader grade`` as an instructor meets it.  Section, answers and rubric are invented (the Harbour Lock works)."""

import contextlib
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from grader.cli.main import main
from grader.run import grade as grade_module
from tests.run.inline import Inline
from tests.run.test_faults import Disk

RUBRIC = """
title = "Lock signals"
course = "EE 118"
[[problem]]
id = "gate"
title = "Gate relay"
text = "The relay of the lower gate."
item = [
  {id = "a", find = "choice", options = ["open", "shut"], key = "shut", points = 2},
  {id = "b", find = "stated value", key = "2.5 mA", points = 3},
]
"""


@pytest.fixture
def section(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "in").mkdir()
    (tmp_path / "rubric.toml").write_text(RUBRIC)
    (tmp_path / "roster.csv").write_text("id,name\nS0001,Ada Quay\nS0002,Ben Weir\nS0003,Cai Sluice\n")
    (tmp_path / "in" / "hw_S0001.txt").write_text("gate.a: shut\ngate.b: 2.5 mA\n")
    (tmp_path / "in" / "hw_S0002.txt").write_text("gate.a: open\ngate.b: 2.5 mA\n")
    return tmp_path


CALL = ["grade", "rubric.toml", "in", "-o", "out", "--roster", "roster.csv", "--workers", "1"]


def test_the_words_at_the_end(section, capsys):
    assert main(CALL) == 0
    said = capsys.readouterr()
    assert said.err == ""
    summary, _, files = said.out.partition("Written to out:\n")
    assert summary.splitlines() == [
        "2 students marked, mean 80.0% of the points.",
        "1 student of the roster handed in nothing that could be marked.",
        "Uploads: 2 counted.",
        "Lowest items: gate.a 50%, gate.b 100%.",
        "Waiting for a person: nothing.",
    ]
    named = [name for line in files.splitlines() for name in line[:34].replace(",", "").split()]
    assert set(named) == {p.name for p in (section / "out").iterdir() if not p.name.startswith(".")}
    assert (section / "out" / "feedback" / "S0001.html").exists()


def test_what_nobody_has_marked_yet_stands_in_no_figure(section, capsys):
    why = '  {id = "c", find = "explanation", text = "Why?", points = 5},\n]'
    (section / "rubric.toml").write_text(RUBRIC.rstrip().removesuffix("]") + why)
    for student in ("S0001", "S0002"):
        with (section / "in" / f"hw_{student}.txt").open("a") as file:
            file.write("gate.c: because the coil holds its current\n")
    assert main(CALL) == 0
    said = capsys.readouterr().out
    assert "2 students marked, mean 80.0% of the points." in said
    assert (
        "Lowest items: gate.a 50%, gate.b 100%.\n2 answers that nobody has marked yet are left out of these figures."
        in said
    )


def test_the_worked_solution_stands_beside_what_the_student_wrote(section):
    assert main(CALL) == 0
    assert not (section / "out" / "feedback" / "S0002.solution.html").exists()
    assert main([*CALL, "--solutions"]) == 0
    page = (section / "out" / "feedback" / "S0002.solution.html").read_text(encoding="utf-8")
    row = page[page.index('<span class="id">a</span>') : page.index('<span class="id">b</span>')]
    assert row.index(">shut</td>") < row.index('aria-label="Not yet"') < row.index(">open</bdi>")
    assert main(CALL) == 0
    assert not (section / "out" / "feedback" / "S0002.solution.html").exists()


def test_strict_and_the_review_list(section, capsys):
    (section / "in" / "Ben Weir.pdf").write_bytes(b"%PDF-1.7")
    assert main(CALL) == 0
    first = capsys.readouterr().out
    assert main([*CALL, "--strict"]) == 1
    second = capsys.readouterr().out
    assert "an earlier run" not in first
    assert "3 uploads are as an earlier run read them; not marked again." in second
    for said in (first, second):
        assert "Waiting for a person: 1 row to look at in out/review.csv." in said
        assert "Quay" not in said
        assert "Weir" not in said


def test_a_second_run_says_what_changed(section, capsys):
    main(CALL)
    (section / "in" / "hw_S0002.txt").write_text("gate.a: shut\ngate.b: 2.5 mA\n")
    capsys.readouterr()
    main(CALL)
    said = capsys.readouterr().out
    assert "1 upload is as an earlier run read it; not marked again." in said
    assert "Since the run before: 1 mark changed, of 1 student; see out/changes.csv." in said


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (["grade", "none.toml", "in", "-o", "out"], "none.toml: the rubric cannot be read"),
        (["grade", "rubric.toml", "none", "-o", "out"], "none: there is no such folder, zip or file"),
        (
            ["grade", "rubric.toml", "empty", "-o", "out"],
            "empty: there is nothing in it; put the section's uploads there",
        ),
        (["grade", "rubric.toml", "in", "-o", "in"], "cannot go into the folder of the uploads"),
        ([*CALL[:-1], "0"], "At least one worker is needed"),
        ([*CALL, "--decisions", "none.csv"], "none.csv: the decisions cannot be read: there is no such file"),
        (["grade", "rubric.toml", "in", "-o", "x" * 300], "x: File name too long; name another file or folder."),
        (["grade", "rubric.toml", "loop", "-o", "out"], "loop: Too many levels of symbolic links; name another"),
        (["grade", "rubric.toml", "in", "-o", "loop"], "loop: Too many levels of symbolic links; name another"),
        ([*CALL, "--roster", "loop"], "loop: Too many levels of symbolic links; name another"),
        (["audit", "loop"], "loop: Too many levels of symbolic links; name another"),
    ],
)
def test_a_call_that_is_wrong_ends_with_2_and_a_sentence(section, capsys, call, said):
    (section / "loop").symlink_to("loop")
    (section / "empty").mkdir()
    assert main(call) == 2
    error = capsys.readouterr().err
    assert said in error
    assert "Traceback" not in error
    assert not (section / "out" / "marks.jsonl").exists()


def test_a_rubric_with_faults_ends_with_2_and_all_of_them(section, capsys):
    (section / "rubric.toml").write_text(RUBRIC.replace("points = 2", "points = -2").replace('"choice"', '"choise"'))
    assert main(CALL) == 2
    assert "rubric.toml" in capsys.readouterr().err


def test_a_warm_start_needs_no_algebra_library(section):
    main(CALL)
    code = (
        "import sys\nfrom grader.cli.main import main\n"
        f"if __name__ == '__main__':\n    main({CALL!r})\n    print(sorted({{'sympy'}} & set(sys.modules)))"
    )
    (section / "start.py").write_text(code)
    done = subprocess.run([sys.executable, "start.py"], cwd=section, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
    assert done.stderr == ""


def test_points_into_the_instructors_own_table(section, capsys):
    """Totals and an item's points in a copy beside the results; a heading that is not there is told before anything is marked."""
    table = "id;name;Week 3;b\nS0002;Ben;;\nS0001;Ada;;\nS0003;Cai;;\n"
    (section / "term.csv").write_text(table)
    assert main([*CALL, "--into", "term.csv", "--column", "Week 3", "--column", "b=gate.b"]) == 0
    said = capsys.readouterr().out
    assert (section / "out" / "filled_term.csv").read_text() == table.replace("Ben;;", "Ben;3;3").replace(
        "Ada;;", "Ada;5;3"
    )
    assert (section / "term.csv").read_text() == table
    assert "4 cells filled" in said
    assert "Not filled, handed nothing in that was marked: row 4." in said
    (section / "thirds.csv").write_text("student,problem,item,decision,reason\nS0002,gate,b,1.3333,a third\n")
    assert main([*CALL, "--into", "term.csv", "--column", "b=gate.b", "--decisions", "thirds.csv"]) == 0
    assert "S0002;Ben;;1.33\n" in (section / "out" / "filled_term.csv").read_text()
    main([*CALL, "--into", "term.csv", "--column", "b=gate.b"])
    (section / "week4.csv").write_text(table)
    assert main([*CALL, "--into", "week4.csv", "--column", "Week 3"]) == 0
    assert "filled_term.csv: of an earlier run" in capsys.readouterr().out
    assert main([*CALL[:4], "other", "--into", "term.csv", "--column", "Week 4"]) == 2
    assert "'id', 'name', 'Week 3', 'b'" in capsys.readouterr().err
    assert not (section / "other").exists()
    assert main([*CALL, "--into", "term.csv"]) == 2
    assert main([*CALL, "--into", "term.csv", "--column", "b=gate.x"]) == 2
    assert "the rubric has no item 'gate.x'" in capsys.readouterr().err


class Killed(BaseException):
    """Ends a call where it stands, as a kill does."""


def test_killed_at_any_moment_the_instructors_table_is_as_it_was_and_the_next_copy_whole(section, monkeypatch, capsys):
    (section / "term.csv").write_text("id,Week 3\nS0002,\nS0001,\n")
    out, own = section / "out", section / "term.csv"
    rubric, uploads, roster = (str(section / name) for name in ("rubric.toml", "in", "roster.csv"))
    words = ["grade", rubric, uploads, "-o", str(out), "--roster", roster, "--into", str(own), "--column", "Week 3"]
    monkeypatch.setattr(grade_module, "Pool", Inline)
    assert main(words) == 0
    whole, number, disk = (out / "filled_term.csv").read_bytes(), 0, None
    while disk is None or disk.failed:
        shutil.rmtree(out)
        with monkeypatch.context() as patched:
            disk = Disk(patched, section, number, Killed())
            with contextlib.suppress(Killed):
                assert main(words) == 0
        assert own.read_text() == "id,Week 3\nS0002,\nS0001,\n"
        assert not (out / "filled_term.csv").exists() or (out / "filled_term.csv").read_bytes() == whole
        assert main(words) == 0
        assert (out / "filled_term.csv").read_bytes() == whole
        number += 7
    capsys.readouterr()
    assert number > 50


def test_the_bars_never_say_more_done_than_there_is(tmp_path, monkeypatch):
    """A file may hold several uploads; what is known from the start is kept."""
    from rich.progress import Progress

    from grader.cli.grade import _progress

    seen = []
    own = Progress.update

    def update(bar, task, **how):
        seen.append((bar.tasks[task].description, how["completed"], how["total"]))
        own(bar, task, **how)

    monkeypatch.setattr(Progress, "update", update)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    for name in "ab":
        (tmp_path / name).write_text("x")
    with _progress(tmp_path) as progress:
        progress("uploads", 1, None)
        progress("uploads", 3, None)
        progress("feedback", 1, 3)
    assert seen == [("uploads", 1, 2), ("uploads", 3, 3), ("feedback", 1, 3)]


def test_lines_are_folded_to_the_terminal(monkeypatch):
    from grader.cli.lines import fitted

    monkeypatch.setenv("COLUMNS", "30")
    lines = [*fitted(["  1. The circuit before the switching, at rest", "", "    short"])]
    assert lines == ["  1. The circuit before the", "    switching, at rest", "", "    short"]
