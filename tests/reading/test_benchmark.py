"""How long an expression answer takes, beside the plain way with a general algebra library.

Prints a ratio and asserts none.  The plain way runs in a process of its own with bounds on time and memory, since
nothing else keeps it from running away.
"""

from __future__ import annotations

import json
import resource
import statistics
import subprocess
import sys
import time
from random import Random

import pytest
from flint import fmpq

from grader.reading import reader
from grader.reading.evaluate import evaluate
from grader.reading.reader import read
from grader.values.dimension import CURRENT
from grader.values.term import Term
from grader.values.waveform import Waveform
from tests.common.writers import Style, write

ANSWERS = 200
SECONDS = 100

PLAIN_WAY = """
import json, sys, time
import sympy
from sympy.parsing.sympy_parser import (convert_xor, implicit_multiplication_application, parse_expr,
                                        standard_transformations)
t = sympy.Symbol("t")
how = (*standard_transformations, convert_xor, implicit_multiplication_application)
spent = []
pairs = json.load(sys.stdin)
parse_expr("exp(-t)", {"t": t}, transformations=how)
for answer, right in pairs:
    begin = time.process_time()
    left = parse_expr(answer, {"t": t, "e": sympy.E}, transformations=how)
    key = parse_expr(right, {"t": t, "e": sympy.E}, transformations=how)
    assert sympy.simplify(left - key) == 0
    spent.append(time.process_time() - begin)
print(json.dumps(spent))
"""


def _bounded() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (2**31, 2**31))


def _answers() -> list[tuple[Waveform, str, str]]:
    """Distinct first- and second-order answers, each written in two ways that both sides can read."""
    random = Random(7)
    found: dict[str, tuple[Waveform, str, str]] = {}
    while len(found) < ANSWERS:
        a, b, c = (fmpq(random.randint(1, 999), 100) for _ in range(3))
        rate, frequency = fmpq(-random.randint(2, 90) * 5), fmpq(random.randint(2, 900))
        terms = (
            [Term(a), Term(-b, rate=rate)] if len(found) % 2 else [Term(a), Term(b, c, rate=rate, frequency=frequency)]
        )
        waveform = Waveform.of(terms)
        one = write(waveform, random, Style(times="*", inside="r*t"))
        two = write(waveform, random, Style(times="*", inside="r*t", power="exp(r)", order="turned", number="fraction"))
        found.setdefault(one, (waveform, one, two))
    return list(found.values())


@pytest.mark.benchmark
def test_reading_beside_the_plain_way():
    """Median and worst of ours, median of the plain way, and their ratio."""
    answers = _answers()
    spent = []
    for _ in range(3):  # once warm, though every answer is new to the reader
        spent = []
        reader._read.cache_clear()
        for waveform, one, _two in answers:
            begin = time.process_time()
            reading = read(one, expects="expression", dimension=CURRENT)[0]
            equal = evaluate(reading.tree).waveform == waveform
            spent.append(time.process_time() - begin)
            assert equal
    pairs = [(two, one) for _, one, two in answers]
    done = subprocess.run(
        [sys.executable, "-c", PLAIN_WAY],
        input=json.dumps(pairs),
        capture_output=True,
        text=True,
        check=True,
        preexec_fn=_bounded,
    )
    plain = json.loads(done.stdout)
    ours, theirs = statistics.median(spent), statistics.median(plain)
    print(
        f"\n{len(answers)} answers: ours {ours * 1e6:.0f} µs in the median, {max(spent) * 1e6:.0f} µs at most; "
        f"the plain way {theirs * 1e3:.1f} ms in the median; ratio {theirs / ours:.0f}"
    )
