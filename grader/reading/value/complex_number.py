"""Complex numbers while an answer is worked out: a real and an imaginary part, each a waveform."""

from typing import Any

from msgspec import Struct

from grader.values.waveform import Waveform, constant, reciprocal


class Complex(Struct, frozen=True):
    """``re + j im``; sums and products take plain numbers and waveforms, too."""

    re: Waveform
    im: Waveform

    def __add__(self, other: Any) -> "Complex":
        """The sum."""
        other = as_complex(other)
        return Complex(self.re + other.re, self.im + other.im)

    def __neg__(self) -> "Complex":
        """The opposite."""
        return Complex(-self.re, -self.im)

    def __mul__(self, other: Any) -> "Complex":
        """The product."""
        other = as_complex(other)
        return Complex(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)

    def over(self, other: Any) -> "Complex":
        """The quotient."""
        other = as_complex(other)
        share = reciprocal(other.re * other.re + other.im * other.im)
        top = self * Complex(other.re, -other.im)
        return Complex(top.re * share, top.im * share)


def as_complex(value: Any) -> Complex:
    """A number, a waveform or a complex number as a complex number."""
    if type(value) is Complex:
        return value
    return Complex(value if type(value) is Waveform else constant(value), Waveform())
