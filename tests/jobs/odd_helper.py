"""A helper that can be told to misbehave; started by its name."""

import os
import time

from grader.jobs.helper import serve


def main() -> None:
    serve(answer, 1.0, 64 << 20)


def answer(question: bytes) -> bytes:
    if question == b"hang":
        time.sleep(3600)
    if question == b"work":
        while True:
            pass
    if question == b"die":
        os._exit(3)
    if question == b"eat":
        bytearray(1 << 30)
    if question == b"print":
        print("to the one who asks", flush=True)
    return str(os.getpid()).encode() if question == b"who" else question[::-1]
