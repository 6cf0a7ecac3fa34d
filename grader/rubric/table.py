"""Reads one TOML table key by key; whatever is wrong becomes a sentence, never an exception.

A `Location` says where in the file a table stands, and holds the list of all faults found so far.  A `CheckedTable` hands
out values of the expected kind; a key that nobody asked for is a fault of its own, with the nearest known word.
"""

import difflib
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Any, TypeVar

from msgspec import Struct, field

from grader.uploads.escaping import visible

T = TypeVar("T")

MAX_TEXT = 10_000
"""Longest text taken from one key, in characters: a long problem statement has a tenth of it."""


class Location(Struct, frozen=True, kw_only=True):
    """Where something stands (``"locks.toml, problem 'valve'"``), and the faults found in the whole file."""

    where: str
    faults: list[str] = field(default_factory=list)

    def within(self, what: str) -> "Location":
        """The place of a part of this one."""
        return Location(where=f"{self.where}, {what}", faults=self.faults)

    def fault(self, sentence: str) -> None:
        """Note what is wrong here and what would be right: one sentence without its full stop, on one line."""
        self.faults.append(visible(" ".join(f"{self.where}: {sentence}.".split())))


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint for a misspelt word: the nearest one known, or the known words if they are few, or nothing.

    Examples
    --------
    >>> nearest("resister", ["resistor", "capacitor"])
    " (did you mean 'resistor'?)"
    """
    words = sorted(set(known))
    close = difflib.get_close_matches(word, words, n=1) or [w for w in words if w.lower() == word.lower()]
    if close:
        return f" (did you mean '{close[0]}'?)"
    return f" (known here: {', '.join(words)})" if words and len(words) <= 30 else ""


def shown(value: object) -> str:
    """A value as a message shows it: short, on one line, in quotes where it is text."""
    text = " ".join(str(value).split())
    text = text if len(text) <= 60 else f"{text[:57]}…"
    return f"'{text}'" if isinstance(value, str) else text


class CheckedTable:
    """One TOML table, read key by key.

    Parameters
    ----------
    content : Mapping
        The table as the TOML reader gives it, decimal numbers as `Decimal`.
    place : Location
        Where it stands.
    """

    def __init__(self, content: Mapping[str, Any], place: Location) -> None:
        self.content = content
        self.place = place
        self._asked: set[str] = set()

    def has(self, key: str) -> bool:
        """Whether the key is there, and says something."""
        self._asked.add(key)
        return self.content.get(key) is not None

    def require(self, key: str, right: str = "") -> None:
        """A fault if the key is not there; `right` says what to write."""
        if not self.has(key):
            self.place.fault(f"'{key}' is missing{right}")

    def take(self, key: str) -> Any:
        """The value as it is, or None."""
        self._asked.add(key)
        return self.content.get(key)

    def text(self, key: str, *, needed: bool = False) -> str:
        """A text; a fault if it is something else, or missing where it is needed."""
        value = self.take(key)
        if needed:
            self.require(key)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.place.fault(f"'{key}' must be a text in quotation marks, not {shown(value)}")
            return ""
        if needed and not value.strip():
            self.place.fault(f"'{key}' is empty")
        return self._bounded(key, value.strip()) or ""

    def written(self, key: str) -> str | None:
        """A value as written, be it in quotation marks or a plain number; None if absent or of another kind."""
        value = self.take(key)
        if value is None:
            return None
        return self._as_written(key, value)

    def all_written(self, key: str) -> tuple[str, ...]:
        """One value or a list of values, each as written."""
        value = self.take(key)
        if value is None:
            return ()
        values = value if isinstance(value, list) else [value]
        if not values:
            self.place.fault(f"'{key}' is an empty list; name at least one, or leave the key out")
        texts = [self._as_written(key, one) for one in values]
        return tuple(text for text in texts if text is not None)

    def _as_written(self, key: str, value: Any) -> str | None:
        if isinstance(value, bool) or not isinstance(value, (str, int, Decimal)):
            self.place.fault(f"'{key}' must be a text in quotation marks or a number, not {shown(value)}")
            return None
        text = str(value).strip()
        if not text:
            self.place.fault(f"'{key}' is empty")
            return None
        return self._bounded(key, text)

    def _bounded(self, key: str, text: str) -> str | None:
        if len(text) > MAX_TEXT:
            self.place.fault(f"'{key}' is longer than {MAX_TEXT} characters; shorten it")
            return None
        return text

    def names(self, key: str, count: int | None = None) -> tuple[str, ...]:
        """A list of names (nodes, elements); of exactly `count` names where that is given."""
        texts = self.all_written(key)
        if count is not None and self.has(key) and len(texts) != count:
            sample = ", ".join(f'"{letter}"' for letter in "abcdef"[:count])
            self.place.fault(f"'{key}' must name {count}, as in {key} = [{sample}], not {len(texts)}")
            return ()
        return texts

    def one_of(self, key: str, words: tuple[str, ...], default: str) -> str:
        """One word of a few."""
        return self._read(key, default, f"one of {', '.join(words)}", lambda value: value if value in words else None)

    def share(self, key: str, default: float) -> float:
        """A share from 0 to 1, written as a number or in per cent (``"2 %"``)."""
        return self._read(key, default, 'a share from 0 to 1, or in per cent as "2 %"', _share)

    def number(self, key: str, *, needed: bool = False) -> float:
        """A plain number, zero or greater."""
        if needed:
            self.require(key)
        return self._read(key, 0.0, "a plain number, zero or greater", _number)

    def whole(self, key: str, default: int, most: int) -> int:
        """A whole number from 0 to `most`."""
        must = f"a whole number from 0 to {most}"
        return self._read(
            key, default, must, lambda value: value if type(value) is int and 0 <= value <= most else None
        )

    def flag(self, key: str, default: bool) -> bool:
        """True or false."""
        must = "true or false, without quotation marks"
        return self._read(key, default, must, lambda value: value if isinstance(value, bool) else None)

    def _read(self, key: str, default: T, must: str, read: Callable[[Any], T | None]) -> T:
        """What ``read`` makes of a value; a fault, with what it ``must`` be, where that is None."""
        value = self.take(key)
        found = None if value is None else read(value)
        if value is not None and found is None:
            self.place.fault(f"'{key}' must be {must}, not {shown(value)}")
        return default if found is None else found

    def table(self, key: str) -> "CheckedTable | None":
        """A table inside this one."""
        content = self._read(key, None, f"a table as in {key} = {{ … }}", lambda v: v if isinstance(v, dict) else None)
        return None if content is None else CheckedTable(content, self.place.within(f"'{key}'"))

    def tables(self, key: str) -> list[dict[str, Any]]:
        """The contents of an array of tables."""
        value = self.take(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            self.place.fault(f"'{key}' must be a list of tables, each opened by its own [[…{key}]] line or in braces")
            return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []
        return value

    def finish(self) -> None:
        """Note every key that nobody asked for."""
        for key in self.content:
            if key not in self._asked:
                self.place.fault(f"{shown(key)} means nothing here{nearest(key, self._asked)}")


def _decimal(value: object) -> Decimal | None:
    """A finite number, as the TOML reader gives it or in a text; None for anything else."""
    if isinstance(value, bool) or not isinstance(value, (str, int, Decimal)):
        return None
    try:
        number = Decimal(str(value))
    except ArithmeticError:
        return None
    return number if number.is_finite() else None


def _share(value: object) -> float | None:
    number = _decimal(value.strip().removesuffix("%").strip() if isinstance(value, str) else value)
    if number is not None and isinstance(value, str) and value.strip().endswith("%"):
        number /= 100
    return float(number) if number is not None and 0 <= number <= 1 else None


def _number(value: object) -> float | None:
    number = None if isinstance(value, str) else _decimal(value)
    return float(number) if number is not None and 0 <= number <= 1_000_000 else None
