"""Options told apart by what they mean: labels, classes said of something, ways from a name to another, figures, words.

Options and answers are taken apart alike.  An option fits an answer where nothing that the answer says speaks against it, and
an answer chooses where one option alone fits.
"""

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from grader.reading.options import figures, is_worked_with
from grader.reading.parted import (
    CLASSES,
    DENIES,
    FRAME,
    GROUP,
    THINGS,
    labelled,
    parts,
    says_nothing,
    segments,
    stream_of,
    way_at,
)
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.tokens.units import one_letter_apart
from grader.reading.tokens.vocabulary import normalized_name

_IMPLIED = {"doubled": "growing", "halved": "shrinking"}
_TURNED = {"growing": "shrinking", "shrinking": "growing"}
_COMPARES = {">": "growing", "<": "shrinking", "=": "unchanged"}
_SHORTEST_SLIP, _SHORTEST_STEM = 6, 4


class Said(NamedTuple):
    """One thing said: what, of which word (``""``: of none in particular), and whether it holds."""

    what: str
    of: str = ""
    holds: bool = True


class Options(NamedTuple):
    """Options taken apart: the classes and names by which they differ, and of each what it says, its words and figures."""

    kinds: tuple[str, ...]
    names: frozenset[str]
    words: tuple[frozenset[str], ...] = ()
    says: tuple[frozenset[Said], ...] = ()
    figures: tuple[frozenset[str], ...] = ()
    known: frozenset[str] = frozenset()
    bound: frozenset[tuple[str, tuple[str, ...]]] = frozenset()


class Meant(NamedTuple):
    """The options that fit an answer; whether it says anything of them, and whether it denies something."""

    options: tuple[str, ...]
    says: bool
    denies: bool


class _Segment(NamedTuple):
    """What a segment says, and the words that it is about: things, and nouns that no option has."""

    says: tuple[Said, ...]
    about: frozenset[str]


def things_in(text: str) -> tuple[str, ...]:
    """The things that a question's text names: ``the time constant``."""
    return tuple(one.kind for one in tokens(spelled(text), *THINGS) if one.kind)


def meant(text: str, options: tuple[str, ...], asked: frozenset[str] = frozenset(), *, lettered: bool = True) -> Meant:
    """The options that fit what a text says; ``asked``: what the question is about; ``lettered``: they are shown with letters.

    Where segments contradict one another, those about what is asked count, else those about nothing else.
    """
    known = _taken_apart(options)
    stream = stream_of(text, known.kinds, known.names)
    cut = parts(labelled(stream, options) if lettered else stream)
    counted = _counted(_read_through(cut, known))
    numbers = _figures_of(cut, known)
    fitting = _fitting(_all_of(counted), numbers, known)
    if not fitting:
        counted = [one for one in counted if one.about & asked] or [one for one in counted if not one.about]
        fitting = _fitting(_all_of(counted), numbers, known)
    says = _all_of(counted)
    denials = sum(not one.holds for one in says)
    upheld = any(one.holds and _speaks_for(one, fitting, known, alone=denials > 0) for one in says)
    enough = upheld or denials > 1 or any(_told(one, known) for one in says)
    return Meant(tuple(options[k] for k in fitting) if enough else (), bool(says), any(not one.holds for one in says))


def _speaks_for(one: Said, fitting: list[int], known: Options, *, alone: bool) -> bool:
    """Whether what holds speaks for the options that fit; ``alone``: a word only where no other option has it."""
    if one.what[0] != "'":
        return True
    having = [k for k, words in enumerate(known.words) if one.what[1:] in words]
    return having == fitting if alone else set(having) >= set(fitting)


def _all_of(segments: list[_Segment]) -> list[Said]:
    return list(dict.fromkeys(one for segment in segments for one in segment.says))


def _read_through(cut: list[tuple[str, list[Token]]], known: Options) -> list[tuple[str, list[_Segment]]]:
    """The parts with what each of their segments says, where it says anything."""
    read = []
    for opens, part in cut:
        each = [_Segment(tuple(_said(one, known)), frozenset(_about(one, known))) for one in segments(part)]
        read.append((opens, [one for one in each if one.says]))
    return read


def _about(segment: list[Token], known: Options) -> Iterator[str]:
    for one in _classed(segment, known):
        if one.kind in THINGS and one.kind not in known.known:
            yield normalized_name(one.kind)
        elif (
            not one.kind
            and one.text[0].isalpha()
            and one.text != "a"
            and not _known_words(one, known)
            and (one.text,) not in table("glue", "lead", "node")
        ):
            yield one.text


def places_named(text: str, options: tuple[str, ...]) -> tuple[set[int], set[int]] | None:
    """The places that an answer names, and those that it denies, by letters and numbers; None where it says anything else."""
    known = _taken_apart(options)
    cut = parts(labelled(stream_of(text, known.kinds, known.names), options))
    says = _all_of(_counted(_read_through(cut, known)))
    claimed = [one for opens, part in cut if opens not in {"reason", "aside"} for one in part]
    unsure = any(one.kind == "or" or (one.kind == "not" and one.text == "no") for one in claimed)
    if (
        unsure
        or any(not one.what.isdigit() for one in says)
        or not all(says_nothing(one) or one.kind == "all of it" for one in claimed)
    ):
        return None
    denied = {int(one.what) for one in says if not one.holds}
    named = {int(one.what) for one in says if one.holds}
    kinds = [one.kind for one in claimed]
    if "all of it" in kinds and "label" not in kinds[: kinds.index("all of it")]:
        excepted = named if "but" in kinds else set()
        return {*range(len(options))} - denied - excepted, denied
    return named, denied


def _fitting(says: list[Said], numbers: frozenset[str], known: Options) -> list[int]:
    """The places of the options against which nothing speaks."""
    numbered = frozenset().union(*known.figures)
    fitting = [
        k for k, own in enumerate(known.says)
        if all(_fits(one, k, own, known) for one in says)
        and (numbers <= known.figures[k] or (not known.figures[k] and numbers.isdisjoint(numbered)))
    ]  # fmt: skip
    words = {one.what[1:] for one in says if one.what[0] == "'" and one.holds}
    if len(fitting) > 1:
        telling = words & frozenset().union(*(known.words[k] for k in fitting))
        return [k for k in fitting if telling <= known.words[k]]
    foreign = words - frozenset().union(*(known.words[k] for k in fitting)) if fitting else set()
    labelled_so = any(one.what.isdigit() for one in says)
    return [] if any(labelled_so or sum(word in own for own in known.words) == 1 for word in foreign) else fitting


def _fits(one: Said, place: int, own: frozenset[Said], known: Options) -> bool:
    """Whether an option, by what it says, may be meant where something is said."""
    if one.what.isdigit():
        return (int(one.what) == place) is one.holds
    if one.what[0] == "'":
        return one.holds or one.what[1:] not in known.words[place]
    return one in own or (not one.holds and one.what != "true" and one._replace(holds=True) not in own)


def _told(one: Said, known: Options) -> bool:
    """Whether an option itself says what an answer denies."""
    return any(one in own or one._replace(of="") in own for own in known.says)


@lru_cache(maxsize=256)
def _taken_apart(options: tuple[str, ...]) -> Options:
    kinds, names = _kinds(options), _names(options)
    streams = [stream_of(option, kinds, names) for option in options]
    operated = any(map(is_worked_with, options))
    words = tuple(frozenset(_words(stream, numbered=not operated)) for stream in streams)
    numbers = tuple(frozenset(figures(option)) for option in options)
    known = Options(kinds, names, words, (), numbers, frozenset().union(*words))
    for _ in range(2):  # what is said of both is said of all that something is said of
        says = tuple(
            frozenset(one for part in segments(stream) for one in _said(part, known, bare=True)) for stream in streams
        )
        bound = frozenset((one.of, GROUP[one.what]) for own in says for one in own if one.of and one.what in CLASSES)
        known = known._replace(says=says, bound=bound)
    return known


def _kinds(options: tuple[str, ...]) -> tuple[str, ...]:
    """The classes of the groups by which options differ; true and false only where one option is each."""
    told = [{one.kind for one in tokens(spelled(option), *FRAME, *CLASSES)} for option in options]
    judged = {"true", "false"} <= frozenset().union(*told)
    differing = {GROUP[DENIES.get(kind, kind)] for kind in CLASSES if 0 < sum(kind in own for own in told) < len(told)}
    return tuple(
        kind for kind in CLASSES
        if GROUP[DENIES.get(kind, kind)] in differing and (judged or DENIES.get(kind, kind) != "true")
    )  # fmt: skip


def _names(options: tuple[str, ...]) -> frozenset[str]:
    """The names between which the options tell of ways."""
    texts = [spelled(option) for option in options]
    return frozenset(
        end.text for words in texts for place in range(len(words)) for end in way_at(words, place, None)[0]
    )


def _words(stream: list[Token], *, numbered: bool) -> Iterator[str]:
    """The words of an option that may tell it from others: things, long words, and names."""
    for place, one in enumerate(stream):
        before, behind = stream[max(place - 1, 0) : place], stream[place + 1 : place + 2]
        beside = any(other.text[-1].isdigit() for other in before) or any(other.text.isalpha() for other in behind)
        if one.kind in THINGS:
            yield one.kind
        elif one.kind or (one.text,) in table("glue", "than", "node"):
            continue
        elif any(map(str.isdigit, one.text)):
            if numbered and not one.text[0].isdigit():
                yield one.text
        elif len(one.text) >= _SHORTEST_STEM or (len(one.text) == 1 and one.text.isalpha() and not beside):
            yield one.text


def _counted(parts: list[tuple[str, list[_Segment]]]) -> list[_Segment]:
    """What counts: behind the last correction, what the answer comes to, else what it claims; labels always.

    A reason is heard where nothing stands before it and nothing else is said: ``as R is large it falls``.
    """
    start = max((k for k, (opens, says) in enumerate(parts) if opens == "correction" and says), default=0)
    standing = parts[start:]
    opening = not start and len(parts) > 1 and not parts[0][1] and parts[1][0] == "reason"

    def said_in(*kinds: str) -> list[_Segment]:
        return [one for opens, says in standing if opens in kinds for one in says]

    labels = [one for one in said_in("", "correction", "aside") if any(said.what.isdigit() for said in one.says)]
    come_to = [says for opens, says in standing if opens == "conclusion" and says]
    if come_to:
        return [*labels, *come_to[-1]]
    return said_in("", "correction") or said_in("aside") or (said_in("reason") if opening else [])


def _figures_of(cut: list[tuple[str, list[Token]]], known: Options) -> frozenset[str]:
    """The numbers that an answer claims, where options have some."""
    claimed = [one for opens, part in cut if opens not in {"reason", "aside"} for one in segments(part)]
    upheld = [segment for segment in claimed if all(one.kind != "not" for one in segment)] if any(known.figures) else []
    texts = (" ".join(one.text for one in segment if one.kind != "label") for segment in upheld)
    return frozenset(figure for text in texts for figure in figures(text))


def _said(segment: list[Token], known: Options, *, bare: bool = False) -> Iterator[Said]:
    """What a segment says: each class of each word beside it (``bare``: and by itself), words, labels and ends of ways."""
    if any(one.kind == "would" for one in segment):
        return
    segment = _classed(segment, known)
    heads = [place for place, one in enumerate(segment) if one.kind in {*known.kinds, "label", "from", "to"}]
    things = {place: word for place, one in enumerate(segment) for word in _known_words(one, known)}
    denied = _denied(segment, heads, list(things))
    for place, word in things.items():
        if not all(word in own for own in known.words):
            yield Said("'" + word, "", place not in denied)
    implied = {_IMPLIED.get(segment[place].kind) for place in heads}
    for place in heads:
        one = segment[place]
        if one.kind == "label":
            yield Said(one.text, "", place not in denied)
        elif one.kind in {"from", "to"}:
            yield Said(one.kind, one.text, place not in denied)
        elif one.kind == "false" and place in denied:
            yield from (Said("true"), Said("true", "", holds=False))  # not wrong: nobody knows
        elif one.kind not in implied:
            said = Said(DENIES.get(one.kind, one.kind), "", (place not in denied) is (one.kind not in DENIES))
            pairs = list(_pairs(said, segment, things, known))
            yield from (*pairs, said) if bare or not pairs else pairs


def _pairs(said: Said, segment: list[Token], things: dict[int, str], known: Options) -> Iterator[Said]:
    """What is said of each word of a segment: behind ``than`` the other way round, of both of all that the options bind."""
    group = GROUP[said.what]
    if any(one.kind == "all of it" for one in segment) and known.bound:
        yield from (said._replace(of=of) for of, other in known.bound if other == group)
        return
    classes = [place for place, one in enumerate(segment) if one.kind in _TURNED]
    compared = [
        k
        for k, one in enumerate(segment)
        if one.text in _COMPARES or (one.kind == "than" and classes and k > classes[0])
    ]
    pairs = []
    for place, word in things.items():
        behind = compared and place > compared[0]
        if not known.bound or (word, group) in known.bound:
            pairs.append(said._replace(what=_TURNED.get(said.what, said.what) if behind else said.what, of=word))
    told = [pair for pair in pairs if any(pair._replace(holds=True) in own for own in known.says)]
    yield from told if compared and told else pairs


def _denied(segment: list[Token], heads: list[int], things: list[int]) -> set[int]:
    """The places of what is denied: the classes behind a denial, else the words behind it, else the last before it."""
    denied: set[int] = set()
    for place, one in enumerate(segment):
        if one.kind == "not":
            behind = [[k for k in places if k > place] for places in (heads, things)]
            before = [[k for k in places if k < place] for places in (heads, things)]
            denied.update(behind[0] or behind[1] or (before[0] or before[1])[-1:])
    return denied


def _classed(segment: list[Token], known: Options) -> list[Token]:
    """A segment in which signs that compare words of the options, and classes with a slip of the pen, have their kind."""
    worded = [bool(_known_words(one, known)) for one in segment]
    found = list(segment)
    for place, one in enumerate(segment):
        following = segment[place + 1].text[0] if place + 1 < len(segment) else " "
        if one.text in _COMPARES and worded[place - 1 : place] == worded[place + 1 : place + 2] == [True]:
            found[place] = Token(one.text, _COMPARES[one.text])
        elif one.kind == "false" and (one.text,) in table("not") and following.isalpha():
            found[place] = Token(one.text, "not")
        elif not one.kind and not worded[place]:
            found[place] = Token(one.text, _with_a_slip(one.text, known))
    return found


def _with_a_slip(word: str, known: Options) -> str:
    """The class for which a word is meant that is written with a slip or with another ending; ``""`` where it is none."""
    kinds = {
        kind for phrase, kind in table(*known.kinds, *THINGS).items()
        for one in (phrase if kind in THINGS else phrase[: len(phrase) == 1]) if _close(word, one)
    }  # fmt: skip
    return kinds.pop() if len(kinds) == 1 else ""


def _known_words(one: Token, known: Options) -> list[str]:
    """The word of the options that a word is: itself, the stem of the other, or with a slip of the pen."""
    if one.kind in THINGS:
        return [one.kind] if one.kind in known.known else []
    if one.kind or not one.text[0].isalnum():
        return []
    if one.text in known.known:
        return [one.text]
    close = [word for word in known.known if _stem(one.text, word) or _close(one.text, word)]
    return close if len(close) == 1 else []


def _stem(one: str, other: str) -> bool:
    shorter, longer = sorted((one, other), key=len)
    return len(shorter) >= _SHORTEST_STEM and longer.startswith(shorter) and shorter.isalpha()


def _close(one: str, other: str) -> bool:
    """Whether a long word is another with an ending, or with a slip inside of it."""
    if len(other) < _SHORTEST_SLIP or not one.isalpha():
        return False
    return one.startswith(other) or (one[0] == other[0] and one[-1] == other[-1] and one_letter_apart(one, other))
