"""What a stranger or a student would try who wants more than their due; each outcome was written down before it was tried."""

import asyncio
import os
import re
import signal
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import urlencode

import pytest

from grader.web.workers import Workers
from tests.web.conftest import RIGHT, SHEET
from tests.web.hostile import make
from tests.web.sockets import Slow, head

DESK = f"/instructor/sheets/{SHEET}"


def test_of_forms_that_end_in_the_same_instant_one_counts_where_there_is_a_wait(listening, codes):
    """Five begun and ended together, a minute between two: one is taken, four are told to wait."""
    server = listening(wait=60.0)
    who = server.entered(codes["S0001"])
    attempts = [Slow(server, *who, form=f"form {number}", tau=f"{number} ms") for number in range(5)]
    with ThreadPoolExecutor(5) as at_once:
        answers = list(at_once.map(lambda attempt: attempt.end(), attempts))
    assert sorted(answer.status for answer in answers) == [303, 409, 409, 409, 409]
    assert len(server.site.store.all_attempts(SHEET)) == 1


@pytest.mark.parametrize(
    "headers, own, status",
    [
        (("Sec-Fetch-Site: cross-site",), True, 403),
        (("Sec-Fetch-Site: cross-site", "X-Forwarded-Host: lock.test", "Origin: https://lock.test"), True, 403),
        (("Sec-Fetch-Site: same-site", "Origin: https://evil.lock.test"), True, 403),
        (
            ("Origin: https://evil.example",),
            False,
            403,
        ),  # an old browser: the cookie goes along, the token is not known
        (("Sec-Fetch-Site: same-origin", "Origin: https://evil.example"), False, 403),
        (("Sec-Fetch-Site: same-origin",), True, 303),
    ],
)
def test_a_form_of_another_site_changes_nothing_behind_a_proxy(listening, codes, headers, own, status):
    server = listening(proxy="127.0.0.1")
    cookie, token = server.entered(codes["S0001"])
    body = urlencode({"token": token if own else "0" * 32, "form": "one", "do": "submit", "answer:gate.tau": "10 ms"})
    line = server.open()
    more = "".join(
        f"\r\n{header}" for header in (*headers, "X-Forwarded-For: 198.51.100.7", "X-Forwarded-Proto: https")
    )
    line.send(head("POST", f"/sheets/{SHEET}", cookie, length=len(body)).replace("\r\n\r\n", f"{more}\r\n\r\n") + body)
    assert line.hear().status == status
    line.close()
    assert len(server.site.store.all_attempts(SHEET)) == (status == 303)


SENTENCES = [
    "<script>alert(1)</script>", "=HYPERLINK('http://x')", "'; DROP TABLE requests;--", "{{ 7777*7777 }}", "\u202e\x00\ufeff!",
    "</textarea><img src=x onerror=y>",
]  # fmt: skip


@pytest.mark.parametrize("sentence", SENTENCES)
def test_a_hostile_sentence_is_text_wherever_it_is_shown(site, student, instructor, sentence):
    """300 characters at most, shown as they are to student and instructor, and never a formula in a table."""
    address = student.answer({**RIGHT, "gate.tau": "1 ms"}).url.path
    fields = {"problem": "gate", "item": "tau"}
    assert student.send(f"{address}/again", {**fields, "sentence": sentence * 300}, page=address).status_code == 422
    shown = student.send(f"{address}/again", {**fields, "sentence": sentence}, page=address)
    assert shown.status_code == 200
    desk = instructor(site)
    for page in (
        shown,
        student.get(address),
        desk.get(f"{DESK}/review"),
        desk.get(DESK),
        desk.get(f"{DESK}/students/S0001"),
    ):
        text = re.sub(r'<script src="/static/\w+.js" defer></script>', "", page.text)
        assert page.status_code == 200
        assert not any(word in text for word in ("<script", "<img", "60481729", "\u202e", "\x00"))
    for file in ("gradebook.csv", "decisions.csv"):
        assert not re.search(r'(^|,)"?=', desk.get(f"{DESK}/files/{file}").text, re.MULTILINE)


def test_practice_takes_hostile_answers_as_text_and_keeps_nothing(site, student):
    address = f"/sheets/{SHEET}/practice/gate?set=3"
    for text in (*SENTENCES, "9**9**9**9", "(" * 400):
        for do in ("check", "try"):
            page = student.send(address, {"do": do, "answer:gate.tau": text})
            assert page.status_code == 200
            assert not any(word in page.text for word in ("<script>alert", "<img", "60481729"))
    assert site.store.all_attempts(SHEET) == ()


def test_an_encrypted_workbook_by_the_web_is_told_to_lose_its_password(site, student):
    """As it begins on disk: a compound file that holds a package in cipher (its streams' names stand in UTF-16)."""
    book = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600) + "EncryptedPackage".encode("utf-16-le") + bytes(5000)
    data = {"token": student.token(f"/sheets/{SHEET}"), "do": "submit"}
    page = student.post(f"/sheets/{SHEET}/file", data=data, files={"file": ("mine.xlsx", book)})
    assert page.status_code == 422
    assert "password" in page.text
    assert site.store.all_attempts(SHEET) == ()


def test_a_worker_killed_at_work_is_replaced_and_its_job_is_done_by_another(tmp_path):
    job = f"until {tmp_path / 'now'}"

    async def disturbed(workers):
        jobs = [asyncio.create_task(workers.done(job)) for _ in range(4)]
        await asyncio.sleep(0.2)
        for worker in list(workers._pool.workers):
            os.kill(worker.process.pid, signal.SIGKILL)
        (tmp_path / "now").touch()
        return await asyncio.gather(*jobs)

    with Workers(make, (), 2, seconds=20) as workers:
        before = {worker.process.pid for worker in workers._pool.workers}
        answers = asyncio.run(disturbed(workers))
    assert [word for _, word in answers] == [job] * 4
    assert not before & {process for process, _ in answers}
