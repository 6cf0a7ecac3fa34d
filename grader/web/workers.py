"""Worker processes of the server: what people send is read and marked there, never in the server itself.

The pool is that of `grader.jobs`, listened to by the event loop.  Long work (files, new values) never takes the last
worker, and what turns out to be slow goes on beside the others, so that a typed answer always finds one.
"""

import asyncio
import logging
import os
from collections.abc import Callable
from functools import partial
from typing import Any, Self

import anyio.from_thread

from grader.jobs import bounds
from grader.jobs.pool import CannotStart, JobResult, Pool, Waiting, Worker
from grader.jobs.worker import Handle

log = logging.getLogger("grader.web")

MIN_WORKERS, MAX_WORKERS = 2, 8
"""One may be busy with something long; more serve no class faster, and each takes some thirty megabytes."""

TOGETHER = 8
"""Jobs handed to a worker at once, where many wait: it need not wait for the server between them."""

SLOW_SECONDS = 0.25
"""What takes longer than this, a hundred times the usual, holds nobody else up."""

NO_WORKER_SECONDS = 60.0
"""A job that no worker has begun after this time comes back undone."""

LOOK_SECONDS = 0.005
"""Between two looks at the workers where pipes cannot be waited for together with sockets."""


class JobFailed(Exception):
    """A job was not done; ``why`` is the end of a sentence, ``result`` what there was until then."""

    def __init__(self, result: JobResult) -> None:
        super().__init__(result.failure)
        self.result, self.why = result, result.failure


class Workers:
    """A few processes; `done` gives them a job.

    Parameters
    ----------
    make : callable
        Called once in every worker with `arguments`; gives the function that handles a job.
    arguments : tuple
        Picklable.
    count : int
        How many; `MIN_WORKERS` to `MAX_WORKERS` work at a time, and a few stand by.
    seconds : float
        How long one job may take.

    Raises
    ------
    CannotStart
        If they do not start.
    """

    def __init__(
        self, make: Callable[..., Handle], arguments: tuple[Any, ...], count: int, seconds: float = bounds.SECONDS
    ) -> None:
        self._pool = Pool(
            make, arguments, min(MAX_WORKERS, max(MIN_WORKERS, count)), seconds,
            together=TOGETHER, slow_seconds=SLOW_SECONDS, background=self._in_background,
        )  # fmt: skip
        self._loop: asyncio.AbstractEventLoop | None = None
        self._heard: dict[int, Worker] = {}
        self._timer: asyncio.TimerHandle | None = None
        while not self._pool.is_ready:
            self._pool.turn()
            if self._pool.failing:  # each has its time; that all together take longer only means a busy machine
                self.close()
                raise CannotStart

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End all workers."""
        self._pool.close()

    async def done(self, job: Any, *, long: bool = False) -> Any:
        """The answer to a job: the last of its messages.

        Raises
        ------
        JobFailed
            If there is none.
        """
        loop = asyncio.get_running_loop()
        answer: asyncio.Future[JobResult] = loop.create_future()
        self._listen_in(loop)
        waiting = self._pool.submit(job, partial(_settle, answer), long=long)
        self._listen()
        giving_up = loop.call_later(NO_WORKER_SECONDS, self._give_up, waiting)
        try:
            result = await answer
        finally:
            giving_up.cancel()
        if result.failure:
            log.error("a worker process did not finish: %s", result.failure)
            raise JobFailed(result)
        return result.messages[-1]

    def do(self, job: Any) -> Any:
        """The answer to a long job, for whoever works in a thread of the server; raises as `done` does."""
        return anyio.from_thread.run(partial(self.done, job, long=True))

    def _give_up(self, waiting: Waiting) -> None:
        if self._pool.withdraw(waiting):
            waiting.answered(JobResult(waiting.job, (), "no process was free for it"))

    def _in_background(self, work: Callable[[], None]) -> object:
        return None if self._loop is None else self._loop.run_in_executor(None, work)

    def _listen_in(self, loop: asyncio.AbstractEventLoop) -> None:
        """Listen in this event loop from now on."""
        if loop is not self._loop:
            self._loop, self._heard, self._timer = loop, {}, None

    def _listen(self) -> None:
        """Have the event loop call when a worker says something, or when one must have."""
        loop = self._loop
        if loop is None:
            return
        if os.name != "nt":
            now = {worker.connection.fileno(): worker for worker in self._pool.workers}
            for place in [place for place, worker in self._heard.items() if now.get(place) is not worker]:
                loop.remove_reader(place)
                del self._heard[place]
            for place in now.keys() - self._heard.keys():
                loop.add_reader(place, self._hear, now[place])
                self._heard[place] = now[place]
        if self._timer is not None:
            self._timer.cancel()
        left = self._pool.seconds_left()
        if os.name == "nt" and self._pool.working:
            left = min(left, LOOK_SECONDS)
        self._timer = None if left == float("inf") else loop.call_later(left, self._look)

    def _hear(self, worker: Worker) -> None:
        if worker in self._pool.workers:
            self._pool.hear(worker)
        self._listen()

    def _look(self) -> None:
        self._timer = None
        if os.name == "nt":
            self._pool.turn(0)
        else:
            self._pool.check()
        self._listen()


def _settle(answer: asyncio.Future[JobResult], result: JobResult) -> None:
    if not answer.done():
        answer.set_result(result)
