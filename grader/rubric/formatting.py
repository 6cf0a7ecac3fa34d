"""Answers as an instructor would write them, and as exact text for other programs."""

import ast
import re

from flint import fmpq

from grader.quantities import Answer, Roots
from grader.quantities.intervals import range_text
from grader.reading.render.typeset import stated_text
from grader.reading.render.waveform_tree import answer_tree
from grader.regex import regex
from grader.values.dimension import Dimension
from grader.values.scalar import scalar_text
from grader.values.text import number_text, waveform_text
from grader.values.waveform import Piecewise, Waveform, number_of

INEXACT_DIGITS = 17
"""Digits of a numeric value in the exact text: all that a float holds."""


def answer_text(
    answer: Answer, symbol: str, dimension: Dimension | None, start: fmpq | None = None, figures: int = 0
) -> str:
    """An answer in engineering notation.

    Parameters
    ----------
    answer : Answer
        SI base units.
    symbol : str
        The unit's symbol without prefix.
    dimension : Dimension or None
        Of the answer; decides whether the unit takes prefixes.
    start : fmpq or None
        Where an expression's interval begins; later than 0, its exponentials are written from there.
    figures : int
        As in `answer_tree`.
    """
    if isinstance(answer, str):
        return answer
    if isinstance(answer, tuple):
        return f"{_roots_text(answer)} {symbol}"
    if isinstance(answer, Piecewise):
        return "; ".join(
            f"{answer_text(piece, symbol, dimension, start)} for {range_text(start, end)}"
            for start, end, piece in answer.stretches()
        )
    return stated_text(answer_tree(answer, symbol, dimension, start, figures))


def _roots_text(roots: Roots) -> str:
    """``−3 ± j4``, or the real roots one by one."""
    texts: list[str] = []
    for real, imaginary in roots:
        if imaginary.is_symbolic or real.is_symbolic:
            texts.append(_complex_text(real, imaginary))
            continue
        size = imaginary.value()
        if size < 0:
            continue  # its conjugate stands for both
        text = number_text(real.value()).replace("-", "−", 1)
        texts.append(f"{text} ± j{number_text(size)}" if size else text)
    return ", ".join(texts)


_LONG_FRACTION = regex(r"(\d{12,})/(\d{12,})")
"""A number without an exact form, as the letters' exact text has it."""


def exact_text(answer: Answer) -> str:
    """What sympy's parser reads; roots are separated by commas, ``I`` being the imaginary unit.

    A response over several intervals is a ``Piecewise``, each piece with the condition up to when it holds.
    """
    if isinstance(answer, str):
        return answer
    if isinstance(answer, tuple):
        return ", ".join(_complex_text(real, imaginary) for real, imaginary in answer)
    if isinstance(answer, Piecewise):
        conditions = ("True" if end is None else f"t < {end}" for _, end, _ in answer.stretches())
        pieces = (exact_text(piece) for _, piece in answer.pieces)
        return f"Piecewise({', '.join(map('({}, {})'.format, pieces, conditions))})"
    if not answer.exact and answer.is_symbolic:
        return _LONG_FRACTION.sub(_decimal, tidied(waveform_text(answer)))
    if not answer.exact and answer.is_constant:
        return number_text(float(number_of(answer)), INEXACT_DIGITS)
    return tidied(waveform_text(answer))


def _decimal(fraction: re.Match[str]) -> str:
    return number_text(int(fraction[1]) / int(fraction[2]), INEXACT_DIGITS)


def tidied(text: str) -> str:
    """Exact text without the brackets that change nothing.

    Examples
    --------
    >>> tidied("(-7)*exp((-50)*t) + (7)")
    '-7*exp(-50*t) + 7'
    >>> tidied("((V)/(R))*exp(((-R)/(L))*t)")
    'V/R*exp(-R/L*t)'
    """
    plain = ast.unparse(_LeftFirst().visit(ast.parse(text, mode="eval")))
    return _AFTER_SIGN.sub(r"(\g<0>)", _TIGHT.sub(r"\1", plain)).replace("+ -", "- ")


_TIGHT = regex(r" (\*\*|[*/]) ")
_AFTER_SIGN = regex(r"(?<=[*/])-[\w/]+")
"""A negative factor behind another one keeps its bracket."""


class _LeftFirst(ast.NodeTransformer):
    """Sums and products bracketed from the left, where that needs no bracket in writing."""

    def visit_BinOp(self, node: ast.BinOp) -> ast.BinOp:
        self.generic_visit(node)
        inner = node.right
        sums, products = (ast.Add, ast.Sub), (ast.Mult, ast.Div)
        for kind, same in ((ast.Add, sums), (ast.Mult, products)):
            if isinstance(node.op, kind) and isinstance(inner, ast.BinOp) and isinstance(inner.op, same):
                left = self.visit_BinOp(ast.BinOp(node.left, node.op, inner.left))
                return ast.BinOp(left, inner.op, inner.right)
        return node


def _complex_text(real: Waveform, imaginary: Waveform) -> str:
    left = tidied(waveform_text(real))
    if not imaginary.terms:
        return left
    right = imaginary.number
    if isinstance(right, fmpq):
        size = scalar_text(abs(right))
        joint = "-" if right < 0 else "+"
        return f"{left} {joint} {size}*I" if real.terms else f"{'-' if right < 0 else ''}{size}*I"
    return f"{left} + ({scalar_text(right)})*I" if real.terms else f"({scalar_text(right)})*I"
