"""Reading and deciding an expression answer, beside the plain way: a general parser, then simplify of the difference.

Responses are random; their numbers are rounded and put down in the forms in which such an answer is usually given.
Prints medians and their ratios and asserts nothing about time.  The plain way runs in a process of its own, bounded in
time and memory; an answer on which it is cut short counts with the time it was given.
"""

import json
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from random import Random

import pytest
from flint import fmpq

from grader.marking.against import judge_answer
from grader.marking.interpretation import Unreadable
from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size
from grader.marking.understand import understand
from grader.reading import reader
from grader.uploads.upload import Written
from grader.values.term import Term
from grader.values.text import waveform_text
from grader.values.waveform import Waveform
from tests.marking.test_right_and_wrong import MARKING, key_to

ANSWERS_PER_FORM = 25
SECONDS = 200
SECONDS_PER_ANSWER = 3
ROUNDS = 20

FIRST_ORDER: dict[str, Callable[[float, float, float], str]] = {
    "sum": lambda x0, xf, rate: f"{xf:.4g} + {x0 - xf:.4g}*exp(-{rate:.4g}*t)",
    "sum with a time constant": lambda x0, xf, rate: f"{x0 - xf:.4g}*exp(-t/{1 / rate:.4g}) + {xf:.4g}",
    "factored": lambda x0, xf, rate: f"{xf:.4g}*(1 + {(x0 - xf) / xf:.4g}*e^(-{rate:.4g}t))",
    "by its ends": lambda x0, xf, rate: f"{xf:.4g} + ({x0:.4g} - {xf:.4g})*exp(-{rate:.4g}t)",
    "rise and decay": lambda x0, xf, rate: f"{xf:.4g}*(1 - e^(-{rate:.4g}t)) + {x0:.4g}*e^(-{rate:.4g}t)",
}
"""From initial value, final value and rate, the forms that textbooks give a first-order response (common practice, no source)."""

SECOND_ORDER: dict[str, Callable[[float, float, float, float], str]] = {
    "cosine and sine": lambda a, b, alpha, omega: (
        f"e^(-{alpha:.4g}t)*({a:.4g}*cos({omega:.4g}t) + {b:.4g}*sin({omega:.4g}t))"
    ),
    "two exponentials": lambda a, b, alpha, omega: f"{a:.4g}*exp(-{alpha:.4g}*t) + {b:.4g}*exp(-{omega:.4g}*t)",
}

PLAIN_WAY = """
import json, signal, sys, time
import sympy
from sympy.parsing.sympy_parser import (convert_xor, implicit_multiplication_application, parse_expr,
                                        standard_transformations)
t = sympy.Symbol("t")
how = (*standard_transformations, convert_xor, implicit_multiplication_application)
answers, seconds = json.load(sys.stdin)
spent = []

def cut_short(*_):
    raise TimeoutError

signal.signal(signal.SIGALRM, cut_short)
for answer, right in answers:
    begin = time.process_time()
    signal.alarm(seconds)
    try:
        sympy.simplify(parse_expr(answer, {"t": t, "e": sympy.E}, transformations=how) - sympy.sympify(right)) == 0
    except TimeoutError:
        pass
    finally:
        signal.alarm(0)
    spent.append(time.process_time() - begin)
print(json.dumps(spent))
"""


def _bounded() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (2**31, 2**31))


def _first_order(random: Random) -> tuple[Waveform, tuple[float, ...]]:
    start, final = (fmpq(random.randint(1, 999), random.choice((7, 11, 13, 100))) for _ in range(2))
    rate = fmpq(random.randint(10, 900), random.choice((3, 7, 1)))
    right = Waveform.of([Term(final), Term(start - final, rate=-rate)])
    return right, (float(start), float(final), float(rate))


def _second_order(random: Random, form: str) -> tuple[Waveform, tuple[float, ...]]:
    a, b = (fmpq(random.randint(1, 999), random.choice((7, 11, 13, 100))) for _ in range(2))
    alpha, omega = fmpq(random.randint(10, 90)), fmpq(random.randint(100, 900))
    if form == "two exponentials":
        terms = [Term(a, rate=-alpha), Term(b, rate=-omega)]
    else:
        terms = [Term(a, b, rate=-alpha, frequency=omega)]
    return Waveform.of(terms), (float(a), float(b), float(alpha), float(omega))


def _answers() -> dict[str, list[tuple[Waveform, str]]]:
    random = Random(11)
    found: dict[str, list[tuple[Waveform, str]]] = {}
    for form, write in FIRST_ORDER.items():
        right = [_first_order(random) for _ in range(ANSWERS_PER_FORM)]
        found[f"first order, {form}"] = [(waveform, write(*numbers)) for waveform, numbers in right]
    for form, write_two in SECOND_ORDER.items():
        right = [_second_order(random, form) for _ in range(ANSWERS_PER_FORM)]
        found[f"second order, {form}"] = [(waveform, write_two(*numbers)) for waveform, numbers in right]
    return found


def _ours(answers: dict[str, list[tuple[Waveform, str]]]) -> dict[str, list[float]]:
    """Seconds for each answer, the best of many rounds over all forms: warm code, answers new to the reader."""
    cases = [(form, key_to(right), text) for form, written in answers.items() for right, text in written]
    best: dict[str, list[float]] = {form: [] for form in answers}
    rounds = [[_once(key, text) for _, key, text in _forgotten(cases)] for _ in range(ROUNDS)]
    for (form, _, _), times in zip(cases, zip(*rounds, strict=True), strict=True):
        best[form].append(min(times))
    return best


def _forgotten(cases: list[tuple[str, ItemKey, str]]) -> list[tuple[str, ItemKey, str]]:
    """The same cases, none of which the reader remembers."""
    reader._read.cache_clear()
    return cases


def _once(key: ItemKey, text: str) -> float:
    begin = time.process_time()
    taken = understand(key, Written(problem="p", item="i", text=text), {})
    assert taken is not None
    assert not isinstance(taken, Unreadable)
    judgement = judge_answer(key, next(taken), key.reference.answer, MARKING.tolerance)
    spent = time.process_time() - begin
    assert judgement.size is Size.RIGHT, text
    return spent


def _plain(answers: list[tuple[Waveform, str]]) -> list[float]:
    """Seconds for each answer the plain way."""
    pairs = [(text, waveform_text(right)) for right, text in answers]
    done = subprocess.run(
        [sys.executable, "-c", PLAIN_WAY], input=json.dumps((pairs, SECONDS_PER_ANSWER)), capture_output=True, text=True,
        check=True, preexec_fn=_bounded,
    )  # fmt: skip
    return json.loads(done.stdout)


@pytest.mark.benchmark
def test_reading_and_deciding_beside_the_plain_way(capsys):
    """By form and over all of first order: median and worst of ours, median of the plain way, and their ratio."""
    answers = _answers()
    plain = {form: _plain(written) for form, written in answers.items()}
    ours = _ours(answers)
    for order in ("first order", "second order"):
        for times in (ours, plain):
            times[f"{order}, all"] = [one for form, spent in times.items() if form.startswith(order) for one in spent]
    with capsys.disabled():
        print(f"\n{'read and decided':40} {'median':>8} {'worst':>8} {'plain way':>10} {'ratio':>6}")
        for form, spent in ours.items():
            median, other = statistics.median(spent), statistics.median(plain[form])
            print(
                f"{form:40} {median * 1e6:5.0f} µs {max(spent) * 1e6:5.0f} µs {other * 1e3:7.1f} ms {other / median:6.0f}"
            )
