"""Worker processes that may hang, run out of memory or die without harming anybody else's upload.

A worker is given one job at a time and answers with messages, each of which starts its time anew.  One that takes too
long is killed, one that dies is replaced, and the job comes back as failed with a sentence.  Processes are started
afresh or forked from a server that was (never forked from this one), so that it makes no difference what else runs here.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import time
from collections import deque
from collections.abc import Callable, Iterator
from multiprocessing import forkserver
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any, NamedTuple, Self

from grader.errors import GraderError
from grader.jobs import bounds

Handle = Callable[[Any], Iterator[Any]]
"""What a worker does with one job: messages, one after the other."""


class CannotStart(GraderError):
    """Workers end before they are ready, one after the other."""


class JobResult(NamedTuple):
    """One job, answered: its messages, and why it failed (empty if it did not)."""

    job: Any
    messages: tuple[Any, ...]
    failure: str = ""


class Worker:
    """One process, the job it has, and when that must have said something."""

    def __init__(self, context: Any, make: Callable[..., Handle], arguments: tuple[Any, ...], seconds: float) -> None:
        self.connection, theirs = context.Pipe()
        self.process = context.Process(target=_serve, args=(theirs, make, arguments, seconds), daemon=True)
        self.process.start()
        theirs.close()
        self.ready = False
        self.job: Any = None
        self.busy = False
        self.messages: list[Any] = []
        self.deadline = time.monotonic() + bounds.START_SECONDS

    def end(self) -> None:
        """Kill the process and give back what belonged to it."""
        self.process.kill()
        self.process.join()
        self.connection.close()


def warm_up(*modules: str) -> None:
    """Start the process that workers are forked from, and let it load what they will need, while others do other work."""
    if start_method() == "forkserver":
        multiprocessing.get_context("forkserver").set_forkserver_preload(list(modules))
        forkserver.ensure_running()


class Pool:
    """A few workers; `submit` jobs, take what is `next` done.

    Parameters
    ----------
    make : callable
        Called once in every worker with `arguments`; gives the function that handles a job.
    arguments : tuple
        Picklable.
    workers : int
        How many processes, at least 1.
    seconds : float
        How long a job may be silent.
    """

    def __init__(
        self, make: Callable[..., Handle], arguments: tuple[Any, ...], workers: int, seconds: float = bounds.SECONDS
    ) -> None:
        self._context = multiprocessing.get_context(start_method())
        self._make, self._arguments, self._seconds = make, arguments, seconds
        self._count = workers
        self._waiting: deque[Any] = deque()
        self._done: deque[JobResult] = deque()
        self._failed_starts = 0
        self._workers = [self._start() for _ in range(workers)]

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        for worker in self._workers:
            worker.end()

    def submit(self, job: Any) -> None:
        """Add a job to the queue."""
        self._waiting.append(job)
        self._hand_out()

    @property
    def backlog(self) -> int:
        """How many jobs wait for a worker."""
        return len(self._waiting)

    @property
    def working(self) -> bool:
        """Whether any job is not answered yet."""
        return bool(self._done or self._waiting or any(worker.busy for worker in self._workers))

    def next(self) -> JobResult:
        """Wait for the next job that is done; they come in no particular order.

        Raises
        ------
        CannotStart
            If no worker can be started at all.
        """
        while not self._done:
            listened = [worker.connection for worker in self._workers]
            first = min(worker.deadline for worker in self._workers if worker.busy or not worker.ready)
            heard = wait(listened, timeout=max(0.0, first - time.monotonic()))
            for worker in list(self._workers):
                if worker.connection in heard:
                    self._hear(worker)
                elif (worker.busy or not worker.ready) and time.monotonic() >= worker.deadline:
                    self._replace(worker, f"it took longer than {self._seconds:g} seconds")
            self._hand_out()  # before the caller takes its time over what is done
        return self._done.popleft()

    def _hand_out(self) -> None:
        for worker in self._workers:
            if self._waiting and worker.ready and not worker.busy:
                worker.job, worker.busy, worker.messages = self._waiting.popleft(), True, []
                worker.deadline = time.monotonic() + self._seconds
                try:
                    worker.connection.send(worker.job)
                except (OSError, EOFError):
                    self._replace(worker, DIED)

    def _hear(self, worker: Worker) -> None:
        try:
            kind, content = worker.connection.recv()
        except (OSError, EOFError):
            self._replace(worker, DIED)
            return
        worker.deadline = time.monotonic() + self._seconds
        if kind == READY:
            worker.ready, self._failed_starts = True, 0
        elif kind == MESSAGE:
            worker.messages.append(content)
        else:
            self._done.append(JobResult(worker.job, tuple(worker.messages), content))
            worker.job, worker.busy = None, False
            if kind == LAST:
                self._replace(worker, "")

    def _replace(self, worker: Worker, failure: str) -> None:
        if worker.busy:
            self._done.append(JobResult(worker.job, tuple(worker.messages), failure))
        elif not worker.ready:
            self._failed_starts += 1
            if self._failed_starts > bounds.FAILED_STARTS:
                raise CannotStart("No worker process can be started; the machine may be short of memory or processes.")
        worker.end()
        self._workers[self._workers.index(worker)] = self._start()

    def _start(self) -> Worker:
        return Worker(self._context, self._make, self._arguments, self._seconds)


READY, MESSAGE, END, LAST = "ready", "message", "end", "last"
"""What a worker says: it can be given jobs; a message about one; the job is over; the same, and so is the worker."""

DIED = "the process that worked on it stopped, most likely for want of memory"


def start_method() -> str:
    """How processes are started here."""
    return "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"


def _serve(connection: Connection, make: Callable[..., Handle], arguments: tuple[Any, ...], seconds: float) -> None:
    """Live as a worker: until the other side closes the connection or dies."""
    _keep_quiet()
    handle = make(*arguments)
    most = bounds.limit_memory()
    connection.send((READY, None))
    while True:
        try:
            job = connection.recv()
            bounds.end_after(seconds + bounds.GRACE_SECONDS)
            failure = _answer(connection, handle, job)
            bounds.end_after(0)
            kind = LAST if bounds.memory_in_use() > most else END
            connection.send((kind, failure))
        except (OSError, EOFError):
            return
        if kind == LAST:
            return


def _answer(connection: Connection, handle: Handle, job: Any) -> str:
    """Work on one job and send its messages; gives back why it failed, or nothing."""
    messages = handle(job)
    while True:
        try:
            message = next(messages)
        except StopIteration:
            return ""
        except Exception as fault:  # noqa: BLE001 - whatever is wrong with one upload, the others must go on
            return failure_of(fault)
        connection.send((MESSAGE, message))


def failure_of(fault: Exception) -> str:
    """Say why a job failed, as the end of a sentence."""
    if isinstance(fault, MemoryError):
        return f"it needed more than {bounds.MEMORY_BYTES >> 20} MiB of memory"
    return f"a fault of this program stopped it ({_place_of(fault)}); please report it"


def _place_of(fault: Exception) -> str:
    """Name a fault by kind and line, without anything the student wrote."""
    trace = fault.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None:
        return type(fault).__name__
    return f"{type(fault).__name__}, {Path(trace.tb_frame.f_code.co_filename).name} line {trace.tb_lineno}"


def _keep_quiet() -> None:
    """Leave interruptions to the main process, and let no library write into the terminal."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    sys.stdout = sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123 - for the process's life
