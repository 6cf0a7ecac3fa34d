"""Something that never comes to an end, typed or in a file: its sender is told, and nobody else waits for it."""

import asyncio
import json
import re

import httpx
import pytest

from grader.uploads.limits import FILE_BYTES
from grader.web.app import build_app
from grader.web.work import shelf_of
from grader.web.workers import Workers
from tests.web.conftest import ROSTER, SHEET
from tests.web.hostile import overrunning

SECONDS = 1.5
TOO_LONG = "it took longer than 1.5 seconds"


@pytest.fixture
def site(make_site, key):
    with Workers(overrunning, (shelf_of({SHEET: key}, b"v" * 32, ROSTER),), 2, seconds=SECONDS) as workers:
        yield make_site(workers=workers)


class Class:
    """Students in one server at the same time."""

    def __init__(self, site, browser, codes):
        app = build_app(site)
        self._http = {
            id: httpx.AsyncClient(
                transport=httpx.ASGITransport(app),
                base_url="http://lock.test",
                cookies=browser(site, code).http.cookies,
            )
            for id, code in codes.items()
        }

    async def _form(self, student):
        page = (await self._http[student].get("/sheets/lock-gate")).text
        return {name: re.search(rf'name="{name}" value="([\w-]+)"', page)[1] for name in ("token", "form")}

    async def types(self, student, text, do="submit"):
        return await self.sends(student, {"gate.tau": text}, do)

    async def sends(self, student, answers, do):
        data = {**await self._form(student), "do": do, **{f"answer:{item}": text for item, text in answers.items()}}
        return await self._http[student].post("/sheets/lock-gate", data=data)

    async def hands_in(self, student, text):
        data = {**await self._form(student), "do": "submit"}
        files = {"file": ("hw.txt", f"student: {student}\ngate.tau: {text}\n".encode())}
        return await self._http[student].post("/sheets/lock-gate/file", data=data, files=files)


def test_a_typed_answer_that_hangs_goes_to_a_person_and_the_others_are_answered_before(
    site, browser, codes, instructor
):
    everybody = Class(site, browser, codes)

    async def together():
        hanging = asyncio.create_task(everybody.types("S0001", "hang", "insist"))
        others = [await everybody.types(student, "10 ms") for student in ("S0002", "S0003")]
        return others, hanging.done(), await hanging

    others, done, hanging = asyncio.run(together())
    assert [page.status_code for page in others] == [303, 303]
    assert not done
    assert hanging.status_code == 303  # it was taken
    attempts = {attempt.student: attempt.total for attempt in site.store.all_attempts(SHEET)}
    assert attempts["S0001"] == 0
    assert attempts["S0002"] == attempts["S0003"] > 0
    review = instructor(site).get("/instructor/sheets/lock-gate/review").text
    assert f"This was not marked: {TOO_LONG}. A person will look at it." in review
    assert "hang" in review
    assert "1 waiting." in review  # and nothing of what was left blank


@pytest.mark.parametrize(
    "hanging, waiting",
    [(("tau",), 1), (("before", "i"), 2), (("before", "start", "i"), 3), (("before", "start", "rth", "i"), 12)],
)
def test_of_answers_sent_together_those_that_hang_go_to_a_person_and_the_others_have_their_marks(
    site, browser, codes, hanging, waiting
):
    """Of more than three that hang everything waits: there is an end to looking for them."""
    answers = {"gate.end": "2 A", "lamp.v0": "0 V", **{f"gate.{item}": "hang" for item in hanging}}
    page = asyncio.run(Class(site, browser, codes).sends("S0001", answers, "insist"))
    assert page.status_code == 303
    (attempt,) = site.store.all_attempts(SHEET)
    marks = {f"{one['problem']}.{one['item']}": one for one in json.loads(attempt.marks)["marks"]}
    assert {name: one["answer"] for name, one in marks.items() if one["answer"]} == answers
    undecided = {name for name, one in marks.items() if one["verdict"] == "not decided"}
    assert len(undecided) == waiting
    assert undecided >= {f"gate.{item}" for item in hanging}
    assert all(marks[name]["review"] for name in undecided)
    assert {marks[name]["verdict"] for name in ("gate.end", "lamp.v0")} == {"not decided" if waiting > 3 else "correct"}


def test_an_answer_that_cannot_be_read_comes_back_beside_one_that_hangs(site, browser, codes):
    answers = {"gate.end": "2 A", "gate.before": "((", "gate.tau": "hang"}
    page = asyncio.run(Class(site, browser, codes).sends("S0001", answers, "submit"))
    assert page.status_code == 422
    assert 'value="(("' in page.text
    assert site.store.all_attempts(SHEET) == ()


def test_a_file_that_hangs_is_refused_in_a_sentence_and_the_others_are_answered_before(site, browser, codes):
    everybody = Class(site, browser, codes)

    async def together():
        hanging = [asyncio.create_task(everybody.hands_in(student, "hang")) for student in ("S0001", "S0002")]
        await asyncio.sleep(0.2)
        other = await everybody.types("S0003", "10 ms")
        return other, any(one.done() for one in hanging), await asyncio.gather(*hanging)

    other, done, hanging = asyncio.run(together())
    assert other.status_code == 303
    assert not done
    for page in hanging:
        assert page.status_code == 422
        assert f"The file could not be read: {TOO_LONG}. Nothing was counted." in page.text
    assert [attempt.student for attempt in site.store.all_attempts(SHEET)] == ["S0003"]


def test_a_reading_that_hangs_is_a_sentence_and_what_was_typed_is_not_lost(site, browser, codes):
    page = browser(site, codes["S0001"]).answer({"gate.tau": "hang", "gate.end": "2 A"}, do="check")
    assert page.status_code == 503
    assert TOO_LONG in page.text
    assert 'value="2 A"' in page.text
    assert site.store.all_attempts(SHEET) == ()


def test_a_large_upload_is_taken_apart_while_others_are_answered(site, browser, codes):
    """Every one of its bytes could begin the line that ends it."""
    everybody = Class(site, browser, codes)

    async def together():
        large = asyncio.create_task(everybody.hands_in("S0001", "\r" * (FILE_BYTES - 100)))
        await asyncio.sleep(0.1)
        other = await everybody.types("S0002", "10 ms")
        return other, large.done(), await large

    other, done, large = asyncio.run(together())
    assert other.status_code == 303
    assert not done
    assert large.status_code in {303, 422, 503}  # on a slow machine even taking it apart may take too long
