"""Every file is accounted for exactly once, whatever is among the uploads and whoever finishes first."""

import random
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.jobs.pool import JobResult
from grader.jobs.worker import all_messages
from grader.run import work
from grader.run.collect import (
    COUNTED,
    NO_STUDENT,
    SUPERSEDED,
    UNDECIDED,
    UNREADABLE,
    CollectedUpload,
    Collector,
    UploadStatus,
    section_of,
)
from grader.run.rubric_key import RubricKey
from grader.run.storage.journal import Journal
from grader.run.work import FileJob, Job, ReadUpload, Rows, Task, make
from grader.uploads.files.source import Source, digest_of
from grader.uploads.roster import Roster
from grader.uploads.upload import Student, Upload, Written
from tests.run.stub import RUBRIC, build, mark

PAIRS = {("gate", "a"): 2.0, ("gate", "b"): 1.0, ("horn", "c"): 3.0}
ROSTER = Roster(students=tuple(Student(id=f"S000{number}") for number in range(4)))


class Inline:
    """Does the work at once and gives it back in any order."""

    def __init__(self, task: Task, seed: int) -> None:
        self._handle = make(task)
        self._chance = random.Random(seed)
        self._done: list[JobResult] = []

    def submit(self, job: Job) -> None:
        self._done.append(JobResult(job, tuple(all_messages(self._handle(job)))))

    @property
    def backlog(self) -> int:
        return len(self._done)

    @property
    def working(self) -> bool:
        return bool(self._done)

    def next(self) -> JobResult:
        return self._done.pop(self._chance.randrange(len(self._done)))


@pytest.fixture(scope="module")
def task(tmp_path_factory) -> Task:
    path = tmp_path_factory.mktemp("rubric") / "rubric.toml"
    path.write_text(RUBRIC)
    key = build(path)

    return Task(
        key=RubricKey(content=b"", digest="", points=PAIRS, personal=frozenset(), key=key),
        mark=mark,
        pairs=tuple(PAIRS),
        roster=ROSTER,
        assignments={},
    )  # type: ignore[arg-type]


TEXTS = st.sampled_from(
    [
        "gate.a: shut\n", "gate.a: open\ngate.b: open\n", "gate.x: 1\n", "hello\n", "", "id,gate.a\nS0001,shut\nS0009,open\n",
        "student: S0002\ngate.a: shut\n", "%PDF-1.7", "id;gate.a\nS0003;shut\nS0003;open\n",
    ]
)  # fmt: skip
NAMES = st.sampled_from(
    [
        "S0000.txt",
        "S0001_v2.csv",
        "a/S0001.txt",
        "S0002 (1).txt",
        "x.txt",
        "S0000_S0001.md",
        "S0003.xlsx",
        "b/y.zip/S0003.txt",
    ]
)
TIMES = st.sampled_from(["", "2025-01-01T00:00:00", "2025-01-02T00:00:00"])
FILES = st.dictionaries(
    NAMES, st.tuples(TEXTS, TIMES, st.sampled_from(["", "", "", "it cannot be opened"])), max_size=8
)


def collected(folder: Path, task: Task, files: dict[str, tuple[str, str, str]], seed: int) -> tuple[UploadStatus, ...]:
    (folder / "journal").unlink(missing_ok=True)
    found = [
        Source(
            file=name, digest=digest_of(text.encode()), modified=time, data=b"" if fault else text.encode(), fault=fault
        )
        for name, (text, time, fault) in files.items()
    ]
    collector = Collector(
        journal=Journal.open(folder / "journal"), workers=Inline(task, seed), basis=str, points=PAIRS, roster=ROSTER,
        assignments={}, progress=lambda _: None, queue=3,
    )  # fmt: skip
    return section_of(collector.collect(found)).fates


@settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(FILES, st.integers(0, 1000))
def test_every_file_once_and_in_any_order_the_same(tmp_path, task, files, seed):
    fates = collected(tmp_path, task, files, seed)
    whole = [fate.entry.file for fate in fates]
    assert len(whole) == len(set(whole))
    assert {name.partition(", ")[0] for name in whole} == set(files)
    for name in whole:
        assert name in files or files[name.partition(", ")[0]][0].startswith("id")
    assert [fate._replace(entry=None) for fate in fates] == [
        fate._replace(entry=None) for fate in collected(tmp_path, task, dict(reversed(files.items())), seed + 1)
    ]


@settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(FILES)
def test_one_upload_of_each_student_counts(tmp_path, task, files):
    fates = collected(tmp_path, task, files, 1)
    for student in {fate.student for fate in fates} - {""}:
        states = [fate.state for fate in fates if fate.student == student]
        assert states.count(COUNTED) == (any(state in (COUNTED, SUPERSEDED) for state in states))
    assert all((fate.state == NO_STUDENT) <= (fate.student == "") for fate in fates)
    assert all(bool(fate.entry.faults) for fate in fates if fate.state in (NO_STUDENT, UNREADABLE))


TABLE = "id,gate.a,horn.c\n" + "".join(f"S000{number % 5},shut,{'open' * (number % 2)}\n" for number in range(7))


class Broken(Inline):
    """Its worker ends when it has told a first part of a file."""

    def submit(self, job: Job) -> None:
        if isinstance(job, FileJob):
            self._done.append(JobResult(job, tuple(all_messages(self._handle(job)))[:1], "it took too long"))
        else:
            super().submit(job)


def of_table(folder: Path, task: Task, workers: type[Inline] = Inline) -> tuple[list[CollectedUpload], Journal]:
    (folder / "journal").unlink(missing_ok=True)
    source = Source(file="class.csv", digest="d", data=TABLE.encode(), table=True)
    collector = Collector(
        journal=Journal.open(folder / "journal"), workers=workers(task, 1), basis=str, points=PAIRS, roster=ROSTER,
        assignments={}, progress=lambda _: None, queue=3,
    )  # fmt: skip
    return collector.collect([source]), collector.journal


@pytest.mark.parametrize("rows", [1, 2, 7])
def test_a_wide_table_is_told_in_parts_and_counts_whole(tmp_path, task, monkeypatch, rows):
    whole = [(one.file, one.student, one.marked) for one in of_table(tmp_path, task)[0]]
    monkeypatch.setattr(work, "ROWS", rows)
    entries, journal = of_table(tmp_path, task)
    assert [(one.file, one.student, one.marked) for one in entries] == whole
    assert [one.student for one in entries].count(None) == 1  # S0004 is not on the roster
    assert len(entries) == 7
    assert {len(journal.complete(one.place.key)) for one in entries} == {7}


def test_a_wide_table_told_in_part_alone_is_not_taken_for_the_whole(tmp_path, task, monkeypatch):
    monkeypatch.setattr(work, "ROWS", 2)
    (entry,), journal = of_table(tmp_path, task, Broken)
    assert entry.failed
    assert "it took too long" in entry.faults[0]
    assert entry.place.key.endswith(UNDECIDED)
    assert not journal.complete(entry.place.key.removesuffix(UNDECIDED))


@pytest.mark.parametrize("text", ["5 µA", "5 V \ud800"])
def test_rows_of_a_wide_table_come_back_as_they_were_told(text):
    """Also with half characters, which no encoding holds."""
    answers = (Written(problem="valve", item="tau", text=text),)
    uploads = tuple(Upload(file="class.csv", digest="d", student=f"S{number}", answers=answers) for number in range(3))
    assert Rows.of(uploads).read == tuple(map(ReadUpload.of, uploads))
