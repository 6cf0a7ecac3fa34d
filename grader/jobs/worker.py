"""The life of a worker process, seen from inside: jobs come in, messages go out, and no fault of one job ends the next.

The other side of the connection is `grader.jobs.pool`, which ends what overruns.
"""

import gc
import os
import signal
import sys
from collections.abc import Callable, Generator, Iterator
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from grader.jobs import bounds

MADE_BETWEEN = 10_000
"""Objects made, and still there, until circles among them are looked for; Python's own 700 are for programs that make many."""

Handle = Callable[[Any], Generator[Any, None, Any]]
"""What a worker does with one job: messages, one after the other; the last is what it returns, if anything."""

READY, MESSAGE, END, LAST = "ready", "message", "end", "last"
"""What a worker says: it can be given jobs; a message about one; the job is over; the same, and so is the worker."""


def serve(connection: Connection, make: Callable[..., Handle], arguments: tuple[Any, ...], seconds: float) -> None:
    """Live as a worker: until the other side closes the connection or dies."""
    _keep_quiet()
    handle = make(*arguments)
    gc.freeze()  # what a worker begins with stays, and hardly anything of a job is a circle: looking for some costs time
    gc.set_threshold(MADE_BETWEEN)
    gc.enable()
    most = bounds.limit_memory()
    with suppress(OSError, EOFError):
        connection.send((READY, None))
        while True:
            for job in connection.recv():
                ended = _worked(connection, handle, job, seconds + bounds.GRACE_SECONDS)
                grown = bounds.memory_in_use() > most
                connection.send((LAST if grown else END, ended))
                if grown:
                    return


def all_messages(job: Generator[Any, None, Any]) -> Iterator[Any]:
    """The messages of a job with the last of them."""
    last = yield from job
    if last is not None:
        yield last


def _worked(connection: Connection, handle: Handle, job: Any, seconds: float) -> tuple[str, Any]:
    """Work on one job and send its messages; gives back why it failed, or nothing, and the last message, which goes with the end.

    Each message may take that long, or the process ends by itself.
    """
    messages = handle(job)
    while True:
        bounds.end_after(seconds)
        try:
            message = next(messages)
        except StopIteration as end:
            return "", end.value
        except Exception as fault:  # noqa: BLE001 - whatever is wrong with one upload, the others must go on
            return failure_of(fault), None
        finally:
            bounds.end_after(0)
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
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    sys.stdout = sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123 - for the process's life
