"""An answer that chooses, cut up: ways from a name to another, and segments, each of which says something of one thing."""

from collections.abc import Sequence

from grader.reading.spelled import Token, phrase_at, spelled, table, tokens
from grader.reading.tokens.units import look_up
from grader.regex import regex

GROUPS = (
    ("unchanged", "growing", "shrinking", "doubled", "halved", "quadrupled", "quartered", "reversing"), ("jumping",), ("positive", "negative"),
    ("nothing",), ("inward", "outward"), ("clockwise", "counterclockwise"), ("leftward", "rightward"), ("short-circuited", "interrupted"), ("quicker", "slower", "as quick"), ("true",), ("never",), ("none",),
    ("overdamped", "critically damped", "underdamped", "undamped"), ("from",), ("to",),
)  # fmt: skip
"""Classes of meaning; those of one group exclude one another."""
SCALED = ("doubled", "halved", "quadrupled", "quartered")
PAIRED = ("inward", "overdamped", "leftward", "short-circuited")
"""The first of groups with common words, which tell of it only where options have more than one of its classes: ``over``, ``in``, ``left``."""
GROUP = {one: group for group in GROUPS for one in group}
DENIES = {"changing": "unchanged", "steady": "jumping", "false": "true"}
"""Words that say no more than that a class does not hold."""
CLASSES = (*(one for one in GROUP if one not in {"from", "to"}), *DENIES)
SIGNALS = ("the voltage", "the current", "the energy", "the charge", "the power")
INSTANTS = ("before", "after", "at last", "right away")
THINGS = (
    *SIGNALS, "the slope", "the resistance", "the frequency", "the time constant", "the value", "the coil", "the capacitor",
    "the source", "the heat", *INSTANTS,
)  # fmt: skip
JOINTS = ("or", "and", "conclusion", "reason", "correction", "but", "would", "not")
STOPS = frozenset(',.;:!?()-"')
PLACES = ("place 1", "place 2", "place 3", "place 4", "place last")
FRAME = ("option", "none", *PLACES, *JOINTS, "than", "all of it", "only", *THINGS)
_NAME = regex("[a-z][0-9]+")
ARROWS = {"- >", "→", "= >"}


def stream_of(text: str, kinds: tuple[str, ...], names: frozenset[str]) -> list[Token]:
    """The words of a text with its phrases put together, and with the ends of ways from a name to another."""
    words, rest = spelled(text), 0
    found: list[Token] = []
    for place in range(len(words) if names else 0):
        way, end = way_at(words, place, names) if place >= rest else ((), place)
        if way:
            found += [*tokens(words[rest:place], *FRAME, *kinds), *way]
            rest = end
    return _with_subjects([*found, *tokens(words[rest:], *FRAME, *kinds)])


def _with_subjects(stream: list[Token]) -> list[Token]:
    """The stream with what *i* and *nothing* stand for before a class, and a letter behind a number for its unit."""
    found: list[Token] = []
    for one, following in zip(stream, [*stream[1:], Token("")], strict=False):
        told = following.kind in _TELLING or following.text in {"does", "is", ":"}
        short = bool(one.kind) and len(one.text) < 3 and one.text.isascii()
        alone = one.kind in THINGS and (told or _stands_alone(found, following))
        if one.text == "i" and told and following.kind not in {"and", "not"}:
            found.append(Token("i", "the current"))
        elif told and tuple(one.text.split()) in table("none", "neither"):
            found += [Token(one.text, "not"), Token(one.text, "all of it")]
        elif short and ((one.kind in THINGS and not alone) or _is_a_unit(found, one, following)):
            found.append(Token(one.text))
        else:
            found.append(one)
    return found


_TELLING = {"before", "after", "and", "not", *CLASSES}
"""What says something of a word before it."""


def _stands_alone(before: list[Token], following: Token) -> bool:
    """Whether nothing but stops and what joins stands on both sides of a word, or an *only* before it."""
    apart = not before or before[-1].text in STOPS or before[-1].kind in {"and", "only"}
    return apart and (following.text in {*STOPS, ""} or following.kind == "and")


def _is_a_unit(before: list[Token], one: Token, following: Token) -> bool:
    """Whether a short word is no word of a language: ``2 mA``, ``di/dt``."""
    number = bool(before) and not before[-1].kind and before[-1].text[0].isdigit()
    return one.text.isalpha() and ((number and look_up(one.text) != ()) or following.text == "/")


def way_at(words: tuple[str, ...], place: int, names: frozenset[str] | None) -> tuple[tuple[Token, ...], int]:
    """The way that is told at a place, and where it ends; ends that are not known yet have a word before, or an arrow."""
    outward, start = phrase_at(words, place, "outward", "from")
    first = _name_at(words, start, names)
    if first is not None:
        through, end = phrase_at(words, first + 1, "through")
        behind = end + 1 if through else first + 1  # from a through R1 to b
        toward, end = phrase_at(words, _without_nodes(words, behind, names), "towards", "backwards")
        second = _name_at(words, end, names) if toward else None
        if second is not None and words[first] != words[second] and (names or outward or not words[end - 1].isalpha()):
            origin, goal = (first, second) if toward == "towards" else (second, first)
            return (Token(words[origin], "from"), Token(words[goal], "to")), second + 1
        if outward and names:
            return (Token(words[first], "from"),), first + 1
    inward, end = phrase_at(words, place, "inward", "towards")
    second = _name_at(words, end, names) if inward and names else None
    if second is not None:
        return (Token(words[second], "to"),), second + 1
    for phrase, behind, kind in ((outward, start, "from"), (inward, end, "to")):
        if names and phrase and _is_other_name(words[behind : behind + 1]):
            return (Token(words[behind], kind),), behind + 1
    return (), place


def _is_other_name(words: tuple[str, ...]) -> bool:
    """Whether a letter stands for a name that no option has: ``from x``."""
    return any(
        len(one) == 1 and one.isalpha() and (one,) not in table("glue", "and", "or", "node", "towards") for one in words
    )


def ends_of_ways(options: tuple[str, ...]) -> frozenset[str]:
    """The names between which the options tell of ways."""
    texts = [spelled(option) for option in options]
    return frozenset(
        end.text for words in texts for place in range(len(words)) for end in way_at(words, place, None)[0]
    )


def _name_at(words: tuple[str, ...], place: int, names: frozenset[str] | None) -> int | None:
    """Where the name stands that begins at a place, what is said in front of it passed over."""
    place = _without_nodes(words, place, names)
    named = place < len(words) and (words[place].isalnum() if names is None else words[place] in names)
    return place if named else None


def _without_nodes(words: tuple[str, ...], place: int, names: frozenset[str] | None) -> int:
    while place < len(words) and words[place] not in (names or ()) and phrase_at(words, place, "node")[0]:
        place = phrase_at(words, place, "node")[1]
    return place


def is_sign(one: Token, behind: Sequence[Token]) -> bool:
    """Whether a dash is the sign of a number."""
    return one.text == "-" and any(other.kind != "place" and other.text[0].isdigit() for other in behind[:1])


def says_nothing(one: Token) -> bool:
    """Whether a word or sign says nothing by itself beside the letter of an option."""
    return one.kind in {"place", "option", *JOINTS} or one.text in STOPS or (one.text,) in table("glue")


def segments(part: list[Token]) -> list[list[Token]]:
    """A part cut into what is said of one thing each; what has no words, or no class, of its own goes on with those before."""
    found = _cut(part)
    subject: list[Token] = []
    said: list[Token] = []
    for segment in found:
        words = [one for one in segment if one.kind in THINGS or not one.kind]
        classes = _classes_of(segment)
        if words and not classes:
            last = segment[-1]
            denied = last.kind == "not" or _denies_a_thing(segment)
            goes_on = [one if denied else _upheld(one) for one in said[-1:]]
            segment.extend(goes_on if denied or (last.text,) in table("does") else [])
        segment[:0] = subject if classes and not words else []
        subject, said = words or subject, classes or said
    return found


def _denies_a_thing(segment: list[Token]) -> bool:
    """Whether a segment denies of one thing what was said of another: ``it jumps, not the voltage``."""
    telling = [one for one in segment if one.kind or (one.text not in STOPS and not says_nothing(one))]
    return len(telling) == 2 and telling[0].kind == "not" and telling[1].kind in THINGS


def _cut(part: list[Token]) -> list[list[Token]]:
    """A part cut at its stops, at ``but``, at an ``or`` that nothing denies, and between two classes at ``and`` and ``it``."""
    found: list[list[Token]] = [[]]
    for place, one in enumerate(part):
        before, behind = found[-1], part[place + 1 :]
        either = one.kind == "or" and all(other.kind != "not" for other in before)
        stops = one.text in STOPS and not is_sign(one, behind)
        cut = stops or either or one.kind == "but" or (_classes_of(before) and _begins_anew(one, behind))
        if cut:
            found.append([] if stops else _handed_over(before))
        if _is_thing(one) or not (cut or one.kind == "and"):
            found[-1].append(one)
    return found


def _handed_over(before: list[Token]) -> list[Token]:
    """The denial at the end of what stands before a cut, taken from there: ``it rises rather than | it falls``."""
    end = len(before)
    while end and (_is_silent(before[end - 1]) or (before[end - 1].text,) in table("reason")):
        end -= 1
    start = next((k for k in range(end, len(before)) if before[k].kind == "not"), len(before))
    handed = before[start:] if end and before[end - 1].text != "does" else []
    del before[len(before) - len(handed) :]
    return handed


def _is_silent(one: Token) -> bool:
    return says_nothing(one) and one.kind != "place"


def _begins_anew(one: Token, behind: list[Token]) -> bool:
    """Whether something else is said from here on: of *it*, of a thing with a class behind it, of what *and* joins."""
    if one.kind == "and":
        goes_on = behind and (behind[-1].kind == "not" or (behind[-1].text,) in table("does"))
        return bool(goes_on or _classes_of(behind))
    told = any(other.kind in {"not", *CLASSES} or other.text == "is" for other in behind[:1])
    return one.text == "it" or (told and _is_thing(one))


def _is_thing(one: Token) -> bool:
    """Whether something may be said of it: a thing, or a name with a number."""
    return one.kind in THINGS or _NAME.fullmatch(one.text) is not None


def _classes_of(segment: list[Token]) -> list[Token]:
    return [one for one in segment if one.kind in CLASSES]


def _upheld(one: Token) -> Token:
    """What does, where something else ``does not change``."""
    denial = any((word,) in table("not") for word in one.text.split()) or one.text.startswith("doesn")
    return Token(one.text, "changing") if one.kind == "unchanged" and denial else one
