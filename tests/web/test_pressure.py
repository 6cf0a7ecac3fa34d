"""The server under pressure, over real sockets: whoever holds connections or sends too much, others are served."""

from contextlib import ExitStack
from urllib.parse import urlencode

import pytest

from grader.web import serving
from grader.web.access import limits
from grader.web.serving import MAX_WAITING, MAX_WAITING_ADDRESS, MAX_WAITING_PERSON
from tests.web.conftest import RIGHT, SHEET
from tests.web.sockets import Slow, head
from tests.web.test_files import sheet_csv

MIB = 2**20
FILE_KIND = "multipart/form-data; boundary=x"


@pytest.fixture
def lines():
    """Holds connections open until the test ends."""
    held = []
    yield held
    for line in held:
        line.close()


HALF_OPEN = {
    "nothing said": "",
    "half a line": "GET /ent",
    "headers without end": "GET /enter HTTP/1.1\r\nHost: lock.test\r\nX-More: ",
    "a code that never comes": head("POST", "/enter", length=1000) + "code=",
    "a form without a login": head("POST", f"/sheets/{SHEET}", length=1000) + "do=submit",
}


@pytest.mark.parametrize("said", HALF_OPEN.values(), ids=HALF_OPEN)
def test_520_connections_of_one_address_that_say_nothing_keep_nobody_out(listening, lines, codes, said):
    server = listening()
    for _ in range(520):
        line = server.open()
        if said:
            line.send(said)
        lines.append(line)
    assert server.ask("GET", "/enter").status == 200
    server.entered(codes["S0001"])
    assert server.connections <= MAX_WAITING_ADDRESS + 2


def test_connections_through_the_proxy_are_not_taken_for_one_visitors(listening, lines):
    server = listening(proxy="127.0.0.1")
    lines.extend(server.open() for _ in range(MAX_WAITING + 50))
    assert server.ask("GET", "/enter").status == 200
    assert MAX_WAITING_ADDRESS < server.connections <= MAX_WAITING + 2


def test_one_student_keeps_no_more_connections_than_three_browsers_would(listening, lines, codes):
    server = listening()
    cookie, _ = server.entered(codes["S0001"])
    for _ in range(MAX_WAITING_PERSON + 30):
        lines.append(server.open())
        assert lines[-1].ask("GET", f"/sheets/{SHEET}", cookie=cookie).status == 200
    assert server.connections <= MAX_WAITING_PERSON + 2
    assert lines[-1].ask("GET", f"/sheets/{SHEET}", cookie=cookie).status == 200  # the latest is kept


@pytest.mark.parametrize("said", ["", "GET /ent", "GET /enter HTTP/1.1\r\nHost: lock.test\r\nX-More: "])
def test_headers_that_do_not_come_are_given_up(listening, lines, monkeypatch, said):
    monkeypatch.setattr(serving, "HEADER_SECONDS", 0.2)
    server = listening()
    lines.append(server.open())
    if said:
        lines[0].send(said)
    assert lines[0].closed()


def test_headers_that_trickle_on_a_used_connection_are_given_up(listening, lines, monkeypatch):
    server = listening()
    lines.append(server.open())
    assert lines[0].ask("GET", "/enter").status == 200
    monkeypatch.setattr(serving, "HEADER_SECONDS", 0.2)
    lines[0].send("GET /ent")
    assert lines[0].closed()


def test_an_idle_connection_is_closed(listening, lines, monkeypatch):
    monkeypatch.setattr(serving, "IDLE_SECONDS", 0.2)
    server = listening()
    lines.append(server.open())
    assert lines[0].ask("GET", "/enter").status == 200
    assert lines[0].closed()


def test_a_code_that_trickles_is_given_up_in_a_sentence(listening, lines, monkeypatch):
    monkeypatch.setattr("grader.web.app.STRANGER_SECONDS", 0.2)
    server = listening()
    lines.append(server.open())
    lines[0].send(head("POST", "/enter", length=100) + "code=")
    assert lines[0].hear().status == 408
    assert lines[0].closed()


@pytest.mark.parametrize(
    "entered, path, kind, length, status",
    [
        (True, f"/sheets/{SHEET}/file", FILE_KIND, 30 * MIB, 413),
        (True, f"/sheets/{SHEET}/file", FILE_KIND, 10**18, 413),
        (True, f"/sheets/{SHEET}", "application/x-www-form-urlencoded", MIB, 413),
        (False, f"/sheets/{SHEET}/file", FILE_KIND, MIB, 413),
        (False, "/enter", "application/x-www-form-urlencoded", MIB, 413),
    ],
)
def test_a_body_too_large_is_refused_by_its_headers_alone(listening, lines, codes, entered, path, kind, length, status):
    server = listening()
    cookie = server.entered(codes["S0001"])[0] if entered else None
    lines.append(server.open())
    lines[0].send(head("POST", path, cookie, kind, length=length))  # and not one byte of it
    assert lines[0].hear().status == status


def test_a_students_second_large_file_is_refused_by_its_headers_while_the_first_arrives(listening, codes):
    server = listening()
    cookie, token = server.entered(codes["S0001"])
    other, others_token = server.entered(codes["S0002"])
    large = sheet_csv(RIGHT) + b"\r\n" * MIB
    first = Slow(server, cookie, token, file=large)
    for _ in range(25):
        line = server.open()
        line.send(head("POST", f"/sheets/{SHEET}/file", cookie, FILE_KIND, length=15 * MIB, waits=True))
        assert line.hear().status == 429
        line.close()
    chunked = server.open()
    chunked.send(head("POST", f"/sheets/{SHEET}/file", cookie, FILE_KIND, chunked=True, waits=True))
    assert chunked.hear().status == 429
    chunked.close()
    assert Slow(server, other, others_token, file=large).end().status in {303, 422}
    assert first.end().status in {303, 422}
    assert Slow(server, cookie, token, file=sheet_csv(RIGHT), form="two").end().status == 303


def test_large_files_of_many_students_wait_before_they_are_read(listening, lines, codes, monkeypatch):
    monkeypatch.setattr(limits, "LARGE_AT_ONCE", 1)
    server = listening()
    large = sheet_csv(RIGHT) + b"\r\n" * MIB
    first = Slow(server, *server.entered(codes["S0001"]), file=large)
    cookie, _ = server.entered(codes["S0002"])
    lines.append(server.open())
    lines[0].send(head("POST", f"/sheets/{SHEET}/file", cookie, FILE_KIND, length=15 * MIB, waits=True))
    lines[0].settimeout(0.3)
    with pytest.raises(TimeoutError):
        lines[0].may_send_body()
    lines[0].settimeout(20)
    assert first.end().status in {303, 422}
    lines[0].may_send_body()


def test_bodies_of_one_student_at_once_are_bounded(listening, codes):
    server = listening()
    cookie, token = server.entered(codes["S0001"])
    with ExitStack() as held:
        slow = [Slow(server, cookie, token, form=f"form {number}") for number in range(limits.BODIES_EACH)]
        for one in slow:
            held.callback(one.end)
        line = server.open()
        held.callback(line.close)
        line.send(head("POST", f"/sheets/{SHEET}", cookie, length=100, waits=True))
        assert line.hear().status == 429
    body = urlencode({"token": token, "do": "check", "answer:gate.tau": "10 ms"})
    assert server.ask("POST", f"/sheets/{SHEET}", body, cookie=cookie).status == 200


def test_two_lengths_are_one_refusal_and_no_second_request(listening, lines):
    """RFC 9112, section 6.3: both length headers, the body in chunks, and what a careless reader takes for a request."""
    server = listening()
    lines.append(server.open())
    inner = "GET /instructor HTTP/1.1\r\nHost: lock.test\r\n\r\n"
    lines[0].send(
        "POST /enter HTTP/1.1\r\nHost: lock.test\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n"
        f"0\r\n\r\n{inner}"
    )
    answers = lines[0].rest()
    assert answers.startswith(b"HTTP/1.1 400")
    assert answers.count(b"HTTP/1.1 ") == 1


def test_no_address_leads_to_the_host_that_the_sender_names(listening):
    server = listening()
    for path in (f"/sheets/{SHEET}/", "/enter/", "//evil.example/%2f..", "/instructor/", f"/sheets/{SHEET}", "/static"):
        line = server.open()
        line.send(f"GET {path} HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n")
        answer = line.rest()
        line.close()
        assert b"evil.example" not in answer, path
