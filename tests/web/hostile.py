"""What workers are made to do in tests: importable by its name, so that another process finds it."""

import os
import time
from pathlib import Path


def make():
    """Jobs are words; each is answered with the worker's process id and the word."""

    def handle(job):
        if job == "hang":
            while True:
                pass
        if job.startswith("until "):
            while not Path(job.removeprefix("until ")).exists():
                time.sleep(0.01)
        if job == "sleep":
            time.sleep(0.5)
        if job == "die":
            os._exit(3)
        if job == "hoard":
            bytearray(4 << 30)
        if job == "fail":
            raise RuntimeError("about the answer 2.4 mA")
        yield os.getpid(), job

    return handle


def never_ready():
    """Cannot be prepared."""
    os._exit(3)


def overrunning(shelf):
    """The server's own work, but an answer that says ``hang`` is marked for ever, and nothing that says so is ever read."""
    from grader.run.work import AnswersJob
    from grader.web import work  # here, so that the other workers start quickly

    handle, mark = work.make(shelf), work.mark_upload

    def marked(key, upload):
        while "hang" in repr(upload.answers):
            pass
        return mark(key, upload)

    work.mark_upload = marked

    def hanging(job):
        while "hang" in repr(job) and not isinstance(job, work.Count | AnswersJob):
            pass
        return (yield from handle(job))

    return hanging
