"""An answer that chooses, cut up: ways from a name to another, letters of options, parts and their segments."""

from functools import lru_cache

from grader.reading.options import figures, listed, squeezed
from grader.reading.refusals import CannotRead
from grader.reading.spelled import Token, phrase_at, spelled, table, tokens
from grader.regex import regex

GROUPS = (
    ("unchanged", "growing", "shrinking", "doubled", "halved", "quadrupled", "quartered"), ("jumping",), ("positive", "negative"), ("nothing",),
    ("inward", "outward"), ("clockwise", "counterclockwise"), ("leftward", "rightward"), ("quicker", "slower", "as quick"), ("true",), ("never",), ("none",),
    ("overdamped", "critically damped", "underdamped", "undamped"), ("from",), ("to",),
)  # fmt: skip
"""Classes of meaning; those of one group exclude one another."""
SCALED = ("doubled", "halved", "quadrupled", "quartered")
PAIRED = ("inward", "overdamped")
"""The first of groups with common words, which tell of it only where options have more than one of its classes: ``over``, ``in``."""
GROUP = {one: group for group in GROUPS for one in group}
DENIES = {"changing": "unchanged", "steady": "jumping", "false": "true"}
"""Words that say no more than that a class does not hold."""
CLASSES = (*(one for one in GROUP if one not in {"from", "to"}), *DENIES)
SIGNALS = ("the voltage", "the current", "the energy", "the charge", "the power")
THINGS = (
    *SIGNALS, "the slope", "the resistance", "the frequency", "the time constant", "the value", "the coil", "the capacitor",
    "the source", "the heat", "before", "after", "at last",
)  # fmt: skip
JOINTS = ("or", "and", "conclusion", "reason", "correction", "but", "would", "not")
STOPS = frozenset(',.;:!?()-"')
_PLACES = ("place 1", "place 2", "place 3", "place 4", "place last")
FRAME = ("option", "none", *_PLACES, *JOINTS, "than", "all of it", "only", *THINGS)
_ARROWS = {"- >", "→", "= >"}
_NO_REASON = {"from", "by", "which is"}
"""What opens a reason beside a value; beside an option it tells of a way."""
_LABEL = regex(r"[a-h]|[1-9]|i{2,3}|iv")
_INITIALS = {"t": "true", "y": "true", "f": "false", "n": "false"}
_LETTERS = frozenset("abcdefgh")
_NUMBERED = regex(r"[a-z]+[1-9]")
_ROMAN = {"ii": 1, "iii": 2, "iv": 3}


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
        apart = not found or found[-1].text in STOPS or found[-1].kind == "and"
        alone = apart and (following.text in {*STOPS, ""} or following.kind == "and")
        told = following.kind in {"before", "after", "and", "not", *CLASSES} or following.text in {"does", "is", ":"}
        letter = one.kind in THINGS and len(one.text) < 3 and one.text.isascii()
        if one.text == "i" and told and following.kind not in {"and", "not"}:
            found.append(Token("i", "the current"))
        elif told and tuple(one.text.split()) in table("none", "neither"):
            found += [Token(one.text, "not"), Token(one.text, "all of it")]
        elif letter and (not (told or alone) or (found and found[-1].text[0].isdigit())):
            found.append(Token(one.text))
        else:
            found.append(one)
    return found


def way_at(words: tuple[str, ...], place: int, names: frozenset[str] | None) -> tuple[tuple[Token, ...], int]:
    """The way that is told at a place, and where it ends; ends that are not known yet have a word before, or an arrow."""
    outward, start = phrase_at(words, place, "outward", "from")
    first = _name_at(words, start, names)
    if first is not None:
        toward, end = phrase_at(words, _without_nodes(words, first + 1, names), "towards", "backwards")
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


def labelled(stream: list[Token], options: tuple[str, ...]) -> list[Token]:
    """The stream with the letters, numbers and ordinals that name an option by its place: no word stands beside them.

    A number is none where it may be that of an option, unless it is called one.
    """
    numbers = [figures(option) for option in options]

    def as_letter(place: int) -> Token:
        """A word; one of a letter that joins others elsewhere is a letter where none stands beside it: ``a, e``."""
        one, beside = stream[place], stream[max(place - 1, 0) : place] + stream[place + 1 : place + 2]
        alone = one.text in _LETTERS and all(map(says_nothing, beside))
        return Token(one.text) if one.kind == "and" and alone else one

    def labels(place: int) -> bool:
        one, called = as_letter(place), place > 0 and stream[place - 1].kind == "option"
        if called or place_named(one, options) < 0:
            return called and place_named(one, options) >= 0
        if one.text.isdigit() and (all(numbers) or any(one.text in own for own in numbers)):
            return False
        beside = stream[max(place - 1, 0) : place] + stream[place + 1 : place + 2]
        ways = [other for other in beside if other.text in _ARROWS and stream[0] is not other]  # C → L
        return not ways and all(map(says_nothing, beside))

    def judges(place: int) -> bool:
        beside = stream[max(place - 1, 0) : place] + stream[place + 1 : place + 2]
        return stream[place].text in _INITIALS and set(options) == {"true", "false"} and all(map(says_nothing, beside))

    found = [
        Token(str(place_named(as_letter(place), options)), "place") if labels(place) else as_letter(place)
        for place in range(len(stream))
    ]
    return [Token(one.text, _INITIALS[one.text]) if judges(place) else one for place, one in enumerate(found)]


def place_named(one: Token, options: tuple[str, ...]) -> int:
    """The place of the option that a word is, that alone has its letter for a name, or that a letter, number or ordinal counts.

    Raises
    ------
    CannotRead
        Where a figure counts one option and is the name of another: ``2`` for ``S2, S1``.
    """
    names, place = _names(options), _place_of(one, len(options))
    if place < 0:
        return -1
    itself = [k for k, option in enumerate(options) if spelled(option) == (one.text,)]
    theirs = names.get(one.text, frozenset())
    if itself:
        return itself[0] if len(itself) == 1 else -1
    if one.text.isdigit() and theirs and place not in theirs:
        raise CannotRead("choice-unknown", None, listed(options))
    if one.text.isalpha() and len(one.text) == 1 and not one.kind and any(map(str.isalpha, names)):
        return min(theirs) if len(theirs) == 1 else -1
    return place if place < len(options) else -1


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
    if one.kind in _PLACES:
        return count - 1 if one.kind == "place last" else int(one.kind[-1]) - 1
    if one.kind or not _LABEL.fullmatch(one.text):
        return -1
    return int(one.text) - 1 if one.text.isdigit() else _ROMAN.get(one.text, ord(one.text[0]) - ord("a"))


def says_nothing(one: Token) -> bool:
    """Whether a word or sign says nothing by itself beside the letter of an option."""
    return one.kind in {"place", "option", *JOINTS} or one.text in STOPS or (one.text,) in table("glue")


def parts(stream: list[Token]) -> list[tuple[str, list[Token]]]:
    """What stands in an answer, each part with what opens it: a conclusion, a reason, a correction, an aside in brackets."""
    found: list[tuple[str, list[Token]]] = [("", [])]
    for place, one in enumerate(stream):
        opens, part = found[-1]
        last = all(other.text in STOPS for other in stream[place + 1 :])
        if last and one.kind not in CLASSES and (one.text,) in table("taken back"):
            found.append(("taken back", []))
        elif one.kind == "correction" or _takes_back(stream, place):
            found.append(("correction", []))
        elif one.text in _ARROWS or (one.kind == "conclusion" and not _only_denies(part)):
            found.append(("conclusion", []))
        elif one.kind == "reason" and one.text not in _NO_REASON and not _is_of_size(stream[place + 1 : place + 2]):
            found.append(("reason", []))
        elif one.text == "(" and opens != "reason":
            found.append(("aside", []))
        elif _closes(one, opens, first=found[0][1]):
            found.append(("", []))
        else:
            part.append(one)
    return found


def _closes(one: Token, opens: str, *, first: list[Token]) -> bool:
    """Whether an aside ends, or a reason: at ``but``, and at a comma where nothing stands before it."""
    return (one.text == ")" and opens == "aside") or (
        opens == "reason" and (one.kind == "but" or (one.text == "," and not first))
    )


def _is_of_size(following: list[Token]) -> bool:
    """Whether what stands behind an ``as`` is a size: ``as high as before``."""
    return any((one.text,) in table("long", "large", "short", "small", "fast", "slow") for one in following)


def _only_denies(part: list[Token]) -> bool:
    """Whether a part denies and says nothing of what: ``I do not think``."""
    said = [one.kind for one in part if one.kind == "not" or not says_nothing(one)]
    return said[-1:] == ["not"]


def _takes_back(stream: list[Token], place: int) -> bool:
    """Whether a ``no`` corrects what stands before it: it stands by itself, or between two classes of a group."""
    if place == len(stream) - 1 or stream[place].kind != "not" or (stream[place].text,) not in table("correction"):
        return False
    before = [one for one in stream[:place] if one.text != "?"]
    following = stream[place + 1]
    return (
        following.kind == "place"
        or following.text in {*STOPS, "it"}
        or (before[-1:] != [] and before[-1].kind in GROUP.get(following.kind, ()))
    )


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
        stops = one.text in STOPS and not (one.text == "-" and behind and behind[0].text[0].isdigit())
        cut = stops or either or one.kind == "but" or (_classes_of(before) and _begins_anew(one, behind))
        if cut:
            found.append([] if stops else _handed_over(before))
        if one.kind in THINGS or not (cut or one.kind == "and"):
            found[-1].append(one)
    return found


def _handed_over(before: list[Token]) -> list[Token]:
    """The denial at the end of what stands before a cut, taken from there: ``it rises rather than | it falls``."""
    end = len(before)
    while end and (says_nothing(before[end - 1]) or (before[end - 1].text,) in table("reason")):
        end -= 1
    start = next((k for k in range(end, len(before)) if before[k].kind == "not"), len(before))
    handed = before[start:] if end and before[end - 1].text != "does" else []
    del before[len(before) - len(handed) :]
    return handed


def _begins_anew(one: Token, behind: list[Token]) -> bool:
    """Whether something else is said from here on: of *it*, of a thing with a class behind it, of what *and* joins."""
    if one.kind == "and":
        goes_on = behind and (behind[-1].kind == "not" or (behind[-1].text,) in table("does"))
        return bool(goes_on or _classes_of(behind))
    told = any(other.kind in {"not", *CLASSES} or other.text == "is" for other in behind[:1])
    return one.text == "it" or (one.kind in THINGS and told)


def _classes_of(segment: list[Token]) -> list[Token]:
    return [one for one in segment if one.kind in CLASSES]


def _upheld(one: Token) -> Token:
    """What does, where something else ``does not change``."""
    denial = any((word,) in table("not") for word in one.text.split()) or one.text.startswith("doesn")
    return Token(one.text, "changing") if one.kind == "unchanged" and denial else one
