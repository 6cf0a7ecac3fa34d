"""Targets that answers are held against."""

from msgspec.structs import replace

from grader.marking.judgement import Target
from grader.values.dimension import CURRENT, VOLTAGE
from grader.values.functions import exp
from grader.values.laplace import DELTA
from grader.values.scalar import rational
from grader.values.waveform import TIME, Waveform, constant

SIX = Target(answer=constant(rational("0.006")), dimension=CURRENT, varies=False, scale=0.01)


def value(text: str) -> Waveform:
    return constant(rational(text))


def falls(first: str, last: str, rate: str) -> Waveform:
    return value(last) + value(first) * exp(TIME.scaled(rational(rate)))


def struck(area: str, first: str) -> Waveform:
    return falls(first, "0", "-500") + constant(DELTA * rational(area))


FALL = Target(answer=falls("24", "6", "-500"), dimension=VOLTAGE, varies=True, scale=30.0)
STRUCK = replace(FALL, answer=struck("3", "24"))
