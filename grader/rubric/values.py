"""Element values, instants and source waveforms of a rubric: exact numbers, or symbols.

A value is first read as a student's is, number and unit.  Where that fails and it looks like a formula of symbols
(``"R"``, ``"2*R"``, ``"R1 + R2"``; a number stands before a symbol with a ``*`` between, since ``"2 R"`` could be a
misspelt unit), its letters become symbols of the problem, which stand for positive values.
"""

import re
from collections.abc import Sequence

from flint import fmpq

from grader.circuit.elements import Drive
from grader.quantities.design import UNKNOWN
from grader.quantities.formulas import worked_out
from grader.quantities.names import NamedValue
from grader.quantities.quantities import quantity, quoted
from grader.regex import regex
from grader.rubric.bounds import MAX_SYMBOLIC_POWER, MAX_SYMBOLIC_TEXT, MAX_SYMBOLS
from grader.rubric.personal import sample_value
from grader.rubric.source_waveform import drive, letters
from grader.rubric.table import CheckedTable
from grader.values.dimension import TIME, Dimension, unit_symbol
from grader.values.scalar import ONE, Scalar
from grader.values.symbolic import Symbolic
from grader.values.waveform import Waveform, constant

_SYMBOLIC = regex(r"[-+]?\s*[(]*\s*(\d[\d.]*\s*[*/]\s*)?[^\W\d_]\w*[\w\s.*/+^()-]*")
_LETTERS = regex(r"[^\W\d_]\w*")
RESERVED = frozenset(
    {"t", "e", "i", "j", "u", "pi", "exp", "cos", "sin", "sqrt", "ln", "log", "T", "E", "I", "J", "x", "X"}
)
"""What letters mean something else in an answer, or look like it where letter case is not kept."""


class Values:
    """Reads the values of one problem.

    Parameters
    ----------
    symbols : tuple of str
        The symbols of the problem, in a fixed order, as `found` by a first reading; without them, every symbol met
        is noted in `found` and stands for one.

    Attributes
    ----------
    found : dict of str to None
        The symbols met, in order.
    written : dict of str to str
        Element values as the instructor wrote them.
    inductances : dict of str to Scalar
        Of the inductors read so far, for coupling coefficients.
    """

    def __init__(self, symbols: tuple[str, ...] | None = None) -> None:
        self.symbols = symbols
        self.found: dict[str, None] = {}
        self.written: dict[str, str] = {}
        self.inductances: dict[str, Scalar] = {}

    def needed(self, table: CheckedTable, key: str, dimension: Dimension) -> Scalar:
        """`scalar` of a key that must be there; 1 stands for what is missing or wrong, which is a fault."""
        table.require(key, _sample(dimension))
        value = self.scalar(table, key, dimension)
        return ONE if value is None else value

    def scalar(self, table: CheckedTable, key: str, dimension: Dimension) -> Scalar | None:
        """An exact number in SI base units, or a formula of symbols; None where absent or wrong."""
        text = table.written(key)
        if text is None:
            return None
        if text == UNKNOWN and key == "value":  # it is found when the items that ask for it are known
            self.written[str(table.take("name"))] = text
            return ONE
        try:
            # A range of personal values is represented by its middle one.
            value = self._scalar(sample_value(text, dimension) if key == "value" else text, dimension)
        except ValueError as error:
            table.place.fault(f"'{key}': {error}")
            return None
        if key in ("value", "gain", "mutual", "coefficient", "ratio"):
            self.written[str(table.take("name"))] = text
        return value

    def _scalar(self, text: str, dimension: Dimension) -> Scalar:
        if _TWICE_R.fullmatch(text):
            raise ValueError(f"'{text}' cannot be worked out: it may be ohms or a multiple of R; write ohm or a '*'")
        try:
            found = quantity(text, dimension)
        except ValueError:
            if not _SYMBOLIC.fullmatch(text):
                raise
            return self._symbolic(text)
        return _number(found.waveform, text)

    def _symbolic(self, text: str) -> Scalar:
        _refuse_mistyped(text)
        letters = dict.fromkeys(_LETTERS.findall(text))
        if len(letters | self.found) > MAX_SYMBOLS:
            raise ValueError(
                f"more than {MAX_SYMBOLS} letters in one problem are too many; give numbers to some of them"
            )
        for letter in letters:
            if not letter.isascii():  # which polynomials in it could not hold
                raise ValueError(f"'{letter}' cannot be a symbol; write it in letters from a to z, with digits, as R1")
            if letter in RESERVED:
                raise ValueError(
                    f"'{letter}' means something else in an answer and cannot be a symbol; choose another, as {letter}0"
                )
        self.found.update(letters)
        names = {letter: constant(self._symbol(letter)) for letter in letters}
        return _number(quantity(text, None, names, expects="expression").waveform, text)

    def _symbol(self, letter: str) -> Scalar:
        return ONE if self.symbols is None else Symbolic.symbol(letter, self.symbols)

    def plain(
        self, table: CheckedTable, key: str, dimension: Dimension, names: Sequence[NamedValue] = ()
    ) -> fmpq | None:
        """A plain exact number in SI base units, or a formula of names that gives one; None where absent or wrong."""
        value = self.formula(table, key, dimension, names)
        if value is not None and not isinstance(value, fmpq):
            text = table.written(key)
            table.place.fault(f"'{key}': '{text}' must be a plain decimal number or fraction with its unit")
            return None
        return value

    def formula(
        self, table: CheckedTable, key: str, dimension: Dimension, names: Sequence[NamedValue] = ()
    ) -> Scalar | None:
        """`plain`, or a formula in which the problem's symbols are left."""
        text = table.written(key)
        if text is None:
            return None
        try:
            return _number(worked_out(text, dimension, names), text)
        except ValueError as error:
            table.place.fault(f"'{key}': {error}")
            return None

    def instant(self, table: CheckedTable, key: str, names: Sequence[NamedValue] = ()) -> fmpq | None:
        """An instant in seconds."""
        return self.plain(table, key, TIME, names)

    def instants(self, table: CheckedTable, key: str) -> tuple[fmpq, ...]:
        """One instant or a list of them."""
        found = []
        for text in table.all_written(key):
            one = CheckedTable({key: text}, table.place)
            instant = self.instant(one, key)
            if instant is not None:
                found.append(instant)
        return tuple(found)

    def drive(self, table: CheckedTable, key: str, dimension: Dimension) -> Drive:
        """What a source delivers, from the expression of its waveform."""
        text = table.text(key, needed=True)
        self.found.update(dict.fromkeys(letters(text)))
        names = {letter: constant(self._symbol(letter)) for letter in self.symbols or self.found}
        try:
            return drive(text, dimension, names)
        except ValueError as error:
            table.place.fault(f"'{key}': {error}")
            return Drive.always(constant(ONE))


_MISTYPED = regex(r"[-+]?\s*(?:[lOo]\s*[.,]?\s*[\dlOo]|(?:nan|inf|infinity)\b)", re.IGNORECASE)
"""How a number begins that a slip of the finger, or of another program, has made a word."""

_TWICE_R = regex(r"[\d.,/]+\s+R")
"""``2 R``: students' ohms on a component, but in a rubric as likely twice the letter R."""

_SIDE_BY_SIDE = regex(r"[\w)]\s+[\w(]")
_POWER = regex(r"(?:\^|\*\*)\s*\(?\s*-?\s*(\d+)")


def _refuse_mistyped(text: str) -> None:
    """Refuse what begins like a mistyped number, a letter with a unit, and formulas that grow beyond bounds."""
    if _MISTYPED.match(text):
        raise ValueError(
            f"'{quoted(text)}' begins like a mistyped number (l for 1, O for 0, nan, inf); write the number in digits"
        )
    if _SIDE_BY_SIDE.search(text):
        raise ValueError(
            f"'{quoted(text)}' sets two words side by side; a letter stands without a unit, and products need a '*'"
        )
    if len(text) > MAX_SYMBOLIC_TEXT:
        raise ValueError(f"a formula of letters may have {MAX_SYMBOLIC_TEXT} characters; shorten it")
    if any(len(power) > 2 or int(power) > MAX_SYMBOLIC_POWER for power in _POWER.findall(text)):
        raise ValueError(f"a power of letters may be {MAX_SYMBOLIC_POWER} at most")


def _number(waveform: Waveform, text: str) -> Scalar:
    if not waveform.is_number:
        raise ValueError(f"'{text}' must be a plain value without t")
    if not waveform.exact:
        raise ValueError(f"'{text}' has no exact value; write a decimal number or a fraction")
    return waveform.number


def _sample(dimension: Dimension) -> str:
    symbol = unit_symbol(dimension)
    return f"; write a number with its unit ({symbol})" if symbol else "; write a plain number"
