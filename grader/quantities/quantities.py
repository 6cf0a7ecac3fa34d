"""Values that an instructor writes in a rubric: read as a student's are, but with one meaning or none.

Charity towards slips is for students; in a rubric ``10 W`` for a resistor is a fault, and so is what can be read in two
ways (``1,250 ohm``).
"""

import difflib
from collections.abc import Mapping
from typing import NamedTuple

from flint import fmpq

from grader.reading.reader import read
from grader.reading.record import Reading
from grader.reading.refusals import Refusal
from grader.reading.tree import Negative, Node, Power, Sum, UnitSymbol, walk
from grader.reading.value.evaluate import evaluate
from grader.regex import regex
from grader.values.dimension import (
    CAPACITANCE,
    CURRENT,
    INDUCTANCE,
    NAMES,
    NUMBER,
    RESISTANCE,
    TIME,
    VOLTAGE,
    Dimension,
    unit_symbol,
)
from grader.values.scalar import rational
from grader.values.waveform import Waveform


class Quantity(NamedTuple):
    """A value or an expression in SI base units; ``dimension`` None: no unit was written."""

    waveform: Waveform
    dimension: Dimension | None


MAX_QUOTED = 60
"""Characters of a value that a message repeats."""


def quoted(text: str) -> str:
    """A value as a message repeats it."""
    return text if len(text) <= MAX_QUOTED else f"{text[: MAX_QUOTED - 1]}…"


def quantity(
    text: str,
    dimension: Dimension | None,
    names: Mapping[str, Waveform] | None = None,
    *,
    expects: str = "value",
    measures: Mapping[str, Dimension | None] | None = None,
) -> Quantity:
    """Read a value as written: ``"6.8 kohm"``, ``"4k7"``, ``"10 cos(377 t) V"``.

    Parameters
    ----------
    text : str
        As written.
    dimension : Dimension or None
        What it must be, or without a unit; None: anything.
    names : mapping
        Names it may use, and their values.
    expects : str
        ``"value"`` or ``"expression"``.
    measures : mapping
        The dimensions of the names, where they are known.

    Raises
    ------
    ValueError
        With one sentence (without full stop) that says what is wrong and what would be right.
    """
    found = read(text, expects=expects, dimension=dimension, names=measures or dict.fromkeys(names or {}))
    text = quoted(text)
    if isinstance(found, Refusal):
        raise ValueError(f"'{text}' cannot be read ({found.sentence.rstrip('.')}){_right(text, dimension)}")  # noqa: TRY004 - a refusal is a value
    # what was set aside of a formula may be a name that is misspelt
    plain = [reading for reading in found if not (reading.slips or reading.others or reading.remarks)]
    if not plain:
        note = "".join(f" ({note.rstrip('.')})" for note in found[0].notes[:1])
        raise ValueError(f"'{text}' is no clear value{note}{_right(text, dimension)}")
    worths, reasons = _worths(plain, names or {})
    if not worths:
        raise ValueError(f"'{text}' cannot be worked out ({reasons[0].rstrip('.')}){_right(text, dimension)}")
    fitting = _fitting(worths, dimension)
    if not fitting:
        assert worths[0].dimension is not None
        kind = NAMES.get(worths[0].dimension, f"value in {unit_symbol(worths[0].dimension)}")
        raise ValueError(f"'{text}' is {_one(kind)}; {_one(_name(dimension))} is needed{_right('', dimension)}")
    if any(worth != fitting[0] for worth in fitting[1:]):
        raise ValueError(f"'{text}' can be read in more than one way; write it so that only one is left")
    return fitting[0]


def _fitting(worths: list[Quantity], dimension: Dimension | None) -> list[Quantity]:
    """The values of the dimension that is needed, else those without a unit."""
    fitting = [worth for worth in worths if dimension is None or worth.dimension == dimension]
    return fitting or [worth for worth in worths if worth.dimension is None]


def _worths(readings: list[Reading], names: Mapping[str, Waveform]) -> tuple[list[Quantity], list[str]]:
    """What the readings are worth, and why others are worth nothing."""
    worths: list[Quantity] = []
    reasons: list[str] = []
    for reading in readings:
        try:
            worth = evaluate(reading.tree, names)
        except (ValueError, ZeroDivisionError) as error:
            reasons.append(str(error))
            continue
        if not worth.consistent:
            reasons.append("values of different kinds are added")
            continue
        if worth.later:
            reasons.append("it changes its form on the way; state one expression, for one interval")
            continue
        if any(type(node) is Sum and any(map(_bare_unit, node.terms)) for node in walk(reading.tree)):
            reasons.append("a unit is added to a number; answers in s are not asked yet, and a unit needs its number")
            continue
        worths.append(Quantity(worth.waveform, worth.dimension))
    return worths, reasons


def _bare_unit(node: Node) -> bool:
    """Whether a term is a unit without a number, as the s of ``s + 2`` would be."""
    if isinstance(node, Negative):
        return _bare_unit(node.operand)
    if isinstance(node, Power):
        return _bare_unit(node.base)
    return isinstance(node, UnitSymbol)


def _one(name: str) -> str:
    return f"an {name}" if name[0] in "aeiou" else f"a {name}"


def _name(dimension: Dimension | None) -> str:
    return "value" if dimension is None else NAMES.get(dimension, f"value in {unit_symbol(dimension)}")


_SAMPLES = {
    RESISTANCE: "6.8 kohm", CAPACITANCE: "0.1 uF", INDUCTANCE: "20 mH", VOLTAGE: "12 V", CURRENT: "50 mA", TIME: "2 ms",
    NUMBER: "0.5",
}  # fmt: skip
_UNITS = {RESISTANCE: "ohm", CAPACITANCE: "F", INDUCTANCE: "H", VOLTAGE: "V", CURRENT: "A", TIME: "s"}


def _right(text: str, dimension: Dimension | None) -> str:
    """What would be right: the nearest unit where a word is misspelt, else a sample."""
    if dimension is None:
        return ""
    words = text.split()
    if len(words) > 1 and dimension in _UNITS:
        known = [prefix + _UNITS[dimension] for prefix in ("", "k", "M", "m", "u", "n", "p", "G")]
        close = difflib.get_close_matches(words[-1], known, n=1)
        if close and close[0] != words[-1]:
            return f"; did you mean '{' '.join([*words[:-1], close[0]])}'?"
    return f'; write it as in "{_SAMPLES[dimension]}"' if dimension in _SAMPLES else ""


_SHARE = regex(r"(\d{1,4}(?:\.\d{1,12})?)\s*(%?)")


def is_share(text: str) -> bool:
    """Whether a text states a share between 0 and 1, without these."""
    return _SHARE.fullmatch(text.strip()) is not None and 0 < share_of(text) < 1


def share_of(text: str) -> fmpq:
    """The share.

    Raises
    ------
    ValueError
        If the text states none.
    """
    found = _SHARE.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"'{text}' is no share; write it as in \"2 %\"")
    return rational(found[1]) / (100 if found[2] else 1)
