"""What is no file where a file should be, and a clock and a bound for whoever reads it."""

import os
import resource
import signal
import socket
from contextlib import contextmanager
from pathlib import Path

from grader.jobs import bounds

SECONDS, MEMORY = 60, 700 << 20


def hole(path):
    with path.open("wb") as file:
        file.truncate(3 << 30)


def listening(path):
    here = Path.cwd()
    os.chdir(path.parent)  # the name of a socket may have some hundred bytes
    try:
        with socket.socket(socket.AF_UNIX) as one:
            one.bind(path.name)
    finally:
        os.chdir(here)


ODD = {
    "a pipe": os.mkfifo,
    "a device": lambda path: path.symlink_to("/dev/zero"),
    "a folder": lambda path: path.mkdir(),
    "a socket": listening,
    "3 GB of nothing": hole,
}


def put(what, path):
    """Let that stand at a place, whatever was there."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.unlink(missing_ok=True)
    ODD[what](path)


@contextmanager
def bounded():
    """What takes longer, or more memory, raises."""

    def over(*_):
        raise AssertionError("held up")

    before = resource.getrlimit(resource.RLIMIT_AS)
    now = bounds.memory_in_use()
    old = signal.signal(signal.SIGALRM, over)
    resource.setrlimit(resource.RLIMIT_AS, (now + MEMORY, before[1]))
    signal.alarm(SECONDS)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, old)
        resource.setrlimit(resource.RLIMIT_AS, before)
