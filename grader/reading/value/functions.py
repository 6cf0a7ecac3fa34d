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


def _of_an_angle(function: Callable[[Waveform], Waveform]) -> Callable[[Value], Waveform]:
    def applied(value: Value) -> Waveform:
        try:
            return function(as_waveform(value))
        except wave.NotAWaveform as error:  # not linear in t: no algebra makes a response of that
            raise NoResponse(str(error)) from None

    return applied


def _logarithm(value: Value) -> Waveform:
    return functions.log(numeric(value))


_cosine, _sine = _of_an_angle(functions.cos), _of_an_angle(functions.sin)

FUNCTIONS: dict[str, Callable[[Value], Value]] = {
    "exp": exponential,
    "cos": _cosine,
    "sin": _sine,
    "tan": lambda value: divided(_sine(value), _cosine(value)),
    "cosh": lambda value: (exponential(value) + exponential(-value)).scaled(HALF),
    "sinh": lambda value: (exponential(value) - exponential(-value)).scaled(HALF),
    "ln": _logarithm,
    "log": lambda value: divided(_logarithm(value), _logarithm(fmpq(10))),
    "arctan": lambda value: functions.inverse("atan", numeric(value)),
    "arcsin": lambda value: functions.inverse("asin", numeric(value)),
    "arccos": lambda value: functions.inverse("acos", numeric(value)),
}
