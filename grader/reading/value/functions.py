"""The functions that an answer may call, of a value: real numbers, and of some of them t or complex numbers too."""

from collections.abc import Callable

from flint import fmpq

from grader.reading.value.complex_number import Complex
from grader.reading.value.worth import NoResponse, Value, as_waveform, divided, exponential, numeric, square_root
from grader.values import functions
from grader.values import waveform as wave
from grader.values.scalar import HALF
from grader.values.waveform import Waveform


def size(value: Value) -> Value:
    """The absolute value of a real or complex number; raises `NotAWaveform` where it depends on t."""
    if type(value) is Complex:
        return square_root(value.re * value.re + value.im * value.im)
    return abs(wave.number_of(numeric(value)))


def _cosine(value: Value) -> Waveform:
    return _of_an_angle(functions.cos, value)


def _sine(value: Value) -> Waveform:
    return _of_an_angle(functions.sin, value)


def _of_an_angle(function: Callable[[Waveform], Waveform], value: Value) -> Waveform:
    try:
        return function(as_waveform(value))
    except wave.NotAWaveform as error:  # not linear in t: no algebra makes a response of that
        raise NoResponse(str(error)) from None


def _inverse(function: str) -> Callable[[Value], Value]:
    return lambda value: functions.inverse(function, numeric(value))


def _tangent(value: Value) -> Value:
    return divided(_sine(value), _cosine(value))


def _cosh(value: Value) -> Value:
    return (exponential(value) + exponential(-value)).scaled(HALF)


def _sinh(value: Value) -> Value:
    return (exponential(value) - exponential(-value)).scaled(HALF)


def _logarithm(value: Value) -> Waveform:
    return functions.log(numeric(value))


def _common_logarithm(value: Value) -> Value:
    return divided(_logarithm(value), _logarithm(fmpq(10)))


FUNCTIONS: dict[str, Callable[[Value], Value]] = {
    "exp": exponential, "cos": _cosine, "sin": _sine, "tan": _tangent, "cosh": _cosh, "sinh": _sinh, "ln": _logarithm,
    "log": _common_logarithm, "arctan": _inverse("atan"), "arcsin": _inverse("asin"), "arccos": _inverse("acos"),
}  # fmt: skip
