"""Units as students write them: symbols with prefixes, words, letter-case slips and lost characters.

The table is units.toml beside this file.  `look_up` answers with every unit a piece of text may stand for, the
most literal first; the reader ranks them by the dimension asked.
"""

import tomllib
from functools import lru_cache
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

from flint import fmpq

from grader.values.dimension import PREFIXES, RATE, RESISTANCE, Dimension
from grader.values.scalar import ONE, rational

_TABLE: dict[str, Any] = tomllib.loads(Path(__file__).with_name("units.toml").read_text(encoding="utf-8"))
PREFIX_WORDS, _PREFIXES_ELSEWHERE = (
    {word: prefix for prefix, words in _TABLE["prefixes"][kind].items() for word in words}
    for kind in ("words", "elsewhere")
)
PREFIXES_SAID = PREFIX_WORDS | _PREFIXES_ELSEWHERE
CYRILLIC_PREFIXES: dict[str, str] = _TABLE["prefixes"]["cyrillic"]
ALSO_PREFIX = {"u": "μ", "K": "k"}
"""Letters used for want of the right one: u for micro, K for kilo (common practice, no source)."""

_USUAL = "TGMkmμnpf"
"""Prefixes that occur with units of circuits (centi with metres, too); with all of them RC would be a rontocoulomb."""

LONE_PREFIXES = {**{p: p for p in "GMkmμnp"}, **ALSO_PREFIX}
"""Prefixes that may stand behind a number with the unit left out (``4.7k``)."""

CASE, PREFIX_CASE, OHM_LOST, MICRO_LOST = "unit-letter-case", "prefix-letter-case", "ohm-sign-lost", "micro-sign-lost"
MISSPELT = "unit-misspelt"


class Meaning(NamedTuple):
    """What a written unit may stand for; ``slip`` names what was wrong with the way it was written."""

    symbol: str
    scale: fmpq
    dimension: Dimension | None
    slip: str = ""
    degrees: bool = False

    def times(self, prefix: str) -> "Meaning":
        """The same unit with a prefix."""
        return self._replace(symbol=prefix + self.symbol, scale=self.scale * fmpq(10) ** PREFIXES[prefix])


_FROM_CYRILLIC = {letters: prefix for prefix, letters in CYRILLIC_PREFIXES.items()}


def _tables() -> tuple[dict[str, Meaning], dict[str, Meaning], dict[str, list[Meaning]]]:
    """Units by symbol (exact), by word (lower case), and by symbol in lower case."""
    symbols: dict[str, Meaning] = {}
    words: dict[str, Meaning] = {}
    rows = _TABLE["unit"]
    for row in rows:
        degrees = row.get("scale") == "pi/180"
        scale = ONE if degrees else rational(row.get("scale", "1"))
        plain = Meaning(row["symbol"], scale, Dimension(**row["dimension"]), "", degrees)
        _add_symbols(row, plain, symbols)
        _add_words(row, plain, symbols, words)
    spelled = {name for row in rows for name in row.get("spelled", ())}
    folded: dict[str, list[Meaning]] = {}
    for name, meaning in symbols.items():
        if name not in spelled:
            folded.setdefault(name.lower(), []).append(meaning)
    return symbols, words, folded


def _add_symbols(row: dict[str, Any], plain: Meaning, symbols: dict[str, Meaning]) -> None:
    """Every spelling of a unit's symbol, with every prefix that goes with it."""
    spellings = row.get("spelled") or [row["symbol"], *row.get("also", ())]
    cyrillic = [row["cyrillic"]] if "cyrillic" in row else []
    symbols.update(dict.fromkeys((*spellings, *cyrillic), plain))
    if not row.get("prefixes", True):
        return
    for prefix in _USUAL if row["symbol"] != "m" else f"{_USUAL}c":
        latin = [prefix, *(other for other, right in ALSO_PREFIX.items() if right == prefix)]
        foreign = [CYRILLIC_PREFIXES[prefix]] if cyrillic and prefix in CYRILLIC_PREFIXES else []
        meaning = plain.times(prefix)
        for letter, name in (
            *product(latin, spellings),
            *product((*latin, *foreign), cyrillic),
            *product(foreign, spellings),
        ):
            symbols.setdefault(letter + name, meaning)


def _add_words(row: dict[str, Any], plain: Meaning, symbols: dict[str, Meaning], words: dict[str, Meaning]) -> None:
    """A unit's names, with every prefix in words that goes with them."""
    usual_words, elsewhere = row.get("words", []), row.get("elsewhere", [])
    for word in (*usual_words, *elsewhere):
        words[word] = words[f"{word}'s"] = words.setdefault(f"{word}s", plain)
    if not row.get("prefixes", True):
        return
    for prefix_word, prefix in PREFIXES_SAID.items():
        meaning = plain.times(prefix)
        usual = prefix_word in PREFIX_WORDS
        if usual:
            symbols.setdefault(prefix_word + row["symbol"], meaning)
        for word in (*usual_words, *elsewhere) if usual else elsewhere:
            elided = prefix_word[: -1 if word[0] in "aeo" and prefix_word.isascii() else None] + word
            for name in {prefix_word + word, elided}:  # megohm, milliampere
                words[name] = words[f"{name}s"] = meaning


_SYMBOLS, _WORDS, _FOLDED = _tables()


@lru_cache(maxsize=4096)
def look_up(text: str, dimension: Dimension | None = None) -> tuple[Meaning, ...]:
    """What a written unit may stand for, most plausible first; empty if it is no unit.

    Parameters
    ----------
    text : str
        Letters only, say ``mA``, ``kOhm``, ``milliamps``.
    dimension : Dimension or None
        What is asked.  It ranks: a slip of letter case that fits comes before a literal unit that does not.

    Examples
    --------
    >>> [m.symbol for m in look_up("ma")]
    ['mA']
    """
    exact = _SYMBOLS.get(text) or _prefixed_word(text) or _WORDS.get(text.lower())
    found = [] if exact is None else [exact]
    if exact is None or _implausible(exact, dimension):
        same = {m.symbol: m for m in _FOLDED.get(text.lower(), ()) if exact is None or m.symbol != exact.symbol}
        others = [m for m in same.values() if text[0] != "t" or m.symbol[0] != "T"]  # in 100tA the t is a factor
        others.sort(key=lambda m: _implausible(m, dimension))
        others = [m for m in others if not _implausible(m, dimension)] or others[: exact is None]
        found.extend(m._replace(slip=_case_slip(text, m)) for m in others)
    for meaning in found[:1]:
        if meaning.symbol.endswith("W") and dimension == RESISTANCE:
            found.append(_SYMBOLS[meaning.symbol[:-1] + "Ω"]._replace(slip=OHM_LOST))
        elif meaning.symbol == "mF":
            found.append(_SYMBOLS["μF"]._replace(slip=MICRO_LOST))
    found.sort(key=lambda m: _implausible(m, dimension))
    return tuple(found)


def _prefixed_word(text: str) -> Meaning | None:
    """A prefix's letter before a word: ``Mohm`` and ``mohm`` differ, ``kOhm`` and ``kohm`` do not."""
    prefix = LONE_PREFIXES.get(text[:1]) or _FROM_CYRILLIC.get(text[:1])
    word = _WORDS.get(text[1:].lower()) if prefix is not None else None
    if word is None or len(text) < 4 or word.symbol not in _SYMBOLS or prefix is None:
        return None
    return _SYMBOLS.get(prefix + word.symbol)


def _case_slip(text: str, meaning: Meaning) -> str:
    return PREFIX_CASE if {text[0], meaning.symbol[0]} == {"m", "M"} and len(text) > 1 else CASE


def _implausible(meaning: Meaning, dimension: Dimension | None) -> bool:
    """Whether the unit is of another kind than asked, or of a size that no circuit has (mega-amperes)."""
    if dimension is not None and meaning.dimension != dimension:
        return True
    return meaning.scale >= 10**6 and meaning.dimension not in {RESISTANCE, RATE}


@lru_cache(maxsize=64)
def look_up_prefix(text: str) -> tuple[Meaning, ...]:
    """What a prefix standing alone may mean: ``k`` in ``4.7k``."""
    prefix = LONE_PREFIXES.get(text)
    if prefix is None:
        return ()
    meant = [Meaning(prefix, fmpq(10) ** PREFIXES[prefix], None)]
    if prefix in "mM":
        other = "M" if prefix == "m" else "m"
        meant.append(Meaning(other, fmpq(10) ** PREFIXES[other], None, PREFIX_CASE))
    return tuple(meant)


SHORTEST_WORD = 5
"""Letters of a unit in words from which on a slip in one of them leaves no doubt."""


_WORDS_BY_LENGTH: dict[int, list[str]] = {}
for _word in _WORDS:
    _WORDS_BY_LENGTH.setdefault(len(_word), []).append(_word)


@lru_cache(maxsize=1024)
def nearest(text: str) -> Meaning | None:
    """The unit in words that differs in one letter; None where there is none, or several.

    Examples
    --------
    >>> nearest("miliamps").symbol
    'mA'
    """
    word = text.lower()
    lengths = range(max(len(word) - 1, SHORTEST_WORD), len(word) + 2)
    candidates = (name for length in lengths for name in _WORDS_BY_LENGTH.get(length, ()))
    found = {_WORDS[name].symbol: _WORDS[name] for name in candidates if one_letter_apart(word, name)}
    if len(found) != 1:
        return None
    (meaning,) = found.values()
    return meaning._replace(slip=MISSPELT)


def one_letter_apart(written: str, right: str) -> bool:
    """Whether one letter was changed, left out, put in, or swapped with its neighbour."""
    if abs(len(written) - len(right)) > 1 or written == right:
        return False
    if len(written) != len(right):
        shorter, longer = sorted((written, right), key=len)
        same = next((i for i, letter in enumerate(shorter) if longer[i] != letter), len(shorter))
        return longer[same + 1 :] == shorter[same:]
    differing = [i for i, letter in enumerate(right) if written[i] != letter]
    if len(differing) == 1:
        return True
    swapped = len(differing) == 2 and differing[1] == differing[0] + 1
    return swapped and written[differing[0]] == right[differing[1]] and written[differing[1]] == right[differing[0]]
