"""Worker processes that may hang, run out of memory or die without harming anybody else's work.

A worker has jobs that it answers in turn with messages, each of which starts its time anew.  One that takes too long is
killed, one that dies is replaced; the job that it had comes back as failed with a sentence, or is tried once more where
its worker died, and what it had not begun goes to another one.  Processes are started afresh or forked from a server
that was (never forked from this one), so that it makes no difference what else runs here.

Everything happens in `turn`, or in `hear` and `check` for whoever waits in another way: a run waits here, the server in
its event loop.  The pool is our own: those of libraries have one pipe and one lock for all workers, so that one killed at
the wrong moment ends every other, and give nothing back of a job that was half done.
"""

import multiprocessing
import signal
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from multiprocessing import forkserver, resource_tracker
from multiprocessing.connection import Connection, wait
from typing import Any, NamedTuple, Self

from msgspec import Struct, field

from grader.errors import GraderError
from grader.jobs import bounds
from grader.jobs.worker import LAST, MESSAGE, READY, Handle, serve

MAX_SLOW = 4
"""Workers beside the others that may be at slow work; where another one is slow, the slowest is ended."""

DIED = "the process that worked on it stopped, most likely for want of memory"


class CannotStart(GraderError):
    """Workers end before they are ready, one after the other."""

    def __init__(self) -> None:
        super().__init__("No worker process can be started; the machine may be short of memory or processes.")


class JobResult(NamedTuple):
    """One job, answered: its messages, and why it failed (empty if it did not)."""

    job: Any
    messages: tuple[Any, ...]
    failure: str = ""


class Waiting(Struct, eq=False):
    """A job, who is told its result, whether it may take long, and whether a worker died over it already."""

    job: Any
    answered: Callable[[JobResult], None]
    long: bool = False
    died: bool = False


class Worker(Struct, eq=False):
    """One process, the jobs that it has (None: taken from it again), and when it must have said something."""

    process: Any
    connection: Connection
    deadline: float
    ready: bool = False
    slow: bool = False
    jobs: deque[Waiting | None] = field(default_factory=deque)
    messages: list[Any] = field(default_factory=list)
    since: float = 0.0

    @property
    def long(self) -> bool:
        """Whether it has a job that may take long."""
        return bool(self.jobs) and self.jobs[0] is not None and self.jobs[0].long

    def end(self) -> None:
        """Kill the process and give back what belonged to it."""
        self.process.kill()
        self.process.join()
        self.connection.close()


def warm_up(*modules: str) -> None:
    """Start the process that workers are forked from, and let it load what they will need, while others do other work."""
    if start_method() == "forkserver":
        multiprocessing.get_context("forkserver").set_forkserver_preload(["grader.jobs.quiet", *modules])
        with _undisturbed():
            forkserver.ensure_running()


class Pool:
    """A few workers; `submit` jobs, take what is `next` done, or be told.

    Parameters
    ----------
    make : callable
        Called once in every worker with `arguments`; gives the function that handles a job.
    arguments : tuple
        Picklable.
    workers : int
        How many processes work at a time, at least 1.
    seconds : float
        How long a job may be silent.
    together : int
        Jobs handed to a worker at once at most, where many wait: it need not wait for the next one.
    slow_seconds : float, optional
        A short job that takes longer does so in a place of its own: another worker, kept ready, does its others' work.
    background : callable, optional
        Has something done while this process goes on: handing over long jobs, which may be large.
    """

    def __init__(
        self,
        make: Callable[..., Handle],
        arguments: tuple[Any, ...],
        workers: int,
        seconds: float = bounds.SECONDS,
        *,
        together: int = 1,
        slow_seconds: float | None = None,
        background: Callable[[Callable[[], None]], object] | None = None,
    ) -> None:
        self._context: Any = multiprocessing.get_context(start_method())
        self._what = (make, arguments, seconds)
        self._count, self._seconds, self._together, self._slow_seconds = workers, seconds, together, slow_seconds
        self._kept = workers + (slow_seconds is not None)
        self._background = background or (lambda work: work())
        self._short: deque[Waiting] = deque()
        self._long: deque[Waiting] = deque()
        self._done: deque[JobResult] = deque()
        self._failed_starts, self._again = 0, 0.0
        self.workers: list[Worker] = []
        self._fill()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End all workers."""
        for worker in self.workers:
            worker.end()
        self.workers.clear()

    def submit(self, job: Any, answered: Callable[[JobResult], None] | None = None, *, long: bool = False) -> Waiting:
        """Add a job to the queue; its result is told to `answered`, or comes by `next`."""
        waiting = Waiting(job, answered or self._done.append, long)
        (self._long if long else self._short).append(waiting)
        self._hand_out()
        return waiting

    def withdraw(self, waiting: Waiting) -> bool:
        """Take a job back that no worker has begun; whether it was one."""
        queue = self._long if waiting.long else self._short
        if waiting not in queue:
            return False
        queue.remove(waiting)
        return True

    @property
    def backlog(self) -> int:
        """How many jobs wait for a worker."""
        return len(self._short) + len(self._long)

    @property
    def working(self) -> bool:
        """Whether any job is not answered yet."""
        return bool(self._done or self.backlog or any(worker.jobs for worker in self.workers))

    @property
    def is_ready(self) -> bool:
        """Whether all workers can be given jobs."""
        return len(self.workers) >= self._kept and all(worker.ready for worker in self.workers)

    @property
    def failing(self) -> bool:
        """Whether workers fail to start, one after the other."""
        return self._failed_starts > bounds.FAILED_STARTS

    def next(self) -> JobResult:
        """Wait for the next job that is done; they come in no particular order.

        Raises
        ------
        CannotStart
            If no worker can be started at all.
        """
        while not self._done:
            self.turn()
            if self.failing:
                raise CannotStart
        return self._done.popleft()

    def turn(self, seconds: float = 60.0) -> None:
        """Wait that long for something to happen, and see to it."""
        heard = wait([worker.connection for worker in self.workers], timeout=min(seconds, self.seconds_left()))
        for worker in list(self.workers):
            if worker.connection in heard:
                self.hear(worker)
        self.check()

    def seconds_left(self) -> float:
        """The time until `check` has something to do."""
        moments = [worker.deadline for worker in self.workers if worker.jobs or not worker.ready]
        if self._slow_seconds is not None:
            moments += [worker.since + self._slow_seconds for worker in self.workers if _may_become_slow(worker)]
        if len(self.workers) < self._kept:
            moments.append(self._again)
        return max(0.0, min(moments, default=float("inf")) - time.monotonic())

    def hear(self, worker: Worker) -> None:
        """Take what a worker says, or that it died."""
        try:
            kind, content = worker.connection.recv()
        except (OSError, EOFError):
            self._lose(worker, DIED)
            return
        worker.deadline = time.monotonic() + self._seconds
        if kind == READY:
            worker.ready, self._failed_starts = True, 0
        elif kind == MESSAGE:
            worker.messages.append(content)
        else:
            failure, last = content
            worker.messages += [] if last is None else [last]
            self._answer(worker, failure)
            worker.slow = worker.slow and bool(worker.jobs)
            if kind == LAST or (not worker.jobs and len(self.workers) > self._wanted):
                self._lose(worker, "")
        self._hand_out()

    def check(self) -> None:
        """Replace workers that overran, make room beside those that are slow, start those that are missing."""
        now = time.monotonic()
        for worker in list(self.workers):
            if (worker.jobs or not worker.ready) and now >= worker.deadline:
                self._lose(worker, f"it took longer than {self._seconds:g} seconds")
            elif (
                self._slow_seconds is not None and _may_become_slow(worker) and now >= worker.since + self._slow_seconds
            ):
                self._set_apart(worker)
        self._fill()
        self._hand_out()

    def _set_apart(self, worker: Worker) -> None:
        """Let a worker go on with what it is at, and others do what it has not begun."""
        worker.slow = True
        others = [waiting for waiting in list(worker.jobs)[1:] if waiting is not None]
        self._short.extendleft(reversed(others))
        worker.jobs = deque([worker.jobs[0], *[None] * (len(worker.jobs) - 1)])
        slow = [one for one in self.workers if one.slow]
        if len(slow) > MAX_SLOW:
            self._lose(min(slow, key=lambda one: one.since), "it took too long while others waited")

    def _hand_out(self) -> None:
        """Give waiting jobs to idle workers: short ones first, several at once where more wait than can be begun."""
        for worker in [one for one in self.workers if one.ready and not one.jobs]:
            busy = [one for one in self.workers if one.jobs and not one.slow]
            if not self.backlog or len(busy) >= self._count:
                return
            if self._short:
                share = -(-len(self._short) // self._count)
                batch = [self._short.popleft() for _ in range(min(self._together, share))]
            elif sum(one.long for one in busy) < max(1, self._count - 1):
                batch = [self._long.popleft()]
            else:
                return
            worker.jobs, worker.messages, worker.slow = deque(batch), [], False
            worker.since = time.monotonic()
            worker.deadline = worker.since + self._seconds
            send = partial(_send, worker.connection, tuple(waiting.job for waiting in batch))
            if batch[0].long:
                self._background(send)
            else:
                send()

    def _answer(self, worker: Worker, failure: str) -> None:
        waiting, messages = worker.jobs.popleft(), tuple(worker.messages)
        worker.messages, worker.since = [], time.monotonic()
        if waiting is not None:
            waiting.answered(JobResult(waiting.job, messages, failure))

    def _lose(self, worker: Worker, failure: str) -> None:
        """Do without a worker from now on; whatever it had is answered or goes to another one."""
        self.workers.remove(worker)
        worker.end()
        if not worker.ready:
            self._failed_starts += 1
            self._again = time.monotonic() + self._failed_starts / 5
        waiting = worker.jobs[0] if worker.jobs else None
        if waiting is not None and failure == DIED and not waiting.died:
            waiting.died = True
        elif worker.jobs and failure:
            self._answer(worker, failure)
        left = [waiting for waiting in worker.jobs if waiting is not None]
        if left:
            (self._long if left[0].long else self._short).extendleft(reversed(left))
        self._fill()

    @property
    def _wanted(self) -> int:
        """How many workers there should be: another one for each that is at slow work."""
        return self._kept + sum(worker.slow for worker in self.workers)

    def _fill(self) -> None:
        """Start the workers that are missing, unless the last ones failed a moment ago."""
        while len(self.workers) < self._wanted and time.monotonic() >= self._again:
            try:
                self.workers.append(self._start())
            except (OSError, EOFError):  # the server that they are forked from died; the next try starts another one
                self._failed_starts += 1
                self._again = time.monotonic() + self._failed_starts / 5

    def _start(self) -> Worker:
        ours, theirs = self._context.Pipe()
        process = self._context.Process(target=serve, args=(theirs, *self._what), daemon=True)
        with _undisturbed():
            process.start()
        theirs.close()
        return Worker(process, ours, time.monotonic() + bounds.START_SECONDS)


def _may_become_slow(worker: Worker) -> bool:
    return bool(worker.jobs) and not worker.slow and not worker.long


def _send(connection: Connection, jobs: tuple[Any, ...]) -> None:
    with suppress(OSError):  # a worker that is gone is heard of as soon as it is listened to
        connection.send(jobs)


def start_method() -> str:
    """How processes are started here."""
    return "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Start processes that never hear of the keyboard's interruptions, which are for this one."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # which would let the signal through again, were it started below
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
