"""Worker processes of the server: what people send is read and marked there, never in the server itself.

A worker that takes too long over something, runs out of memory or dies is replaced; what it worked on comes back as
`JobFailed` with the reason, and what it had not begun goes to another one.  Long work (files, new values) never takes the
last worker, so that a typed answer always finds one.
"""

from __future__ import annotations

import asyncio
import logging
import multiprocessing
import os
from collections import deque
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple, Self

import anyio
import anyio.from_thread
import anyio.to_thread

from grader.jobs import bounds
from grader.run.pool import DIED, LAST, MESSAGE, READY, CannotStart, Handle, Worker, start_method

log = logging.getLogger("grader.web")

FEWEST, MOST = 2, 8
"""One may be busy with something long; more serve no class faster, and each takes some thirty megabytes."""

TOGETHER = 8
"""Jobs handed to a worker at once, where many wait: it need not wait for the server between them."""

NO_WORKER_SECONDS = 60.0
"""A job that no worker has begun after this time comes back undone."""

AGAIN_SECONDS = 1.0
"""Between two tries to start a worker."""


class JobFailed(Exception):
    """A job was not done; ``why`` is the end of a sentence."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class _Waiting(NamedTuple):
    """A job and who waits for it."""

    job: Any
    answer: asyncio.Future[Any]


class Workers:
    """A few processes; `done` gives them a job.

    Parameters
    ----------
    make : callable
        Called once in every worker with `arguments`; gives the function that handles a tuple of jobs, one message each.
    arguments : tuple
        Picklable.
    count : int
        How many; `FEWEST` to `MOST` are started.
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
        self._context = multiprocessing.get_context(start_method())
        self._make, self._arguments, self._seconds = make, arguments, seconds
        self._count = min(MOST, max(FEWEST, count))
        self._short: deque[_Waiting] = deque()
        self._long: deque[_Waiting] = deque()
        self._busy_long = 0
        self._tasks: set[asyncio.Task[None]] = set()
        self._idle = [self._start() for _ in range(self._count)]
        self._all = set(self._idle)
        if not all(_is_ready(worker) for worker in self._idle):
            self.close()
            raise CannotStart("No worker process can be started; the machine may be short of memory or processes.")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End all workers."""
        for worker in self._all:
            worker.end()

    async def done(self, job: Any, *, long: bool = False) -> Any:
        """The answer to a job.

        Raises
        ------
        JobFailed
            If there is none.
        """
        loop = asyncio.get_running_loop()
        waiting = _Waiting(job, loop.create_future())
        queue = self._long if long else self._short
        queue.append(waiting)
        self._hand_out()
        giving_up = loop.call_later(NO_WORKER_SECONDS, _give_up, queue, waiting)
        try:
            return await waiting.answer
        finally:
            giving_up.cancel()

    def do(self, job: Any) -> Any:
        """The answer to a long job, for whoever works in a thread of the server; raises as `done` does."""
        return anyio.from_thread.run(partial(self.done, job, long=True))

    def _hand_out(self) -> None:
        """Give waiting jobs to idle workers: short ones first, several at once where more wait than can be begun."""
        while self._idle and self._short:
            share = -(-len(self._short) // self._count)
            self._give([self._short.popleft() for _ in range(min(TOGETHER, share))], long=False)
        while self._idle and self._long and self._busy_long < self._count - 1:
            self._give([self._long.popleft()], long=True)

    def _give(self, batch: list[_Waiting], *, long: bool) -> None:
        self._busy_long += long
        task = asyncio.create_task(self._work(self._idle.pop(), batch, long=long))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _work(self, worker: Worker, batch: list[_Waiting], *, long: bool) -> None:
        """Have a worker do some jobs; whatever happens to it, each of them is answered or goes to another one."""
        left = deque(batch)
        failure, good = "", False
        try:
            jobs = tuple(waiting.job for waiting in batch)
            if long:  # a file may be larger than what fits into the pipe
                await anyio.to_thread.run_sync(worker.connection.send, jobs)
            else:
                worker.connection.send(jobs)
            kind = MESSAGE
            if not worker.ready:
                worker.ready = await self._hear(worker) is not None
            while kind == MESSAGE:
                kind, content = await self._hear(worker)
                if kind == MESSAGE:
                    _answer(left.popleft(), content)
                else:
                    failure = content
            good = kind != LAST
        except TimeoutError:
            failure = f"it took longer than {self._seconds:g} seconds"
        except (OSError, EOFError):
            failure = DIED
        finally:
            self._busy_long -= long
            if left:
                _refuse(left.popleft(), failure or DIED)
            (self._long if long else self._short).extendleft(reversed(left))
            if good:
                self._idle.append(worker)
                self._hand_out()
            else:
                worker.process.kill()
                worker.connection.close()
                self._all.discard(worker)
        if not good:
            await self._replace()

    async def _hear(self, worker: Worker) -> Any:
        """The next thing that a worker says, which it must within its time."""
        if os.name == "nt":  # where pipes cannot be waited for together with sockets
            if not await anyio.to_thread.run_sync(worker.connection.poll, self._seconds):
                raise TimeoutError
            return worker.connection.recv()
        loop, place = asyncio.get_running_loop(), worker.connection.fileno()
        heard = asyncio.Event()
        loop.add_reader(place, heard.set)
        try:
            async with asyncio.timeout(self._seconds):
                await heard.wait()
        finally:
            loop.remove_reader(place)
        return worker.connection.recv()

    def _start(self) -> Worker:
        # Several jobs at once are one to the worker: what ends it by itself must leave time for all of them.
        return Worker(self._context, self._make, self._arguments, self._seconds * TOGETHER)

    async def _replace(self) -> None:
        """Start a worker in place of one that is gone, until it succeeds."""
        while True:
            worker = self._start()
            self._all.add(worker)
            try:
                worker.ready = await self._hear(worker) is not None
            except asyncio.CancelledError:  # this event loop ends; what comes after it will find the worker ready
                self._idle.append(worker)
                raise
            except (TimeoutError, OSError, EOFError):
                log.error("a worker process did not start; trying again")  # noqa: TRY400 - nothing of ours in it
                self._all.discard(worker)
                worker.end()
                await asyncio.sleep(AGAIN_SECONDS)
            else:
                self._idle.append(worker)
                self._hand_out()
                return


def _is_ready(worker: Worker) -> bool:
    try:
        worker.ready = worker.connection.poll(bounds.START_SECONDS) and worker.connection.recv()[0] == READY
    except (OSError, EOFError):
        return False
    return worker.ready


def _answer(waiting: _Waiting, content: Any) -> None:
    if not waiting.answer.done():
        waiting.answer.set_result(content)


def _refuse(waiting: _Waiting, why: str) -> None:
    log.error("a worker process did not finish: %s", why)
    if not waiting.answer.done():
        waiting.answer.set_exception(JobFailed(why))


def _give_up(queue: deque[_Waiting], waiting: _Waiting) -> None:
    if waiting in queue:
        queue.remove(waiting)
        _refuse(waiting, "no process was free for it")
