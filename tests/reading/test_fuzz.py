"""Whatever is typed: a reading or a refusal, no exception, no work beyond bounds, nothing executed."""

import builtins
import contextlib
import math
import pickle
import statistics
import time
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.reading import limits, reader
from grader.reading.reader import EXPECTED, Refusal, read
from grader.reading.tree import Choice, Roots
from grader.reading.value.evaluate import evaluate
from grader.reading.value.roots import evaluate_roots
from grader.values.dimension import CAPACITANCE, CURRENT, INDUCTANCE, RESISTANCE, TIME, VOLTAGE

NAMES = {
    "R": RESISTANCE,
    "L": INDUCTANCE,
    "C": CAPACITANCE,
    "R1": RESISTANCE,
    "tau": TIME,
    "i(0)": CURRENT,
    "Vs": VOLTAGE,
}
PIECES = (
    "2.4", "0,16", "1,250", "10", "500", "e", "E", "t", "^", "-", "+", "*", "/", "(", ")", "[", "]", "{", "}", "mA", "V", "ms",
    "k", "Ω", "cos", "sin", "exp", "u(t)", "u(t-2)", "R", "L", "C", "RC", "tau", "τ", "π", "√", " ", " ", " ", ",", ";", "\n", "=",
    "<", ">", "t>0", "i(t)=", "±", "j", "°", "%", "∞", "\\frac{", "\\left(", "\\text{mA}", "$", "⁻⁵⁰⁰ᵗ", "e^-500t", "e-3t", "**",
    "#NAME?", "?", "'", '"', "and", "for", "where", "approx", "4k7", "1e-3", "1e999", "9**9", "^9^9^9", "−", "–", "Ϫ", "\u200b", "💥",
    "__import__('os')", "lambda", ".", "..", ":", "!", "|", "&", "\\", "_", "x", "10^", "i(0+)", "e^", "ln", "sqrt", "t in ms",
    "∠", "then", "afterwards", "until", "from", "to", "[0,", "∞)", "t'", "=t-", "D", "D^2", "x", "y''", "dv/dt", "v'", "s", "(s+2)", "δ(t)",
    "&omega;", "&foo;", "crossed out", "not", "plus at", "with", "without", "R1", "in series with", "both negative", "never", "1)", "a)",
    "->", "impulse of", "after", "before", "minutes", "~~", "no:", "sorry", "0.1 s", "20 ms", "half", "twice", "percent",
)  # fmt: skip
ALLOWED = (ValueError, ZeroDivisionError)
"""What evaluation may raise: all say in a sentence why there is no value."""


def use(text: str, expects: str, unit: str = "") -> None:
    """Read, show, pickle and work out: everything that is done with an answer."""
    found = read(text, expects=expects, dimension=CURRENT, names=NAMES, unit=unit)
    if isinstance(found, Refusal):
        assert found.sentence.endswith("."), text
        assert len(found.sentence) < 400
        assert found.place is None or 0 <= found.place <= len(text)
        return
    assert 1 <= len(found) <= limits.MAX_READINGS
    for reading in found:
        assert reading.text
        assert reading.mathml.startswith("<math ")
        assert pickle.loads(pickle.dumps(reading)) == reading
        trees = [reading.tree, *(tree for _, tree in reading.others)]
        for tree in trees:
            if isinstance(tree, Choice):
                continue
            with contextlib.suppress(*ALLOWED):
                evaluate_roots(tree) if isinstance(tree, Roots) else evaluate(tree)


def test_pieces_of_answers():
    """Three thousand answers put together from pieces at random."""
    random = Random(20)
    for _ in range(3000):
        text = "".join(random.choice(PIECES) for _ in range(random.randint(1, 14)))
        use(text, random.choice(EXPECTED), random.choice(("", "", "", "mA", "rad/s", "nonsense")))


@pytest.mark.nightly
def test_many_pieces_of_answers():
    """The same two hundred thousand times, with longer ones."""
    random = Random(21)
    for _ in range(200_000):
        text = "".join(random.choice(PIECES) for _ in range(random.randint(1, 40)))
        use(text, random.choice(EXPECTED))


@pytest.mark.benchmark
def test_the_slowest_answers(capsys):
    """Prints how long reading and working out takes on answers put together at random: median and slowest."""
    random = Random(22)
    texts = ["".join(random.choice(PIECES) for _ in range(random.randint(1, 40))) for _ in range(5000)]
    spent = []
    for text in texts:
        best = math.inf
        for _ in range(3):
            reader._read.cache_clear()
            begin = time.process_time()
            found = read(text, expects="expression")
            if not isinstance(found, Refusal):
                with contextlib.suppress(*ALLOWED):
                    evaluate(found[0].tree)
            best = min(best, time.process_time() - begin)
        spent.append((best, text))
    slowest, text = max(spent)
    with capsys.disabled():
        print(
            f"\n{len(texts)} answers put together at random: median {statistics.median(seconds for seconds, _ in spent) * 1e6:.0f} µs, "
            f"slowest {slowest * 1e3:.1f} ms: {text!r}"
        )


@settings(max_examples=300)
@given(text=st.text(max_size=60), expects=st.sampled_from(EXPECTED))
def test_any_text(text, expects):
    """Any characters at all."""
    use(text, expects)


@settings(max_examples=200)
@given(
    sign=st.from_regex(r"&#?\w{1,9};", fullmatch=True),
    around=st.sampled_from(["{}", "3 {} V", "2{}A", "{0}{0}", "&amp;{}"]),
)
def test_what_looks_like_a_sign_of_a_web_page(sign, around):
    """``&omega;`` and what is no such sign: it is read, or refused in a sentence."""
    use(around.format(sign), "value")


@pytest.mark.parametrize(
    "text",
    [
        "(" * 400, "((((((((((((((((((((((((1))))))))))))))))))))))))", "-" * 400 + "1", "2^" * 200 + "2", "9^9^9^9^9", "2, 3 A^9^9^9", "e^" * 200, "e^e^e^9",
        "e^(e^(e^(e^9)))", "1e-60" * 80, "2*" * 240 + "2", "1/" * 240 + "3", "cos " * 120 + "t", "e^-t" * 100, "(1+e^-t)^30",
        "((1+t)^30)^30", "(cos t + sin 2t + e^-t + t)^9", "+".join(f"e^{n}t" for n in range(60)), "√" * 300 + "2", "1,2" * 160, "1,2," * 120,
        "9" * 400, "9" * 59 + "e59", "t=" * 200 + "1", "i(0)=" * 90 + "1", "±" * 300 + "1", "{" * 300, "\\frac{" * 80, "$" * 500, "9.9^(9.9^9.9)",
        "10^10^10", "(10^30)^30^30", "u(t-1)" * 60, "\n" * 500, "," * 500, "e-1" * 160, "1e5t" * 110, "2e-3t" * 90, "k" * 500, "t" * 500, "∞" * 400,
        "⁻" * 500, "mA" * 250, "1 2 " * 120, "2^-t" * 100, "(1+t)" * 90, "1,250 " * 80, "10-3*" * 90 + "1", "cos(t-5)" * 60,
        f"-30+j40{' ' * 460}conj x", f"-30+j40{' ' * 460}c.c. x", f"30 V{' ' * 450}crossed", "…" * 490, "0." * 240, "3 in " * 95 + "x",
    ],
)  # fmt: skip
@pytest.mark.parametrize("expects", ["value", "expression", "roots"])
def test_bombs(text, expects):
    """Answers made to exhaust a reader are refused, or read within the bounds."""
    use(text, expects)


def runs_of(random):
    """A piece, another one many times, and a third: what backtracking would repeat for every place at which it may begin."""
    begin, run, end = (random.choice(PIECES) for _ in range(3))
    return f"{begin}{run * random.choice((20, 60, 150, 480))}"[:480] + end


def test_runs_of_pieces():
    """A hundred runs, for everything that may be asked, an equation and letters of options among them."""
    random = Random(23)
    for text in [runs_of(random) for _ in range(100)]:
        for expects in EXPECTED:
            use(text, expects)
    for text in (f"v' + 3v = 9{' ' * 460}with", f"v' + 3v = 9{'not ' * 30}{'= ' * 90}minus", "v' = 9" + "'" * 460):
        read(text, expects="equation")
    for text in ("and " * 100, "a and " * 80 + "!", "(a)" * 150):
        read(text, expects="choices", options=("opens", "closes", "stays"))


@pytest.mark.nightly
def test_many_runs_of_pieces():
    random = Random(24)
    for text in [runs_of(random) for _ in range(10_000)]:
        use(text, random.choice(EXPECTED))


@pytest.mark.parametrize(
    ("text", "expects"),
    [
        ("until" + "[0," * 60 + "half", "value"),
        ("&omega;edv/dtxcosminutesu(t)1,250..%2.4e-3t−1,250,xv'20 mse^-500tpercent", "expression"),
    ],
)
def test_no_more_readings_than_the_bound(text, expects):
    use(text, expects)


def test_too_long_is_refused():
    """Beyond the bound nothing is even looked at."""
    found = read("1+" * limits.MAX_CHARACTERS)
    assert isinstance(found, Refusal)
    assert found.kind == "too-long"


def test_nothing_is_executed(monkeypatch):
    """Python's own evaluation is out of reach while answers are read and worked out."""

    def refuse(*_args, **_kwargs):
        raise AssertionError("an answer was executed")

    read("2.4 mA")  # tables are built before
    for name in ("eval", "exec", "compile", "__import__"):
        monkeypatch.setattr(builtins, name, refuse)
    for text in ("__import__('os').system('true')", "exec('1')", "2.4(1-e^-500t) mA", "lambda: 0", "(1).__class__"):
        found = read(text, expects="expression")
        if not isinstance(found, Refusal):
            for reading in found:
                assert reading.unit in {None, "mA"}
