"""A rubric of choices without circuits, and a way of marking that can be told to misbehave.

Invented: the Harbour Lock works, course EE 118.
"""

import os
import time
from pathlib import Path

from grader.marking.key import Key
from grader.marking.marks import BLANK, CORRECT, INCORRECT, Mark, Marked
from grader.rubric.files import load_rubric
from grader.run.backend import Engine
from grader.uploads.upload import Upload

RUBRIC = """
title = "Lock signals"
course = "EE 118"
[[problem]]
id = "gate"
title = "Gate relay"
text = "The relay of the lower gate."
item = [
  {id = "a", find = "choice", options = ["open", "shut"], key = "shut", points = 2},
  {id = "b", find = "choice", options = ["open", "shut"], key = "open", points = 1},
]
[[problem]]
id = "horn"
title = "Foghorn"
text = "The foghorn of the upper gate."
item = [{id = "c", find = "choice", options = ["open", "shut"], key = "shut", points = 3}]
"""
ITEMS = (("gate", "a", "shut", 2.0), ("gate", "b", "open", 1.0), ("horn", "c", "shut", 3.0))


def build(path: Path) -> Key:
    return Key(rubric=load_rubric(path), problems=(), diagnoser=None)


def mark(key: Key, upload: Upload) -> Marked:
    """Right or wrong; an answer of ``hang``, ``eat``, ``die`` or ``fault`` does what it says."""
    written = {(answer.problem, answer.item): answer for answer in upload.answers}
    marks = []
    asked = [(problem.id, item.id, item.key, item.points) for problem in key.rubric.problems for item in problem.items]
    for problem, item, right, points in asked:
        answer = written.get((problem, item))
        text = "" if answer is None else answer.text
        _misbehave(text)
        verdict = BLANK if answer is None else CORRECT if text == right else INCORRECT
        marks.append(
            Mark(
                problem=problem, item=item, answer=text, reading=text, awarded=points if verdict == CORRECT else 0.0,
                possible=points, verdict=verdict, review=text == "?", reasons=("Compared with the key.",),
            )
        )  # fmt: skip
    return Marked(student=upload.student or "", file=upload.file, marks=tuple(marks))


def _misbehave(text: str) -> None:
    if text == "hang":
        time.sleep(3600)
    elif text == "eat":
        bytearray(4 << 30)
    elif text == "die":
        os.abort()
    elif text == "fault":
        raise ZeroDivisionError("secret answer")


STUB = Engine(build=build, mark=mark)


def mark_only_what_is_there(key: Key, upload: Upload) -> Marked:
    """As `mark`, but a sheet without any answer ends the worker."""
    _misbehave("" if upload.answers else "die")
    return mark(key, upload)


def mark_in_a_hurry(key: Key, upload: Upload) -> Marked:
    """The program's own way, but with no patience at all for general algebra (any would do on a fast machine)."""
    from grader.marking.mark import mark_upload
    from grader.reading import algebra

    algebra.ALGEBRA_WAIT_SECONDS = 0.0
    return mark_upload(key, upload)
