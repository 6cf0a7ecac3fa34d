"""The goal in numbers: no wrong answer accepted, hardly a right one refused, over all notations.

Right answers are random responses written in random notation, their coefficients rounded as students round; wrong
ones have one number off by more than its tolerance, a sign turned, a term lost or added.  Both go the whole way:
reading, competing readings, comparison.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from flint import fmpq

from grader.marking.itemkey import ItemKey
from grader.marking.judgement import Size
from grader.marking.understand import Unreadable, understand
from grader.marking.verdict import judge_answer
from grader.problem import Marking
from grader.rubric.references import Reference
from grader.uploads.records import Written
from grader.values.dimension import CURRENT
from grader.values.modes import peak
from grader.values.scalar import ZERO, rational, to_float
from grader.values.term import Term
from grader.values.waveform import Waveform
from tests.common.writers import random_style, write

MARKING = Marking()


def response(random: Random) -> Waveform:
    """A response as problems set it: a final value and modes of first or second order, of comparable size."""

    def size() -> fmpq:
        return fmpq(random.randint(100, 999) * random.choice((1, -1)), 100)

    def rate() -> fmpq:
        return -fmpq(random.choice((1, 2, 4, 5, 8, 12, 16, 25, 40, 125))) * fmpq(10) ** random.randint(0, 3)

    terms = [Term(size())] if random.random() < 0.7 else []
    first = rate()
    match random.choice(("first", "first", "over", "critical", "under")):
        case "first":
            terms.append(Term(size(), rate=first))
        case "over":
            terms += [Term(size(), rate=first), Term(size(), rate=first * random.choice((3, 4, 5)))]
        case "critical":
            terms += [Term(size(), rate=first), Term(size() * -first, power=1, rate=first)]
        case _:
            ratio = fmpq(random.randint(20, 90), 10)
            terms.append(Term(size(), size(), rate=first, frequency=-first * ratio))
    return Waveform.of(terms)


def key_to(right: Waveform) -> ItemKey:
    """The key to a single expression item."""
    reference = Reference(
        problem="p", item="i", find="expression", kind="expression", answer=right, dimension=CURRENT, start=ZERO,
        scale=peak(right.modes()), text="", exact="",
    )  # fmt: skip
    return ItemKey(
        problem="p", id="i", points=1.0, marking=MARKING, hint="", reference=reference, signal=None, accepted=(right,), parts=(),
        options=(), percent=False, names={}, values={}, carries=(),
    )  # fmt: skip


def accepted(item: ItemKey, text: str) -> bool:
    """Whether some reading of a text is judged right."""
    taken = understand(item, Written(problem="p", item="i", text=text), {})
    if taken is None or isinstance(taken, Unreadable):
        return False
    return any(judge_answer(item, one, item.reference.answer, MARKING.tolerance).size is Size.RIGHT for one in taken)


def rounded(value: fmpq, figures: int) -> fmpq:
    """A number as a calculator's display is copied."""
    return rational(f"{to_float(value):.{figures - 1}e}")


def as_students_round(right: Waveform) -> Waveform:
    """Every coefficient, rate and frequency to three or four figures."""
    return Waveform.of(
        t._replace(
            cosine=rounded(t.cosine, 3),
            sine=rounded(t.sine, 3),
            rate=rounded(t.rate, 4),
            frequency=rounded(t.frequency, 4),
        )
        for t in right.terms
    )


def spoilt(right: Waveform, random: Random) -> Waveform:
    """One thing wrong by more than any tolerance covers."""
    terms = list(right.terms)
    moving = [k for k, t in enumerate(terms) if t.rate != 0]
    k = random.choice(moving)
    factor = random.choice((fmpq(11, 10), fmpq(9, 10), fmpq(1, 2), fmpq(2), fmpq(13, 10)))
    match random.randrange(6):
        case 0:
            terms[k] = terms[k]._replace(rate=terms[k].rate * factor)
        case 1:
            terms[k] = terms[k]._replace(rate=-terms[k].rate)
        case 2:
            terms[k] = terms[k]._replace(cosine=-terms[k].cosine, sine=-terms[k].sine)
        case 3:
            loud = max(terms, key=lambda t: abs(to_float(t.cosine)) if t.power == 0 else 0)
            terms[terms.index(loud)] = loud._replace(cosine=loud.cosine * factor)
        case 4:
            terms = [*terms, Term(terms[k].cosine * fmpq(1, 2), rate=terms[k].rate * 7)]
        case _:
            terms = [t for j, t in enumerate(terms) if j != k] or [Term(fmpq(1))]
    return Waveform.of(terms)


def run(seed: int, count: int) -> tuple[list[str], list[str]]:
    """Wrong answers accepted and right answers refused, of `count` each."""
    random = Random(seed)
    slipped, refused = [], []
    for _ in range(count):
        right = response(random)
        item = key_to(right)
        style = random_style(random)
        text = write(as_students_round(right), random, style)
        if not accepted(item, text):
            refused.append(text)
        wrong = write(spoilt(right, random), random, replace(style))
        if accepted(item, wrong):
            slipped.append(f"{wrong}   for   {write(right, random, style)}")
    return slipped, refused


def test_some_hundreds():
    """No wrong answer accepted and no right one refused among some hundreds."""
    slipped, refused = run(1, 400)
    assert not slipped
    assert not refused


@pytest.mark.nightly
def test_a_hundred_thousand():
    """The goal: none of 100,000 wrong ones accepted, at most one right answer in 1,000 refused."""
    slipped, refused = run(2, 100_000)
    assert not slipped, "\n".join(slipped[:20])
    assert len(refused) <= 100, "\n".join(refused[:20])
