"""Files that the program itself keeps, damaged or forged: nothing outside the results is touched, and the run goes on."""

import hashlib
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from grader.errors import GraderError, OutputError, UsageError
from grader.run import grade as grade_module
from grader.run.storage import moving
from grader.run.storage.folder import StagedResults
from grader.run.storage.moving import OWN
from tests.common.odd_files import bounded, put
from tests.run.inline import Inline
from tests.run.section import contents, make_section, run, table

FORGED = ("../victim", "feedback/../../victim", "{above}/victim", "", ".", "..", "a\0b", "feedback", "x" * 5000)


@pytest.fixture
def section(tmp_path, monkeypatch):
    """A section graded once, and a file beside its results that is none of a run's business."""
    monkeypatch.setattr(grade_module, "Pool", Inline)
    folder = make_section(tmp_path, 3)
    run(folder)
    (folder / "victim").write_text("mine")
    return folder


def forged(folder):
    return [name.format(above=folder) for name in FORGED]


def test_a_forged_list_of_what_is_to_be_moved(section):
    results = section / "results"
    new = results / OWN / "new"
    (new / "results").mkdir(parents=True)
    (section / "results" / OWN / "new" / "victim").write_text("theirs")
    before = contents(results)
    for listed in ({"new": forged(section), "stale": []}, {"new": [], "stale": [*forged(section), 7, None, [1]]}):
        new.mkdir(exist_ok=True)
        (new / "moving.json").write_text(json.dumps(listed))
        run(section)
        assert (section / "victim").read_text() == "mine"
        assert contents(results) == before


@pytest.mark.parametrize(
    "content", [b"", b"{", b'{"new": 3}', b"[]", b'{"new": null, "stale": 1}', b"\xff\xfe", b"[" * 10**5]
)
def test_a_damaged_list_of_what_is_to_be_moved(section, content):
    before = contents(section / "results")
    new = section / "results" / OWN / "new"
    new.mkdir()
    (new / "moving.json").write_bytes(content)
    run(section)
    assert contents(section / "results") == before


def test_a_forged_record_of_the_run_before(section):
    """It names results that are none; the journal and the folder of others stay."""
    before = contents(section / "results")
    place = section / "results" / "run.json"
    record = json.loads(place.read_text(encoding="utf-8"))
    record["outputs"] = dict.fromkeys([*forged(section), f"{OWN}/journal.jsonl", f"{OWN}/lock"], "")
    place.write_text(json.dumps(record))
    assert run(section).reused == 3
    assert (section / "victim").read_text() == "mine"
    assert contents(section / "results") == before


def test_no_name_leads_out_by_a_link(section):
    """The results' own folder of feedback is a link to elsewhere: what is there is not removed."""
    elsewhere = section / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "S0009.html").write_text("mine")
    results = section / "new results"
    results.mkdir()
    (results / "feedback").symlink_to(elsewhere)
    stage = StagedResults(results)
    stage.write("marks.jsonl", "")
    stage.publish(("feedback/S0009.html",))
    assert (elsewhere / "S0009.html").read_text() == "mine"


@pytest.mark.parametrize("name", ["marks.jsonl", "run.json", "changes.csv"])
def test_results_of_the_run_before_that_are_damaged_are_written_anew(section, name):
    before = contents(section / "results")
    chance = random.Random(name)
    place = section / "results" / name
    whole = place.read_bytes() if place.exists() else b"student"
    for content in (b"", whole[: len(whole) // 2], b'{"student": "S0001"}\n', chance.randbytes(50), b"[" * 10**5):
        place.write_bytes(content)
        (section / "uploads" / "hw_S0002.txt").touch()
        run(section)
        now = contents(section / "results")
        now.pop("changes.csv", None)
        assert {**now, "run.json": ""} == {**before, "run.json": ""}


PLACES = (
    "run.json", "marks.jsonl", "explained.jsonl", "gradebook.csv", "gradebook.xlsx", "audit.html", "review.csv", "feedback/S0001.html",
    f"{OWN}/journal.jsonl", f"{OWN}/journal.new", f"{OWN}/lock",
)  # fmt: skip


@pytest.mark.parametrize("name", PLACES)
def test_a_folder_where_a_file_of_a_run_should_be_is_named_and_kept(section, name):
    """The other results are as they were, or all new: here nothing changed, so both are the same."""
    results = section / "results"
    before = contents(results)
    place = results / name
    place.unlink(missing_ok=True)
    place.mkdir()
    (place / "mine").write_text("kept")
    with pytest.raises(GraderError, match=rf"{re.escape(name)}: [^\n]*\Z"):
        run(section)
    assert (place / "mine").read_text() == "kept"
    now = contents(results) if name != "run.json" else {}
    assert {one: now[one] for one in now if not one.startswith(name)} == {
        one: before[one] for one in now if one in before and one != name
    }
    shutil.rmtree(place)
    run(section)
    assert contents(results) == before


def test_a_file_where_the_folder_of_feedback_should_be(section):
    before = contents(section / "results")
    shutil.rmtree(section / "results" / "feedback")
    (section / "results" / "feedback").write_text("mine")
    with pytest.raises(OutputError, match=r"results/feedback: this result cannot be replaced"):
        run(section)
    assert (section / "results" / "feedback").read_text() == "mine"
    (section / "results" / "feedback").unlink()
    run(section)
    assert contents(section / "results") == before


@pytest.mark.parametrize("at", range(0, 12, 3))
def test_one_result_that_cannot_be_replaced_leaves_all_of_the_run_before(section, monkeypatch, at):
    """The class changed, so that every result is another one; whichever refuses, all old ones are back, and no new one."""
    results = section / "results"
    before = contents(results)
    (section / "uploads" / "hw_S0000.txt").unlink()
    (section / "uploads" / "hw_S0001.txt").write_text("gate.a: shut\n")
    (section / "uploads" / "hw_S0002.txt").write_text("gate.a: open\n")
    honest, left = Path.replace, [at]

    def replace(path, target):
        if OWN in path.parts and OWN not in Path(target).parts and not left[0]:
            raise PermissionError(13, "Permission denied", str(path), None, str(target))
        left[0] -= OWN in path.parts and OWN not in Path(target).parts
        return honest(path, target)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", replace)
        patched.setattr(moving._Move, "undo", _undone_with(moving._Move.undo, patched, honest))
        with pytest.raises(OutputError, match=r"cannot be replaced \(Permission denied\).*as they were"):
            run(section)
    assert contents(results) == before
    run(section)
    assert "hw_S0000.txt" not in (results / "run.json").read_text()
    assert not (results / "feedback" / "S0000.html").exists()


def _undone_with(undo, patched, honest):
    """Putting back works: what was refused was refused once."""

    def undone(move):
        patched.setattr(Path, "replace", honest)
        return undo(move)

    return undone


def test_the_record_of_the_run_moves_in_last_and_tells_what_is_settled(section, monkeypatch):
    """Once it is the new one, every file has the SHA-256 that it says."""
    results = section / "results"
    (section / "uploads" / "hw_S0001.txt").write_text("gate.a: shut\n")
    honest, settled = Path.replace, []

    def replace(path, target):
        moved = honest(path, target)
        if OWN not in Path(target).parts:
            record = (
                json.loads((results / "run.json").read_bytes())
                if (results / "run.json").exists()
                else {"outputs": {"": ""}}
            )
            digests = {one: hashlib.sha256(data).hexdigest() for one, data in contents_as_they_are(results).items()}
            settled.append(record["outputs"].items() <= digests.items())
        return moved

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", replace)
        run(section)
    assert settled[-1]
    assert not any(settled[:-1])


def contents_as_they_are(results):
    files = (path for path in results.rglob("*") if path.is_file() and OWN not in path.parts)
    return {path.relative_to(results).as_posix(): path.read_bytes() for path in files}


@pytest.mark.parametrize("name", ["journal.jsonl", "journal.new"])
def test_the_journal_is_written_through_no_link(section, name):
    before = contents(section / "results")
    place = section / "results" / OWN / name
    place.unlink(missing_ok=True)
    place.symlink_to(section / "victim")
    run(section)
    assert (section / "victim").read_text() == "mine"
    assert contents(section / "results") == before


def test_what_a_run_keeps_lies_in_no_folder_elsewhere(section):
    (section / "elsewhere").mkdir()
    shutil.rmtree(section / "results" / OWN)
    (section / "results" / OWN).symlink_to(section / "elsewhere")
    with pytest.raises(OutputError, match="is a link to elsewhere"):
        run(section)
    assert not [*(section / "elsewhere").iterdir()]


def test_more_workers_than_a_machine_can_use_are_refused(section):
    with pytest.raises(UsageError, match=r"9999999 workers are more than .* give --workers \d+ or fewer"):
        run(section, workers=9_999_999)


def journal_damaged(section, moments):
    results = section / "results"
    before = contents(results)
    journal = results / OWN / "journal.jsonl"
    whole = journal.read_bytes()
    chance = random.Random(5)
    for _ in range(moments):
        damaged = bytearray(whole)
        place = chance.randrange(len(damaged))
        damaged[place] ^= chance.randrange(1, 256)
        journal.write_bytes(damaged)
        summary = run(section)
        assert summary.reused == whole[:place].count(b"\n")
        assert contents(results) == before


def test_a_journal_damaged_at_any_byte_costs_work_and_nothing_else(section):
    journal_damaged(section, 4)


@pytest.mark.nightly
def test_a_journal_damaged_at_many_bytes(section):
    journal_damaged(section, 100)


def test_what_changed_by_a_decision_stays_told_by_a_run_without_it(section):
    """The decision lives on in the review list, so the inputs are the same and so is the table of changes."""
    (section / "decisions.csv").write_text("student,problem,item,decision,reason\nS0001,gate,a,1.5,agreed\n")
    run(section, decisions=section / "decisions.csv")
    told = table(section / "results" / "changes.csv")
    assert [(row["student"], row["item"], row["after"]) for row in told] == [("S0001", "a", "1.5")]
    assert run(section).changed is None
    assert table(section / "results" / "changes.csv") == told


@pytest.mark.parametrize("seconds", [0.05, 0.4])
def test_stopped_early_by_the_keyboard_it_says_one_sentence(tmp_path, seconds):
    """Whenever it comes after the program's own first line; before that Python itself answers."""
    folder = make_section(tmp_path, 30)
    code = (
        "import sys; from grader.cli.main import main; print('ready', flush=True)\n"
        "if __name__ == '__main__':\n sys.exit(main())"
    )
    (folder / "start.py").write_text(code)
    words = ("grade", folder / "rubric.toml", folder / "uploads", "-o", folder / "results", "--workers", "2")
    process = subprocess.Popen(
        [sys.executable, str(folder / "start.py"), *map(str, words)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, process_group=0,
    )  # fmt: skip
    process.stdout.readline()
    time.sleep(seconds)
    try:
        os.killpg(process.pid, signal.SIGINT)  # as the terminal does: to the whole group
        _, told = process.communicate(timeout=100)
    finally:
        process.kill()
    assert "Traceback" not in told
    assert process.returncode in {0, 2}
    assert told in {"", "Stopped; what was finished is kept.\n"}


def with_a_list(section, name):
    """A folder elsewhere with one file, and a list that says that a result of this name is to be moved in."""
    elsewhere, new = section / "elsewhere", section / "results" / OWN / "new"
    elsewhere.mkdir()
    (elsewhere / Path(name).name).write_text("mine")
    (new / "results").mkdir(parents=True)
    (new / "moving.json").write_text(json.dumps({"new": [name], "stale": []}))
    return elsewhere, new


@pytest.mark.parametrize("link", ["results", "results/feedback", "moving.old", "moving.old/feedback"])
def test_what_waits_to_be_moved_lies_in_no_folder_elsewhere(section, link):
    before = contents(section / "results")
    name = "feedback/S0001.html" if link.endswith("feedback") else "gradebook.csv"
    elsewhere, new = with_a_list(section, name)
    if link == "results":
        (new / link).rmdir()
    elif link.startswith("moving.old"):
        (new / "results" / name).parent.mkdir(exist_ok=True)
        (new / "results" / name).write_bytes(before[name])
        (new / link).parent.mkdir(exist_ok=True)
    (new / link).symlink_to(elsewhere)
    run(section)
    assert [path.read_text() for path in elsewhere.iterdir()] == ["mine"]
    assert contents(section / "results") == before


def test_a_journal_that_is_another_file_too_is_begun_anew(section):
    """As a copy of the folder by hard links has it: what was copied stays as it was."""
    before = contents(section / "results")
    journal, copy = section / "results" / OWN / "journal.jsonl", section / "copy"
    os.link(journal, copy)
    whole = copy.read_bytes()
    (section / "uploads" / "hw_S0001.txt").write_text("gate.a: shut\n")
    run(section)
    assert copy.read_bytes() == whole
    journal.unlink()
    os.link(section / "victim", journal)
    (section / "uploads" / "hw_S0001.txt").unlink()
    run(section)
    assert (section / "victim").read_text() == "mine"
    assert contents(section / "results") != before


GIVEN = {
    "rubric": "rubric.toml",
    "roster": "roster.csv",
    "decisions": "decisions.csv",
    "table": "table.csv",
    "uploads": "all.csv",
}


@pytest.mark.parametrize("what", ["a pipe", "a device", "a socket", "3 GB of nothing"])
@pytest.mark.parametrize("option", GIVEN)
def test_a_file_named_that_is_none_is_said_to_be(section, option, what):
    put(what, section / GIVEN[option])
    with bounded():
        if option in {"uploads", "table"} and what == "3 GB of nothing":  # it goes on the review list
            run(section, **{option: section / GIVEN[option]})
            assert "larger than" in (section / "results" / "review.csv").read_text()
            return
        with pytest.raises(GraderError, match=GIVEN[option]) as told:
            run(section, **{option: section / GIVEN[option]})
    assert "\n" not in str(told.value)
    assert re.search(r"ordinary file|larger than|No such device|no such (folder, zip or )?file", str(told.value))


NAMED = {f"{OWN}/lock", "run.json", "marks.jsonl", "changes.csv", "review.csv"}
"""Where it is not for the run to take away what stands there; the others are a run's own and are begun anew."""


@pytest.mark.parametrize("what", ["a pipe", "a device", "3 GB of nothing"])
@pytest.mark.parametrize(
    "name",
    [*sorted(NAMED), *(f"{OWN}/{name}" for name in ("journal.jsonl", "journal.new", "issued.csv", "new/moving.json"))],
)
def test_what_is_no_file_of_a_run_holds_it_up_nowhere(section, name, what):
    before = contents(section / "results")
    put(what, section / "results" / name)
    said = ""
    with bounded():
        try:
            run(section)
        except GraderError as fault:
            said = str(fault)
    assert "\n" not in said
    if what == "3 GB of nothing" and name != "review.csv":  # it counts as damaged, or is too large for what it is
        assert said == "" or re.search(rf"{name}: .*larger than", said)
    else:
        assert (said != "") == (name in NAMED)
        assert name in said or not said
    if said:
        (section / "results" / name).unlink()
        run(section)
    now = contents(section / "results")
    now.pop("changes.csv", None)
    assert {**now, "run.json": ""} == {**before, "run.json": ""}
