"""Workers that hang, die, fail and fill memory; the jobs of the others all come back."""

import os
import time
from collections.abc import Callable, Generator
from pathlib import Path

import pytest

from grader.errors import GraderError
from grader.jobs import bounds
from grader.jobs.pool import JobResult, Pool


def make(word: str) -> Callable[[str], Generator[str, None, str]]:
    kept: list[bytearray] = []

    def handle(job: str) -> Generator[str, None, str]:
        if job == "die":
            os._exit(3)
        if job == "hang":
            time.sleep(3600)
        if job == "eat":
            bytearray(bounds.MEMORY_BYTES * 2)
        if job == "fail":
            raise KeyError("a secret")
        if job == "half":
            yield "first"
            time.sleep(3600)
        if job == "slow":
            for part in range(4):
                time.sleep(0.4)
                yield str(part)
        if job == "keep":
            kept.append(bytearray(bounds.RECYCLE_BYTES))
        if job == "noisy":
            print("to the terminal")
            os.write(2, b"to the terminal")
        if job == "who":
            yield str(os.getpid())
        return word + job

    return handle


def impatient(word: str) -> Callable[[str], Generator[str, None, str]]:
    """A worker whose own clock gives a message no more time than the pool does."""
    bounds.GRACE_SECONDS = 0.0
    return make(word)


def broken() -> None:
    raise RuntimeError("no start")


def all_done(pool: Pool, *jobs: str) -> dict[str, JobResult]:
    for job in jobs:
        pool.submit(job)
    found = {}
    while pool.working:
        done = pool.next()
        found[done.job] = done
    return found


def test_every_job_comes_back_once_with_what_happened(capfd):
    with Pool(make, ("x",), 2, seconds=1.0) as pool:
        jobs = ("1", "die", "2", "hang", "3", "eat", "4", "fail", "half", "slow", "noisy", "5")
        done = all_done(pool, *jobs)
    assert set(done) == set(jobs)
    assert all(done[job] == JobResult(job, (f"x{job}",)) for job in ("1", "2", "3", "4", "5", "noisy"))
    assert "longer than 1 seconds" in done["hang"].failure
    assert "stopped" in done["die"].failure
    assert "memory" in done["eat"].failure
    assert "KeyError, test_pool.py line" in done["fail"].failure
    assert "secret" not in done["fail"].failure
    assert (done["half"].messages, bool(done["half"].failure)) == (("first",), True)
    assert done["slow"] == JobResult("slow", ("0", "1", "2", "3", "xslow"))
    assert capfd.readouterr() == ("", "")


def test_each_message_starts_the_time_of_a_job_anew_in_its_worker_too():
    with Pool(impatient, ("x",), 1, seconds=1.0) as pool:
        assert all_done(pool, "slow")["slow"] == JobResult("slow", ("0", "1", "2", "3", "xslow"))


def test_a_worker_that_keeps_memory_is_replaced():
    if not bounds.memory_in_use():
        pytest.skip("needs a system that tells how much memory is in use")
    with Pool(make, ("",), 1) as pool:
        before = all_done(pool, "who")["who"].messages[0]
        all_done(pool, "keep")
        assert all_done(pool, "who")["who"].messages[0] != before
        after = all_done(pool, "who")["who"].messages[0]
        assert all_done(pool, "1", "who")["who"].messages[0] == after


def test_workers_that_cannot_start_end_in_a_sentence():
    with Pool(broken, (), 1) as pool, pytest.raises(GraderError, match="No worker process can be started"):
        all_done(pool, "1")


def test_no_worker_is_left_behind():
    with Pool(make, ("",), 2, seconds=60.0) as pool:
        pids = {int(all_done(pool, "who")["who"].messages[0])}
        pool.submit("hang")
    deadline = time.monotonic() + 10
    while any(Path(f"/proc/{pid}").exists() for pid in pids) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(Path(f"/proc/{pid}").exists() for pid in pids)
