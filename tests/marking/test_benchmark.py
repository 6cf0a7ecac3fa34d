"""Reading and deciding an expression answer, beside the plain way: a general parser, then simplify of the difference.

The answers are first-order responses as students hand them in: rounded, factored or turned, with a time constant in
the exponent.  Prints medians and their ratio and asserts nothing about time.  The plain way runs in a process of its
own, bounded in time and memory.
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

from grader.marking.judgement import Size
from grader.marking.mark import judge_answer
from grader.marking.understand import Unread, understand
from grader.reading import reader
from grader.uploads.records import Written
from grader.values.exact_text import waveform_text
from grader.values.term import Term
from grader.values.waveform import Waveform
from tests.common.writers import Style, write
from tests.marking.test_right_and_wrong import MARKING, as_students_round, key_to

ANSWERS = 150
SECONDS = 100

PLAIN_WAY = """
import json, sys, time
import sympy
from sympy.parsing.sympy_parser import (convert_xor, implicit_multiplication_application, parse_expr,
                                        standard_transformations)
t = sympy.Symbol("t")
how = (*standard_transformations, convert_xor, implicit_multiplication_application)
spent = []
for answer, right in json.load(sys.stdin):
    begin = time.process_time()
    difference = sympy.simplify(parse_expr(answer, {"t": t, "e": sympy.E}, transformations=how) - sympy.sympify(right))
    difference == 0
    spent.append(time.process_time() - begin)
print(json.dumps(spent))
"""


def _bounded() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (2**31, 2**31))


def _answers() -> list[tuple[Waveform, str]]:
    random = Random(11)
    found: dict[str, Waveform] = {}
    while len(found) < ANSWERS:
        start, final = (fmpq(random.randint(1, 999), random.choice((7, 11, 13, 100))) for _ in range(2))
        rate = -fmpq(random.randint(10, 900), random.choice((3, 7, 1)))
        right = Waveform.of([Term(final), Term(start - final, rate=rate)])
        style = Style(
            times="*",
            inside=random.choice(("r*t", "t/tau")),
            power="exp(r)",
            order=random.choice(("as it is", "turned")),
        )
        found.setdefault(write(as_students_round(right), random, style), right)
    return [(right, text) for text, right in found.items()]


@pytest.mark.benchmark
def test_reading_and_deciding_beside_the_plain_way():
    """Median and worst of ours, median of the plain way, and their ratio."""
    answers = _answers()
    keys = [key_to(right) for right, _ in answers]
    spent: list[float] = []
    for _ in range(3):  # once warm, though every answer is new to the reader
        spent = []
        reader._read.cache_clear()
        for key, (_, text) in zip(keys, answers, strict=True):
            begin = time.process_time()
            taken = understand(key, Written(problem="p", item="i", text=text), {})
            assert taken is not None
            assert not isinstance(taken, Unread)
            judgement = judge_answer(key, next(taken), key.reference.answer, MARKING.tolerance)
            spent.append(time.process_time() - begin)
            assert judgement.size is Size.RIGHT, text
    pairs = [(text, waveform_text(right)) for right, text in answers]
    done = subprocess.run(
        [sys.executable, "-c", PLAIN_WAY], input=json.dumps(pairs), capture_output=True, text=True, check=True,
        preexec_fn=_bounded,
    )  # fmt: skip
    ours, theirs = statistics.median(spent), statistics.median(json.loads(done.stdout))
    print(
        f"\n{len(answers)} answers: read and decided in {ours * 1e6:.0f} µs (median), {max(spent) * 1e6:.0f} µs at most; "
        f"the plain way {theirs * 1e3:.1f} ms; ratio {theirs / ours:.0f}"
    )
