"""Options that are formulas: an answer chooses the one that it equals, whatever the names in it are worth."""

from collections.abc import Mapping
from contextlib import suppress
from functools import lru_cache
from itertools import count, islice

from flint import fmpq

from grader.errors import NotDefined
from grader.reading.option_values import chosen_by_value, is_doubted
from grader.reading.options import listed
from grader.reading.reader import read
from grader.reading.record import Reading
from grader.reading.refusals import Refusal, refusal
from grader.reading.tree import Choice, Name, Node, walk
from grader.reading.value.evaluate import EvaluationError, NotFinite, evaluate
from grader.regex import regex
from grader.values import waveform as wave
from grader.values.dimension import Dimension
from grader.values.waveform import NotAWaveform, Waveform

_NAME = regex(r"\b(?![AFHJSVW]\b)[A-Z][A-Za-z]?[0-9]*")
"""Names as options have them; V, A, s and other letters in which answers are measured are units there."""
_NUMBERED = regex(r"(?P<letter>[A-Z])[0-9]+")


def chosen_by_worth(
    text: str, unit: str, options: tuple[str, ...], names: Mapping[str, Dimension | None]
) -> Reading | Refusal | None:
    """The choice of the one option that is worth what an answer is: a value, a unit or a formula; None where it is none of these.

    A formula that is equal to none of theirs is refused.
    """
    return chosen_by_value(text, unit, options) or _chosen_by_formula(text, options, names)


def _chosen_by_formula(
    text: str, options: tuple[str, ...], names: Mapping[str, Dimension | None]
) -> Reading | Refusal | None:
    """The choice of the one option that an answer equals; None where options or answer are no formulas."""
    known = tuple({**dict.fromkeys(_names_in(options)), **names}.items())
    values, formulas = _formulas(options, known)
    found = _plain(text, known) if formulas else None
    if found is None or not _is_formula(found):
        return None
    own = _comes_to(found, values)
    same = [k for k, one in enumerate(formulas) if one is not None and one == own]
    if len(same) != 1:
        return refusal("choice-unknown", text, None, listed(options))
    option = options[same[0]]
    return Reading(
        Choice(option, 0), notes=(f"'{text.strip()}' was read as {option}.",), changed=is_doubted(text, option, options)
    )


@lru_cache(maxsize=256)
def _formulas(
    options: tuple[str, ...], names: tuple[tuple[str, Dimension | None], ...]
) -> tuple[Mapping[str, Waveform], tuple[Waveform | None, ...]]:
    """A value for every name, none of which follows from others, and what each option comes to; nothing where fewer than two are formulas, or two come to the same."""
    trees = [_plain(option, names) for option in options]
    found = [tree for tree in trees if tree is not None and _is_formula(tree)]
    if len(found) < 2:
        return {}, ()
    own = sorted({node.name for tree in found for node in walk(tree) if type(node) is Name})
    values = dict(zip(own, map(wave.constant, _primes(len(own))), strict=True))
    for letter in {one["letter"] for one in map(_NUMBERED.fullmatch, own) if one}:
        alike = [name for name in own if name[0] == letter]
        if len(alike) == 1:
            values[letter] = values[alike[0]]  # L where L1 is the only coil
    formulas = tuple(None if tree is None else _comes_to(tree, values) for tree in trees)
    worths = [one for one in formulas if one is not None]
    return (values, formulas) if len({*worths}) == len(worths) else ({}, ())


def _is_formula(tree: Node) -> bool:
    """Whether names stand in it, and it is not one of them alone."""
    return type(tree) is not Name and any(type(node) is Name for node in walk(tree))


def _plain(text: str, names: tuple[tuple[str, Dimension | None], ...]) -> Node | None:
    """What a text says, where it is a formula and nothing else."""
    found = read(text, expects="expression", names=dict(names))
    if isinstance(found, Refusal):
        return None
    first = found[0]
    return first.tree if first == Reading(first.tree, label=first.label, sides=first.sides) else None


def _comes_to(tree: Node, values: Mapping[str, Waveform]) -> Waveform | None:
    with suppress(EvaluationError, NotFinite, NotDefined, NotAWaveform, ZeroDivisionError):
        return evaluate(tree, values).waveform
    return None


def _names_in(options: tuple[str, ...]) -> list[str]:
    return [name for option in options for name in _NAME.findall(option)]


def _primes(many: int) -> list[fmpq]:
    """The first primes above 100."""
    return list(islice((fmpq(n) for n in count(101) if all(n % k for k in range(2, n))), many))
