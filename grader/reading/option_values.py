"""Options that are values with units, or units alone: an answer chooses the one to whose value it comes, however it is written."""

from functools import lru_cache
from string import ascii_lowercase

from grader.errors import NotDefined
from grader.reading.claims import UPHELD, claimed, counted
from grader.reading.factors import SCALED
from grader.reading.options import listed
from grader.reading.reader import read
from grader.reading.record import Reading
from grader.reading.refusals import Refusal, refusal
from grader.reading.tree import Choice, Node
from grader.reading.value.evaluate import EvaluationError, NotFinite, Quantity, evaluate
from grader.values.dimension import Dimension
from grader.values.waveform import NotAWaveform

_WORKING = ("from", "times", *SCALED)
"""What stands beside a value from which another is worked out."""


def chosen_by_value(text: str, unit: str, options: tuple[str, ...]) -> Reading | Refusal | None:
    """The choice of the one option that is worth what an answer is; None where options are no values or units, or the answer is none.

    A value of their kind that none of them has is refused.
    """
    values = _values(options)
    if not values:
        return _chosen_by_unit(text, options)
    if "±" in text:
        return None
    found = read(text, unit=unit, expects="value", dimension=values[0].dimension)
    if isinstance(found, Refusal):
        return None
    first = found[0]
    if first.others or first.rival or first.dropped or first.changed or first.remarks:
        return None
    own = _worth(first.tree)
    same = [option for option, value in zip(options, values, strict=True) if value == own]
    if not same and own is not None and own.dimension == values[0].dimension:
        return refusal("choice-unknown", text, None, listed(options))
    if len(same) != 1:
        return None
    note = f"'{text.strip()}' was read as {same[0]}."
    return Reading(Choice(same[0], 0), notes=(note,), changed=is_doubted(text, same[0], options))


def _chosen_by_unit(text: str, options: tuple[str, ...]) -> Reading | None:
    """The choice of the one option that is the unit that an answer is, in words or signs: ``Ω·F`` of ``ohm times farad``.

    A single letter that may be that of an option is none.
    """
    units = _units(options) if text.strip().lower() not in ascii_lowercase[: len(options)] else ()
    asked = _unit(text) if units else None
    if asked is None:
        return None
    written, worth = ([k for k, one in enumerate(units) if one[at] == asked[at]] for at in (0, 1))
    same = written or worth
    note = f"'{text.strip()}' was read as {options[same[0]]}." if same else ""
    return Reading(Choice(options[same[0]], 0), notes=(note,)) if len(same) == 1 else None


@lru_cache(maxsize=256)
def _units(options: tuple[str, ...]) -> tuple[tuple[str, Quantity], ...]:
    """Options as units, where each is one."""
    known = tuple(one for one in map(_unit, options) if one is not None)
    return known if len(known) == len(options) else ()


def _unit(text: str) -> tuple[str, Quantity] | None:
    """A text as a unit: how it is written in signs, and what it is worth."""
    found = read(f"1 {text}", expects="value") if not any(map(str.isdigit, text)) else ()
    if not found or isinstance(found, Refusal) or found[0] != Reading(found[0].tree, found[0].unit):
        return None
    worth = _worth(found[0].tree)
    return None if worth is None or worth.dimension in {None, Dimension()} else (found[0].text, worth)


def is_doubted(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether a text names another option as well, and neither denies it nor works with it."""
    clauses = counted(
        claimed(text, options, *_WORKING, lettered=False),
        lambda part: any(one.kind == "place" or one.text[0].isdigit() for clause in part for one in clause.words),
    )
    upheld = [
        one
        for one in clauses
        if one.stance == UPHELD and all(word.kind not in {"not", *_WORKING} for word in one.words)
    ]
    named = {word.text for one in upheld for word in one.words if word.kind == "place"}
    return not named <= {str(options.index(option))}


@lru_cache(maxsize=256)
def _values(options: tuple[str, ...]) -> tuple[Quantity, ...]:
    """The values of options, where each has one and all have the same unit but for its prefix."""
    read_as = [read(option, expects="value") for option in options]
    values = [None if isinstance(one, Refusal) or one[0].remarks else _worth(one[0].tree) for one in read_as]
    known = tuple(value for value in values if value is not None)
    of_one_kind = len({value.dimension for value in known}) == 1 and known[0].dimension not in (None, Dimension())
    return known if of_one_kind and len(known) == len(options) else ()


def _worth(tree: Node) -> Quantity | None:
    """What a tree is worth, where it is a constant without a name."""
    try:
        found = evaluate(tree)
    except (EvaluationError, NotFinite, NotDefined, NotAWaveform, ZeroDivisionError):
        return None
    return found if found.waveform.is_constant and not found.named and not found.later else None
