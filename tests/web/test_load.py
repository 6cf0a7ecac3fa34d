"""Fifty students at once on one server: how long a submission of twelve answers takes in it.

Bounded, on this machine's loopback alone.  What is printed are ratios to the same server's own bare round trip, measured
in the same run, beside the milliseconds; nothing is asserted about time.  Everything is prepared before the instant, and
one thread sends it over plain sockets and waits: what it takes itself is taken from the same cores.
"""

import os
import re
import selectors
import socket
import statistics
import time
from contextlib import closing, suppress
from pathlib import Path
from urllib.parse import urlencode

import pytest

from grader.run.grade import processors
from grader.web.access.limits import RATES
from tests.web.conftest import RIGHT
from tests.web.running import Server, token_of

STUDENTS = 50
ROUNDS = 3
THINKING = 4.0
"""Seconds over which the students of a round send: nobody's clock is another's."""

WRONG = {
    **RIGHT,
    "gate.tau": "{} ms",
    "gate.i": "2 - 0.4e^(-{}t) A",
    "lamp.tau": "1.1 s",
    "gate.rth": "22 ohm",
    "lamp.i0": "2 mA",
}

HEAD_END = b"\r\n\r\n"


def spread(milliseconds):
    ordered = sorted(milliseconds)
    return statistics.median(ordered), ordered[int(0.99 * (len(ordered) - 1))]


def host_of(server):
    return server.address.removeprefix("http://")


def submission(server, http, number):
    """The bytes a browser would send, with the sheet loaded before and filled in."""
    page = http.get("/sheets/lock-gate")
    form = re.search(r'name="form" value="([\w-]+)"', page.text)[1]
    fields = {"token": token_of(page), "form": form, "do": "submit"}
    fields |= {f"answer:{name}": text.format(number) for name, text in WRONG.items()}
    body = urlencode(fields).encode()
    lines = (
        "POST /sheets/lock-gate HTTP/1.1",
        f"Host: {host_of(server)}",
        f"Cookie: {'; '.join(f'{cookie.name}={cookie.value}' for cookie in http.cookies.jar)}",
        "Content-Type: application/x-www-form-urlencoded",
        f"Content-Length: {len(body)}",
    )
    return "\r\n".join(lines).encode() + HEAD_END + body


def sent(server, requests, delays):
    """Send each request after its delay, over a connection opened before; gives heads of answers and milliseconds."""
    host, port = host_of(server).split(":")
    connections = [socket.create_connection((host, int(port))) for _ in requests]
    time.sleep(0.2)  # until the server has taken them
    heads, begun, taken = {}, {}, {}
    with selectors.DefaultSelector() as waiting:
        due = sorted(zip(delays, range(len(requests)), strict=True), reverse=True)
        start = time.perf_counter()
        while due or len(taken) < len(requests):
            while due and time.perf_counter() - start >= due[-1][0]:
                _, k = due.pop()
                heads[k] = b""
                waiting.register(connections[k], selectors.EVENT_READ, k)
                begun[k] = time.perf_counter()
                connections[k].sendall(requests[k])
            pause = max(0.0, due[-1][0] - (time.perf_counter() - start)) if due else 30
            for key, _ in waiting.select(pause):
                heads[key.data] += connections[key.data].recv(65536)
                if HEAD_END in heads[key.data]:
                    taken[key.data] = (time.perf_counter() - begun[key.data]) * 1000
                    waiting.unregister(connections[key.data])
    for connection in connections:
        connection.close()
    return [(heads[k], taken[k]) for k in range(len(requests))]


def bare(server):
    """Milliseconds of the least that this server can be asked for."""
    request = f"GET /static/icon.svg HTTP/1.1\r\nHost: {host_of(server)}\r\n\r\n".encode()
    return [sent_one[1] for _ in range(20) for sent_one in sent(server, [request] * 5, [0.02 * k for k in range(5)])]


def processor_seconds(process):
    """What a process and all that come from it have taken of the processors, and this one that asks."""
    told = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            about = path.read_text().rpartition(")")[2].split()
            told[int(path.parent.name)] = int(about[1]), (int(about[11]) + int(about[12])) / os.sysconf("SC_CLK_TCK")
    family = {process.pid}
    while more := {one for one, (parent, _) in told.items() if parent in family} - family:
        family |= more
    return sum(told[one][1] for one in family) + time.process_time()


@pytest.mark.benchmark
@pytest.mark.parametrize("at_once", [False, True], ids=["within four seconds", "in the same instant"])
def test_fifty_students(tmp_path, at_once, capsys):
    assert RATES["submit"].burst >= ROUNDS
    students = [(f"S{k:04}", f"Student {k} Invented", "1") for k in range(STUDENTS)]
    delays = [0.0 if at_once else (k * 0.618 % 1) * THINKING for k in range(STUDENTS)]
    server = Server(tmp_path, students=students)
    rounds, spent = [], 0.0
    try:
        least, _ = spread(bare(server))
        visitors = [server.visitor(id) for id, _, _ in students]
        for round in range(ROUNDS):
            requests = [submission(server, http, round + k + 1) for k, http in enumerate(visitors)]
            spent -= processor_seconds(server.process)
            rounds.append(sent(server, requests, delays))
            spent += processor_seconds(server.process)
        for http in visitors:
            with closing(http):
                assert "You have made 3 attempts." in http.get("/sheets/lock-gate").text
    finally:
        server.stop()
    answers = [answer for one in rounds for answer in one]
    assert {head.split(b" ")[1] for head, _ in answers} == {b"303"}
    assert len(answers) == STUDENTS * ROUNDS
    with capsys.disabled():
        print(f"\n{STUDENTS} students, 12 answers each, {'in the same instant' if at_once else 'within four seconds'}")
        print(f"bare round trip                   median {least:6.1f} ms")
        each, cores = 1000 * spent / len(answers), processors()
        print(
            f"processor time of a submission, all that take part {each:5.1f} ms: {STUDENTS} keep {cores} cores busy for "
            f"{each * STUDENTS / cores:.0f} ms, and half of them for {each * STUDENTS / cores / 2:.0f} ms"
        )
        for number, one in enumerate(rounds, 1):
            inside = spread(float(re.search(rb"dur=([\d.]+)", head)[1]) for head, _ in one)
            for name, (middle, late) in (("server time", inside), ("round trip", spread(trip for _, trip in one))):
                print(
                    f"round {number}: {name:<22} median {middle:6.1f} ms ({middle / least:5.1f} x bare)"
                    f"   p99 {late:6.1f} ms ({late / least:5.1f} x)"
                )
