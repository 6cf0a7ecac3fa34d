"""The unit cell beside an answer, and units stated on their own."""

import re
from functools import lru_cache
from typing import NamedTuple

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.refusals import CannotRead
from grader.reading.text.glyphs import normalize
from grader.reading.tokens import Question
from grader.reading.tokens.brackets import arrange
from grader.reading.tokens.scan import scan
from grader.reading.tokens.units import look_up
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree import Node, UnitSymbol
from grader.reading.tree.parse import parse
from grader.reading.tree.spread import unit_factor
from grader.regex import regex
from grader.values.dimension import SYMBOLS, Dimension


class CellUnit(NamedTuple):
    """A unit read from its own cell; ``base`` is the same without its prefix, None where it has none."""

    node: Node
    base: UnitSymbol | None
    way: Alternative


_NO_UNIT = regex(r"[-–—.\s]*|none|no unit|dimensionless|n/?a", re.IGNORECASE)
MAX_UNIT_CHARACTERS = 30
"""A unit cell holds a unit; the longest supported, written in words, stays below 20."""


@lru_cache(maxsize=1024)
def cell_unit(text: str, dimension: Dimension | None) -> CellUnit | None:
    """What a unit cell (``mA``, ``[mA]``, ``in ms``) says; None where that is no unit; what is asked ranks."""
    if len(text) > MAX_UNIT_CHARACTERS or _NO_UNIT.fullmatch(text):
        return None
    bare = re.sub(r"^\s*in\s+|(?<=\w)\s+[(\[].*$", "", normalize(text).text).strip(" []().")  # ms (milliseconds)
    forks = Ambiguities()
    question = Question(vocabulary(()), "value", dimension)
    try:
        (chain,) = parse(arrange(scan(f"1 {bare}", question, forks), question, forks))
    except (CannotRead, ValueError):
        return None
    node = unit_factor(chain[-1]) if isinstance(chain, tuple) and not hasattr(chain, "sign") else None
    if node is None:
        return None
    way = next((way for way in forks.ways_from(0) if way.slip), Alternative())
    base = None
    if isinstance(node, UnitSymbol) and node.dimension is not None:
        meanings = look_up(SYMBOLS.get(node.dimension, ""), node.dimension)
        if meanings and meanings[0].scale != node.scale:
            base = UnitSymbol(meanings[0].symbol, meanings[0].scale, meanings[0].dimension, node.place)
    return CellUnit(node, base, way)
