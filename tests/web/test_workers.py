"""Workers are bounded from outside: one that overruns or dies is replaced, and nobody else notices."""

import asyncio
import re

import pytest

from grader.jobs.pool import CannotStart
from grader.web import workers as workers_module
from grader.web.workers import JobFailed, Workers
from tests.web.hostile import make, never_ready


@pytest.fixture(scope="module")
def workers():
    with Workers(make, (), 2, seconds=1.5) as opened:
        yield opened


async def all_of(workers, *jobs, long=False):
    return await asyncio.gather(*(workers.done(job, long=long) for job in jobs), return_exceptions=True)


def words(answers):
    return [re.sub(r"line \d+", "line N", str(one)) if isinstance(one, JobFailed) else one[1] for one in answers]


def test_every_job_is_answered_with_its_own_answer(workers):
    jobs = [f"job {k}" for k in range(100)]
    answers = asyncio.run(all_of(workers, *jobs))
    assert words(answers) == jobs
    assert len({process for process, _ in answers}) >= 2


@pytest.mark.parametrize(
    "bad, why",
    [
        ("hang", "it took longer than 1.5 seconds"),
        ("die", "the process that worked on it stopped, most likely for want of memory"),
        ("hoard", "it needed more than 1024 MiB of memory"),
        ("fail", "a fault of this program stopped it (RuntimeError, hostile.py line N); please report it"),
    ],
)
def test_a_job_that_goes_wrong_alone_is_undone_and_the_others_are_done(workers, bad, why):
    jobs = [f"job {k}" for k in range(20)]
    answers = words(asyncio.run(all_of(workers, *jobs[:10], bad, *jobs[10:])))
    assert answers == [*jobs[:10], why, *jobs[10:]]
    assert words(asyncio.run(all_of(workers, "again"))) == ["again"]


def test_long_jobs_leave_one_worker_to_the_short_ones(workers):
    async def both():
        long = asyncio.gather(*(workers.done("hang", long=True) for _ in range(2)), return_exceptions=True)
        await asyncio.sleep(0.1)
        short = await workers.done("short")
        meanwhile = not long.done()
        return short[1], meanwhile, words(await long)

    short, meanwhile, long = asyncio.run(both())
    assert short == "short"
    assert meanwhile  # neither of the long ones had come to its end
    assert long == ["it took longer than 1.5 seconds"] * 2


def test_beside_work_that_hangs_the_same_few_workers_do_all_that_is_asked():
    """Two hang, for each another one is started: these and the spare one stay, and no job waits for a process to start."""

    async def beside(workers):
        hanging = asyncio.gather(*(workers.done("hang") for _ in range(2)), return_exceptions=True)
        found = [(await workers.done(f"job {k}"))[0] for k in range(20)]
        meanwhile = not hanging.done()
        await hanging
        return found, meanwhile

    with Workers(make, (), 2, seconds=15) as workers:
        processes, meanwhile = asyncio.run(beside(workers))
    assert meanwhile
    assert len(set(processes)) <= 3


def test_what_nobody_can_begin_comes_back(workers, monkeypatch):
    async def crowd():
        await workers.done("first")
        while not workers._pool.is_ready:  # noqa: ASYNC110 - nothing tells
            await asyncio.sleep(0.01)
        monkeypatch.setattr(workers_module, "NO_WORKER_SECONDS", 0.1)
        busy = asyncio.gather(*(workers.done("sleep") for _ in range(2)))
        await asyncio.sleep(0.01)
        late = await all_of(workers, "late")
        return words(await busy), words(late)

    assert asyncio.run(crowd()) == (["sleep", "sleep"], ["no process was free for it"])


def test_who_gives_up_waiting_takes_nobody_with_them(workers):
    async def given_up():
        gone = asyncio.create_task(workers.done("sleep"))
        await asyncio.sleep(0.05)
        gone.cancel()
        return words(await all_of(workers, "one", "two"))

    assert asyncio.run(given_up()) == ["one", "two"]


def test_workers_that_died_under_one_event_loop_are_there_under_the_next(workers):
    for _ in range(3):
        assert isinstance(asyncio.run(all_of(workers, "die"))[0], JobFailed)
    assert words(asyncio.run(all_of(workers, "one", "two"))) == ["one", "two"]


def test_workers_that_cannot_start_are_one_sentence():
    with pytest.raises(CannotStart, match="No worker process can be started"):
        Workers(never_ready, (), 2)
