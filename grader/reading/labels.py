"""Labels of options: the letters, numbers and ordinals that name one by its place, and the letters that are its name."""

from functools import lru_cache
from itertools import takewhile

from grader.reading.options import figures, listed, squeezed
from grader.reading.parted import ARROWS, PLACES, STOPS, ends_of_ways, says_nothing
from grader.reading.refusals import CannotRead
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.tokens.vocabulary import NUMBER_WORDS
from grader.regex import regex

_LABEL = regex(r"[a-h]|[1-9]|i{2,3}|iv")
_INITIALS = {"t": "true", "y": "true", "f": "false", "n": "false"}
_JUDGING = {"true", "false", "taken back"}
_LETTERS = frozenset("abcdefgh")
_NUMBERED = regex(r"[a-z]+[1-9]")
_ROMAN = {"ii": 1, "iii": 2, "iv": 3}


def labelled(stream: list[Token], options: tuple[str, ...]) -> list[Token]:
    """The stream with the letters, numbers and ordinals that name an option by its place: no word stands beside them.

    A number is none where it may be that of an option, unless it is called one.
    """
    numbers = [figures(option) for option in options]
    stream = _with_ordinals(stream, len(options))
    ordinal = _ordinals(options)

    def as_letter(place: int) -> Token:
        """A word; one of a letter that joins others elsewhere is a letter where none stands beside it: ``a, e``."""
        one, before, behind = stream[place], stream[max(place - 1, 0) : place], stream[place + 1 : place + 2]
        judged = any(other.kind in _JUDGING for other in before)
        ends = not behind or behind[0].kind in _JUDGING or behind[0].text in STOPS
        alone = one.text in _LETTERS and all(map(_is_silent, [*before, *behind])) and (ends or not judged)
        return Token(one.text) if one.kind == "and" and alone else one

    def labels(place: int) -> bool:
        one, called = as_letter(place), place > 0 and stream[place - 1].kind == "option"
        before = stream[place - 1].text if place else ""
        if one.kind.startswith("place ") and (before == "a" or before in NUMBER_WORDS):  # a third
            return False
        if one.kind in ordinal:
            return True
        if called or place_named(one, options) < 0:
            return called and place_named(one, options) >= 0
        if one.text.isdigit() and (all(numbers) or any(one.text in own for own in numbers)):
            return False
        beside = stream[max(place - 1, 0) : place] + stream[place + 1 : place + 2]
        ways = [
            other
            for k, other in enumerate(stream[:-1])
            if other in beside
            and other.text in ARROWS
            and k
            and len(stream[k - 1].text) < 3
            and stream[k - 1].text.isalpha()
        ]  # C → L
        if before == ")" and _is_worked_out(stream[: place - 1]):  # 2 (1 - e^(-5t)) A
            return False
        behind = len(before) > 1 and (before,) in table("from", "towards")
        return not ways and not behind and all(map(_is_silent, beside))

    def judges(place: int) -> bool:
        beside = stream[max(place - 1, 0) : place] + stream[place + 1 : place + 2]
        return stream[place].text in _INITIALS and set(options) == {"true", "false"} and all(map(says_nothing, beside))

    found = [
        Token(str(place_named(as_letter(place), options)), "place") if labels(place) else as_letter(place)
        for place in range(len(stream))
    ]
    return [Token(one.text, _INITIALS[one.text]) if judges(place) else one for place, one in enumerate(found)]


def _is_worked_out(before: list[Token]) -> bool:
    """Whether the brackets that end here hold mathematics, so that a letter behind them is a unit."""
    inside = takewhile(lambda one: one.text != "(", reversed(before))
    return any(one.text[0].isdigit() or one.text in {"^", "/", "*"} for one in list(inside)[1:])


def _is_silent(one: Token) -> bool:
    """Whether a word may stand beside a label: it says nothing, or that an option holds or not."""
    return one.kind in _JUDGING or says_nothing(one)


def _with_ordinals(stream: list[Token], count: int) -> list[Token]:
    """The stream with the places of several that are counted from an end: ``the first two``."""
    found: list[Token] = []
    for one in stream:
        number, end = NUMBER_WORDS.get(one.text, 0), found[-1].kind if found else ""
        if end.startswith("place ") and 1 < number <= count:
            first = count - number if end == "place last" else 0
            found[-1:] = [Token(str(place), "place") for place in range(first, first + number)]
        else:
            found.append(one)
    return found


def place_named(one: Token, options: tuple[str, ...]) -> int:
    """The place of the option that a word is, that alone has its letter for a name, or that a letter, number or ordinal counts.

    Raises
    ------
    CannotRead
        Where a figure counts one option and is the name of another: ``2`` for ``S2, S1``.
    """
    names, place = _names(options), _place_of(one, len(options))
    if one.kind in _ordinals(options):
        return _ordinals(options)[one.kind]
    if place < 0:
        return -1
    itself = [k for k, option in enumerate(options) if spelled(option) == (one.text,)]
    theirs = names.get(one.text, frozenset())
    if itself:
        return itself[0] if len(itself) == 1 else -1
    if one.text.isdigit() and theirs and place not in theirs:
        raise CannotRead("choice-unknown", None, listed(options))
    told_apart = frozenset().union(*(places for name, places in names.items() if name.isalpha() and len(places) == 1))
    if one.text.isalpha() and len(one.text) == 1 and not one.kind and (theirs or len(told_apart) > 1):
        return min(theirs) if len(theirs) == 1 else -1
    return place if place < len(options) else -1


@lru_cache(maxsize=256)
def _ordinals(options: tuple[str, ...]) -> dict[str, int]:
    """The ordinals by which options are told apart, and the place of the one that has each: ``the first coil``."""
    told = [
        (one.kind, place)
        for place, option in enumerate(options)
        for one in tokens(spelled(option), *PLACES)
        if one.kind
    ]
    kinds = [kind for kind, _ in told]
    return dict(told) if len({*kinds}) == len(kinds) > 1 else {}


@lru_cache(maxsize=256)
def _names(options: tuple[str, ...]) -> dict[str, frozenset[int]]:
    """The letters and figures by which options are told apart, and the places of those that have each: ``curve C``, ``S2``."""
    found: dict[str, frozenset[int]] = {}
    ends = ends_of_ways(options)
    ends_so = any(spelled(option)[-1:] == ("a",) for option in options)  # no article
    for place, option in enumerate(options):
        words = spelled(option)
        letters = {word for word in words if word in _LETTERS - ends and (word != "a" or ends_so)}
        for name in letters | {word[-1] for word in words if _NUMBERED.fullmatch(word)}:
            found[name] = found.get(name, frozenset()) | {place}
    telling = {name: places for name, places in found.items() if len(places) < len(options)}
    figured = sum(map(str.isdigit, telling)) == len(options)  # 2 is no name where L1, L2, C1, C2 are
    single = any(len(squeezed(option)) == 1 for option in options)
    lettered = single or sum(map(str.isalpha, telling)) > 1
    return {name: places for name, places in telling.items() if (figured if name.isdigit() else lettered)}


def _place_of(one: Token, count: int) -> int:
    """The place that a letter, a number or an ordinal names; -1 where it is none."""
    if one.kind in PLACES:
        return count - 1 if one.kind == "place last" else int(one.kind[-1]) - 1
    if one.kind or not _LABEL.fullmatch(one.text):
        return -1
    return int(one.text) - 1 if one.text.isdigit() else _ROMAN.get(one.text, ord(one.text[0]) - ord("a"))
