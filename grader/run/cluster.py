"""The same work on a cluster: a scheduler at an address hands the jobs to its workers.

Marking is a pure function of key and upload, so the marks are those that this machine would give.  What the cluster
cannot do is to kill a job that hangs; such a job is given up, and its worker is the cluster's to look after.
"""

import queue
import time
from collections.abc import Callable
from concurrent.futures import CancelledError
from functools import lru_cache
from typing import Any, NamedTuple, Self

from grader.errors import UsageError
from grader.jobs.pool import JobResult
from grader.jobs.worker import Handle, all_messages, failure_of
from grader.run.storage.software import software

_CONNECT_SECONDS = 15
_QUEUE_SECONDS = 600.0
"""Longest wait for any answer at all; the jobs of other people may come first on a shared cluster."""


_COUNT_SECONDS = 2.0
"""How long a count of the cluster's processors holds: each asks the scheduler, and workers come and go seldom."""

_ATTEMPTS = 3
"""How often a job is sent, where its results are lost."""


class _Sent(NamedTuple):
    """A job on its way, and how often it has been sent."""

    job: Any
    attempt: int


class Cluster:
    """Submit jobs to a cluster and take what is done; used as `Pool` is.

    Parameters
    ----------
    address : str
        Of the scheduler, such as ``tcp://host:8786``.
    make : callable
        Gives the function that handles a job, from `task`.
    task : object
        Picklable; sent to every worker once.

    Raises
    ------
    UsageError
        If the library is not installed, no scheduler answers, or its workers run other software.
    """

    def __init__(self, address: str, make: Callable[[Any], Handle], task: Any) -> None:
        try:
            from distributed import Client
        except ImportError:
            raise UsageError(
                "--cluster needs the library 'distributed'; install it with the extra 'cluster'."
            ) from None
        try:
            self._client = Client(address, timeout=_CONNECT_SECONDS, set_as_default=False)
        except (OSError, ValueError) as error:
            raise UsageError(f"--cluster {address}: no scheduler answers there ({type(error).__name__}).") from None
        other = {found for found in self._client.run(software).values() if found != software()}
        if other:
            self._client.close()
            raise UsageError(f"--cluster {address}: its workers run {', '.join(sorted(other))}, this is {software()}.")
        self._make = make
        self._task = self._client.scatter(task, broadcast=True, hash=False)
        self._jobs: dict[Any, _Sent] = {}
        self._finished: queue.Queue[Any] = queue.Queue()
        self._cores, self._count_again = 0, 0.0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._client.cancel(list(self._jobs))
        self._client.close()

    def submit(self, job: Any) -> None:
        """Send a job."""
        self._send(job, 1)

    def _send(self, job: Any, attempt: int) -> None:
        future = self._client.submit(_answer, self._make, self._task, job, pure=False)
        self._jobs[future] = _Sent(job, attempt)
        future.add_done_callback(self._finished.put)

    @property
    def backlog(self) -> int:
        """How many jobs there are beyond the workers that could take them."""
        if time.monotonic() >= self._count_again:
            self._cores = sum(self._client.ncores().values())
            self._count_again = time.monotonic() + _COUNT_SECONDS
        return max(0, len(self._jobs) - self._cores)

    @property
    def working(self) -> bool:
        """Whether any job is not answered yet."""
        return bool(self._jobs)

    def next(self) -> JobResult:
        """Wait for the next job that is done."""
        try:
            future = self._finished.get(timeout=_QUEUE_SECONDS)
        except queue.Empty:
            future = next(iter(self._jobs))
            future.cancel()
            return JobResult(
                self._jobs.pop(future).job, (), f"the cluster gave no answer for {_QUEUE_SECONDS:g} seconds"
            )
        sent = self._jobs.pop(future, None)
        if sent is None:  # given up before
            return self.next()
        job, attempt = sent
        if future.status != "finished":
            return JobResult(job, (), "the cluster's worker that had it stopped")
        try:
            messages, failure = future.result()
        except CancelledError:  # the result went with the worker that held it
            if attempt == _ATTEMPTS:
                return JobResult(job, (), "the cluster's workers that had its result stopped")
            self._send(job, attempt + 1)
            return self.next()
        return JobResult(job, messages, failure)


def _answer(make: Callable[[Any], Handle], task: Any, job: Any) -> tuple[tuple[Any, ...], str]:
    """Run on a worker: all messages, and why it failed."""
    messages: list[Any] = []
    try:
        messages.extend(all_messages(_prepared(make, _Same(task))(job)))
    except Exception as fault:  # noqa: BLE001 - whatever is wrong with one upload, the others must go on
        return tuple(messages), failure_of(fault)
    return tuple(messages), ""


class _Same:
    """A task known by its identity, so that a worker prepares itself once."""

    def __init__(self, task: Any) -> None:
        self.task = task

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.task is self.task

    def __hash__(self) -> int:
        return id(self.task)


@lru_cache(maxsize=4)
def _prepared(make: Callable[[Any], Handle], same: _Same) -> Handle:
    return make(same.task)
