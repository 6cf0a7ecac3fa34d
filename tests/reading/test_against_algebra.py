"""Readings against a general algebra library on answers in plain notation, for which both agree on the meaning."""

from random import Random

import pytest
import sympy
from sympy.parsing.sympy_parser import implicit_multiplication, parse_expr, standard_transformations

from grader.reading.reader import Refusal, read
from grader.reading.value.evaluate import evaluate
from grader.values.waveform import NotAWaveform

T = sympy.Symbol("t")
PLAIN = (*standard_transformations, implicit_multiplication)


def expression(random: Random, depth: int) -> str:
    """A random expression with every sign written and every bracket set."""
    if depth == 0 or random.random() < 0.2:
        return random.choice(
            [
                str(random.randint(1, 40)),
                f"{random.randint(1, 400) / 8}",
                "t",
                f"({random.randint(1, 9)}/{random.randint(1, 9)})",
            ]
        )
    left, right = expression(random, depth - 1), expression(random, depth - 1)
    kind = random.randrange(8)
    rate = random.randint(1, 60)
    return [
        f"({left} + {right})", f"({left} - {right})", f"({left})*({right})", f"-({left})", f"({left})*exp(-{rate}*t)",
        f"({left})*cos({rate}*t)", f"({left})*sin({rate}*t + {random.randint(1, 3)})", f"({left})/{random.randint(1, 9)}",
    ][kind]  # fmt: skip


@pytest.mark.parametrize("seed", range(60))
def test_same_value(seed):
    """The exact waveform minus the library's expression is nought, at instants given to thirty digits."""
    text = expression(Random(seed), 4)
    found = read(text, expects="expression")
    assert not isinstance(found, Refusal), f"{text}: {found.sentence}"
    wanted = parse_expr(text, {"t": T}, transformations=PLAIN)
    waveform = next(evaluate(r.tree).waveform for r in found if "degree-sign-left-out" not in r.slips)
    for instant in (0.0, 0.013, 0.4):
        assert waveform.value(instant) == pytest.approx(float(wanted.subs(T, instant).evalf(30)), rel=1e-9, abs=1e-9), (
            text
        )


@pytest.mark.parametrize("text", ["1/(1+t)", "exp(t**2)", "sqrt(t)", "1/cos(t)", "t**t", "exp(exp(t))"])
def test_outside_the_exponential_polynomials(text):
    """What has no exact form here is told, never approximated."""
    with pytest.raises(NotAWaveform):
        evaluate(read(text, expects="expression")[0].tree)
