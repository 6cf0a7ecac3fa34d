"""An attempt from answers to what is kept: the rules checked, marked once, committed before anybody is told."""

from __future__ import annotations

import hashlib
import json

from grader.marking.records import Marked
from grader.run.plain import plain
from grader.web.data.store import AlreadyTaken, Attempt, new_id
from grader.web.received import Received
from grader.web.rules import standing
from grader.web.sheets import Sheet, mark
from grader.web.site import Site
from grader.web.visit import Visit

TRIES = 5
"""Two browsers of one student may take the same number; the second one looks again."""


class Late(Exception):
    """No attempt may be made now; ``sentence`` says why."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def make_attempt(site: Site, sheet: Sheet, visit: Visit, received: Received) -> str:
    """Mark answers and keep them as the student's next attempt; gives back its id.

    A form sent twice with the same answers is one attempt.

    Raises
    ------
    Late
        If the rules allow no attempt at the time the request arrived.
    """
    form = _form_mark(visit, received)
    marked = None
    for _ in range(TRIES):
        past = site.store.made(sheet.name, visit.person)
        for made in past:
            if made.form == form:
                return made.id
        where = standing(site.rules, site.store.state(sheet.name), visit.at, past)
        if where.refusal:
            raise Late(where.refusal)
        if marked is None:
            marked = mark(sheet, visit.person, received.answers, received.file)
        attempt = Attempt(
            id=new_id(), sheet=sheet.name, student=visit.person, number=len(past) + 1, at=visit.at, form=form,
            file=received.file, answers=received.answers, key=sheet.digest, marks=marks_text(marked), total=marked.total,
        )  # fmt: skip
        try:
            site.store.add(attempt, received.content)
        except AlreadyTaken:
            continue
        return attempt.id
    raise Late("Another attempt of yours arrived at the same moment. Look at it first, then send this one again.")


def marks_text(marked: Marked) -> str:
    """Marks as they are kept."""
    return json.dumps(plain(marked))


def _form_mark(visit: Visit, received: Received) -> str:
    return hashlib.sha256(visit.form.text("form").encode() + b"\0" + received.content).hexdigest()
