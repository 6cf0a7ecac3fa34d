"""What is stated beside the pieces of a response: values of names in them, and a unit that is said of all."""

import re
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from grader.reading.line.unit_said import is_of_the_kind_asked, measured
from grader.reading.tokens import Question
from grader.regex import regex

_GIVEN = regex(r"(?P<name>(?!(?:[te]|exp)\s*=)[^\W\d_]\w*(?:\([0-9][^()]*\))?)\s*=(?P<value>[^=]*[0-9].*)", re.DOTALL)


def with_values(
    formulas: Mapping[int, str], beside: Mapping[int, str]
) -> tuple[dict[int, str], list[str], Collection[int]]:
    """The formulas, the values stated for names in them, and where these stand; all by their places in the text.

    Of a name that is stated anew, ``tau = 50 ms: ...; tau = 20 ms: ...``, a formula has the value that stands last before it, or
    behind it where the first one does; in both the name has a number of its own.
    """
    values: dict[str, dict[int, str]] = defaultdict(dict)
    for place, text in beside.items():
        said = _GIVEN.fullmatch(text)
        if said is not None and re.search(_name(said["name"]), "|".join(formulas.values())):
            values[said["name"]][place] = said["value"]
    told, given = dict(formulas), []
    for name, stated in values.items():
        if len(set(map(str.strip, stated.values()))) == 1 or len(name) == 1:  # one letter may be a unit's
            given += [f"{name} = {value}" for value in stated.values()]
            continue
        ahead = min(stated) < min(told)  # else it is said behind each formula
        for place, formula in told.items():
            number = sum(one < place for one in stated) + (not ahead)
            told[place] = re.sub(_name(name), f"{name}_{min(number, len(stated))}", formula)
        given += [f"{name}_{number} = {value}" for number, value in enumerate(stated.values(), 1)]
    return told, given, {place for stated in values.values() for place in stated}


def _name(name: str) -> str:
    """A name as it stands in a formula: not at the end of a word, and no function."""
    return rf"(?<![^\W\d_]){re.escape(name)}(?![\w']|\(t\)|\s*=)"


def in_units(texts: Mapping[int, str], places: Sequence[int], question: Question) -> dict[int, str]:
    """The formulas at some places, each with the unit that is said of all."""
    units = [one for one in texts.values() if is_of_the_kind_asked(one, question)]
    return {place: _with_unit(texts[place], units, question) for place in places}


def _with_unit(said: str, units: list[str], question: Question) -> str:
    """A formula with the unit that is said of all, if it has none."""
    last = re.search(r"[^\W\d_]+$", said)
    own = measured(said, question) or (last is not None and is_of_the_kind_asked(last[0], question))
    return said if own or not units else f"{said} {units[-1]}"
