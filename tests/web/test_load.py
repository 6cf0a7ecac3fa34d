"""Fifty students at once on one server: how long a submission of twelve answers takes in it.

Bounded, on this machine's loopback alone.  What is printed are ratios to the same server's own bare round trip, measured
in the same run, beside the milliseconds; nothing is asserted about time.
"""

import re
import statistics
import threading
import time
from contextlib import closing

import httpx
import pytest

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


def spread(milliseconds):
    ordered = sorted(milliseconds)
    return statistics.median(ordered), ordered[int(0.99 * (len(ordered) - 1))]


def server_time(response):
    return float(re.search(r"dur=([\d.]+)", response.headers["server-timing"])[1])


def one_student(server, student, start, at_once, found, faults):
    """Load the sheet, wait for the others, send twelve answers each round."""
    with closing(server.visitor(student)) as http:
        for round in range(ROUNDS):
            page = http.get("/sheets/lock-gate")
            form = re.search(r'name="form" value="([\w-]+)"', page.text)[1]
            number = round + int(student[1:]) + 1
            data = {"token": token_of(page), "form": form, "do": "submit"}
            data |= {f"answer:{name}": text.format(number) for name, text in WRONG.items()}
            start.wait()
            if not at_once:
                time.sleep((int(student[1:]) * 0.618 % 1) * THINKING)
            begin = time.perf_counter()
            response = http.post("/sheets/lock-gate", data=data, follow_redirects=False)
            took = (time.perf_counter() - begin) * 1000
            if response.status_code != 303:
                faults.append((student, response.status_code))
            else:
                found.append((server_time(response), took))


@pytest.mark.benchmark
@pytest.mark.parametrize("at_once", [False, True], ids=["within four seconds", "in the same instant"])
def test_fifty_students(tmp_path, at_once, capsys):
    assert RATES["submit"].burst >= ROUNDS
    students = [(f"S{k:04}", f"Student {k} Invented", "1") for k in range(STUDENTS)]
    server = Server(tmp_path, students=students)
    try:
        with closing(httpx.Client(base_url=server.address, trust_env=False)) as http:
            bare = []
            for _ in range(200):
                begin = time.perf_counter()
                http.get("/static/icon.svg")
                bare.append((time.perf_counter() - begin) * 1000)
        start, found, faults = threading.Barrier(STUDENTS), [], []
        threads = [
            threading.Thread(target=one_student, args=(server, id, start, at_once, found, faults))
            for id, _, _ in students
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    finally:
        server.stop()
    assert faults == []
    assert len(found) == STUDENTS * ROUNDS
    bare_median, _ = spread(bare)
    inside_median, inside_late = spread([inside for inside, _ in found])
    trip_median, trip_late = spread([trip for _, trip in found])
    with capsys.disabled():
        print(
            f"\n{STUDENTS} students, {ROUNDS} rounds, 12 answers each, {'in the same instant' if at_once else 'within four seconds'}"
        )
        print(f"bare round trip          median {bare_median:6.1f} ms")
        print(
            f"server time              median {inside_median:6.1f} ms ({inside_median / bare_median:5.1f} x bare)   p99 {inside_late:6.1f} ms ({inside_late / bare_median:5.1f} x)"
        )
        print(
            f"round trip of a student  median {trip_median:6.1f} ms ({trip_median / bare_median:5.1f} x bare)   p99 {trip_late:6.1f} ms ({trip_late / bare_median:5.1f} x)"
        )
