"""One warm process beside a worker, for questions that may never come to an end: asked one at a time, bounded, restarted.

A question and its answer are bytes, each after its length.  The process ends with whoever started it, since it is then
told nothing more; while it works, its own clock ends it.
"""

import atexit
import os
import queue
import struct
import subprocess
import sys
import threading
from collections.abc import Callable
from typing import IO

from grader.jobs import bounds
from grader.jobs.safe_path import command

_LENGTH = struct.Struct(">I")

READY = b"ready"


class Overran(Exception):
    """There was no answer within the bounds on time and memory."""


class Helper:
    """Starts a process (`main` of ``module``) when it is first asked something, and a new one after it overran or died."""

    def __init__(self, module: str) -> None:
        self._module = module
        self._process: subprocess.Popen[bytes] | None = None
        self._answers: queue.SimpleQueue[bytes] = queue.SimpleQueue()

    def ask(self, question: bytes, seconds: float) -> bytes:
        """The answer to a question, the process being started first if need be.

        Raises
        ------
        Overran
            If there is none in that time.
        """
        try:
            process = self._process or self._start()
            _write(process.stdin, question)
            answer = self._answers.get(timeout=seconds)
        except (OSError, queue.Empty):
            answer = b""
        if not answer:
            self.close()
            raise Overran
        return answer

    def close(self) -> None:
        """End the process, whatever it is at."""
        process, self._process = self._process, None
        atexit.unregister(self.close)
        if process is not None:
            process.kill()
            process.communicate()

    def _start(self) -> subprocess.Popen[bytes]:
        self._answers = queue.SimpleQueue()
        self._process = process = subprocess.Popen(  # noqa: S603 - our own interpreter and code
            command(self._module), stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        atexit.register(self.close)
        threading.Thread(target=_pass_on, args=(process.stdout, self._answers), daemon=True).start()
        if self._answers.get(timeout=bounds.START_SECONDS / 4) != READY:
            raise OSError
        return process


def _pass_on(stream: IO[bytes], answers: queue.SimpleQueue[bytes]) -> None:
    """Pass on what the process says, and nothing at its end."""
    try:
        while answer := _read(stream):
            answers.put(answer)
    except (OSError, ValueError):
        pass
    answers.put(b"")


def serve(answer: Callable[[bytes], bytes], seconds: float, memory: int) -> None:
    """Live as such a process: answer questions until nobody is there to ask any.

    Parameters
    ----------
    answer : callable
        Gives the answer, which is not empty.
    seconds : float
        Processor time for one question, after which the process ends, where the system has such a clock.
    memory : int
        Bytes that all questions together may add; the process ends where it is not enough.
    """
    questions = sys.stdin.buffer
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # a library may print
    bounds.limit_memory(memory)
    _write(answers, READY)
    while question := _read(questions):
        bounds.end_after_work(seconds)
        try:
            found = answer(question)
        except MemoryError:
            return
        bounds.end_after_work(0)
        _write(answers, found)


def _write(stream: IO[bytes] | None, content: bytes) -> None:
    if stream is not None:
        stream.write(_LENGTH.pack(len(content)) + content)
        stream.flush()


def _read(stream: IO[bytes]) -> bytes:
    head = stream.read(_LENGTH.size)
    return stream.read(_LENGTH.unpack(head)[0]) if len(head) == _LENGTH.size else b""
