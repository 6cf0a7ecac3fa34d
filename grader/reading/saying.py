"""Options taken apart, and what a segment of an answer says of them."""

from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from grader.reading.denials import denied_first, denied_in, is_denied_afar, is_not_both, told_with
from grader.reading.options import figures, is_worked_with
from grader.reading.parted import (
    CLASSES,
    DENIES,
    FRAME,
    GROUP,
    PAIRED,
    THINGS,
    ends_of_ways,
    says_nothing,
    segments,
    stream_of,
)
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.stems import have_one_stem, is_slip_of, letters_alike

_IMPLIED = {"doubled": "growing", "halved": "shrinking", "quadrupled": "growing", "quartered": "shrinking"}
_TURNED = {"growing": "shrinking", "shrinking": "growing"}
_ELEMENTS = {"the coil": "l", "the capacitor": "c"}
"""What the only one of its kind in the options may be called."""
_COMPARES = {">": "growing", "<": "shrinking", "=": "unchanged"}
_JOINED = frozenset("/*^")
_SHORTEST_WORD = 3


class Said(NamedTuple):
    """One thing said: of its kind (a class, a word, a place, from or to a name), what, of which word, if any, and whether it holds."""

    kind: str
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
    compared: bool = False
    compares: bool = False
    reasons: frozenset[str] = frozenset()

    def bound_in(self, kind: str) -> set[str]:
        """All of which options say a class of the group of a class."""
        return {of for of, group in self.bound if group == GROUP[kind]}


@lru_cache(maxsize=256)
def taken_apart(options: tuple[str, ...]) -> Options:
    """Options taken apart by the classes in which they differ; remembered, as a class answers the same question."""
    known = _by_classes(options, _kinds(options))
    told = [
        {(one.what, one.of, one.holds) for one in own if one.kind == "class" and (not one.of or _sort(one.of))}
        for own in known.says
    ]
    shared = told[0].intersection(*told)
    differing = {GROUP[what] for own in told for what, *_ in own - shared}
    kinds = tuple(kind for kind in known.kinds if GROUP[DENIES.get(kind, kind)] in differing)
    return known if kinds == known.kinds else _by_classes(options, kinds)


def _by_classes(options: tuple[str, ...], kinds: tuple[str, ...]) -> Options:
    names = ends_of_ways(options)
    streams = [stream_of(option, kinds, names) for option in options]
    operated = any(map(is_worked_with, options))
    words = _with_one_stem([frozenset(_words(stream, numbered=not operated)) for stream in streams])
    compared = any(map(_comparing, streams))
    numbers = tuple(numbers_of(option, compared=compared) for option in options)
    compares = any((one.text,) in table("comparing") for stream in streams for one in stream)
    known = Options(
        kinds, names, words, (), numbers, frozenset().union(*words), compared=compared, compares=compares,
        reasons=_reasons(streams),
    )  # fmt: skip
    for _ in range(2):  # what is said of both is said of all that something is said of
        says = tuple(
            frozenset(one for part in segments(stream) for one in said(part, known, bare=True)) for stream in streams
        )
        bound = frozenset((one.of, GROUP[one.what]) for own in says for one in own if one.of)
        known = known._replace(says=says, bound=bound)
    return known


def _reasons(streams: list[list[Token]]) -> frozenset[str]:
    """What opens no reason, being a word of the options: of several that do, or of all where one begins so."""
    begun = any(one.kind == "reason" for stream in streams for one in stream[:1])
    told = [[one.text for one in stream if begun or one.kind == "reason"] for stream in streams]
    reasons = frozenset(text for own in told for text in own) if begun or sum(map(bool, told)) > 1 else frozenset()
    return reasons.union(" ".join(one) for one in table("reason") if begun)


def _with_one_stem(words: list[frozenset[str]]) -> tuple[frozenset[str], ...]:
    """The words of options, those that differ by their endings alone as one word: ``ring``, ``rings``."""
    known = sorted(frozenset().union(*words), key=lambda word: (len(word), word))
    first = {word: next(one for one in known if one == word or have_one_stem(one, word)) for word in known}
    return tuple(frozenset(first[word] for word in own) for own in words)


def _kinds(options: tuple[str, ...]) -> tuple[str, ...]:
    """The classes of the groups that options tell of; true and false only where one option is each."""
    cut = [tokens(spelled(option), *FRAME, *CLASSES) for option in options]
    told = [{one.kind for one in stream} | {_COMPARES[one.text] for one in _comparing(stream)} for stream in cut]
    judged = {"true", "false"} <= frozenset().union(*told)
    groups = Counter(GROUP[DENIES.get(kind, kind)] for kind in frozenset().union(*told) if kind in CLASSES)
    return tuple(
        kind for kind in CLASSES
        for group in [GROUP[DENIES.get(kind, kind)]]
        if groups[group] > (group[0] in PAIRED) and (judged or group[0] != "true")
    )  # fmt: skip


def _comparing(stream: list[Token]) -> list[Token]:
    """The signs that compare two words."""
    beside = zip(stream, stream[1:], stream[2:], strict=False)
    return [
        one
        for left, one, right in beside
        if one.text in _COMPARES and left.text[0].isalpha() and right.text[0].isalpha()
    ]


def numbers_of(text: str, *, compared: bool) -> frozenset[str]:
    """The numbers of a text, and signs that compare, unless these are read as classes."""
    return frozenset(one for one in figures(text) if not compared or one not in _COMPARES)


def _words(stream: list[Token], *, numbered: bool) -> Iterator[str]:
    """The words of an option that may tell it from others: things, long words, and names."""
    for place, one in enumerate(stream):
        before, behind = stream[max(place - 1, 0) : place], stream[place + 1 : place + 2]
        beside = any(other.text[-1].isdigit() for other in before) or any(
            (other.text.isalpha() and not other.kind) or (one.text == "a" and other.text[0].isalnum())
            for other in behind
        )
        if one.kind in THINGS:
            yield one.kind
        elif one.kind in {"from", "to"} and len(one.text) >= _SHORTEST_WORD:
            yield one.text
        elif one.kind or (one.text,) in table("glue", "than", "node", "with"):
            continue
        elif any(map(str.isdigit, one.text)):
            if numbered and not one.text[0].isdigit():
                yield one.text
        elif len(one.text) >= _SHORTEST_WORD or (len(one.text) == 1 and one.text.isalpha() and not beside):
            yield one.text


def said(segment: list[Token], known: Options, *, bare: bool = False) -> Iterator[Said]:
    """What a segment says: each class of each word beside it (``bare``: and by itself), words, labels and ends of ways."""
    if is_not_both(segment):
        yield Said("class", "not both")  # nobody knows of which it does not hold
    segment = with_slips_mended(segment, known)
    heads = _heads(segment, known)
    if not (heads or bare) and any((one.text,) in table("unchanged") for one in segment if not one.kind):
        return  # the flux stays, where options tell of jumps
    things = _things(segment, known)
    bound = {of for of, _ in known.bound}
    free = [] if bare else [place for place, word in things.items() if word not in bound]
    denied = denied_in(segment, heads, list(things)) | denied_first(segment, free)
    told = told_with(segment, things)
    kinds = {segment[place].kind for place in heads}
    told_by_class = set() if kinds.isdisjoint(GROUP) else denied - (things.keys() - told.keys())
    if not bare:
        told_by_class |= _denied_by_class(segment, heads, things, denied, known)
    yield from _of_words(things, told_by_class, denied, known, bare=bare)
    for place in heads:
        one, holds = segment[place], place not in denied
        if one.kind in {"place", "from", "to"}:
            yield Said(one.kind, one.text, holds=holds)
        elif one.kind not in {_IMPLIED.get(kind) for kind in kinds}:
            yield from _of_class(one.kind, segment, told, denied, known, holds=holds, bare=bare)


def _heads(segment: list[Token], known: Options) -> list[int]:
    """The places of classes by which options differ, of their labels and of ends of ways; not of a zero that something is measured from."""
    kinds = {*known.kinds, "place", "from", "to"}
    return [
        place for place, one in enumerate(segment)
        if one.kind in kinds and not (one.kind == "nothing" and place and _measures(segment[place - 1]))
    ]  # fmt: skip


def _of_words(
    things: dict[int, str], told_by_class: set[int], denied: set[int], known: Options, *, bare: bool
) -> Iterator[Said]:
    """The words of the options in a segment, but for those of which a class tells enough, and those that every option says."""
    for place, word in things.items():
        if place not in told_by_class and (bare or not _is_shared(word, known)):
            yield Said("word", word, holds=place not in denied)


def _denied_by_class(
    segment: list[Token], heads: list[int], things: dict[int, str], denied: set[int], known: Options
) -> set[int]:
    """The places of words of which an option says what a segment denies."""
    kinds = [(segment[k].kind, k in denied) for k in heads]
    negative = [DENIES.get(kind, kind) for kind, denies in kinds if denies or kind in DENIES]
    return {
        place for place, word in things.items()
        if any(Said("class", what, word) in own for own in known.says for what in negative)
    }  # fmt: skip


def _measures(one: Token) -> bool:
    """Whether what follows is measured from or compared with: ``around zero``, ``less than nothing``."""
    return one.kind == "than" or (one.text,) in table("around")


def _is_shared(word: str, known: Options) -> bool:
    """Whether every option says a word, so that it tells none of them from the others."""
    return all(word in own for own in known.words) and all(Said("word", word) in own for own in known.says)


def _things(segment: list[Token], known: Options) -> dict[int, str]:
    """The words of the options in a segment by their places; none that an operator joins to another."""
    return {
        place: word
        for place, one in enumerate(segment)
        if all(other.text not in _JOINED for other in segment[max(place - 1, 0) : place + 2])
        for word in known_words(one, known)
    }


def _of_class(
    kind: str,
    segment: list[Token],
    things: dict[int, str],
    denied: set[int],
    known: Options,
    *,
    holds: bool,
    bare: bool,
) -> Iterator[Said]:
    """What a class says of each word beside it, and by itself where there is none."""
    if (kind == "false" and not holds) or (kind in {"true", "false"} and not bare and is_denied_afar(segment)):
        yield from (Said("class", "true"), Said("class", "true", holds=False))  # not wrong, true no jump: nobody knows
        return
    alone = Said("class", DENIES.get(kind, kind), holds=holds is (kind not in DENIES))
    pairs = _pairs(alone, segment, things, denied, known)
    yield from pairs
    if bare or not pairs:
        yield alone


def _pairs(said: Said, segment: list[Token], things: dict[int, str], denied: set[int], known: Options) -> list[Said]:
    """What is said of each word of a segment: it does not hold of those denied, and of those compared with the other way round.

    Of both is of all that the options bind, and of one only is not of the others.
    """
    kinds, bound = {one.kind for one in segment}, known.bound_in(said.what)
    if "all of it" in kinds and bound:
        return [said._replace(of=of) for of in bound]
    told = {place: word for place, word in things.items() if not known.bound or word in bound}
    behind, turned = _compared_with(segment, things), _TURNED.get(said.what, said.what)
    pairs = [
        Said("class", turned if place > behind else said.what, word, said.holds is (place not in denied))
        for place, word in told.items()
    ]
    alone = all(
        one.text in told.values() or one.kind in known.kinds or says_nothing(one) or known_words(one, known)
        for one in segment
    )
    other = [_of_the_other(pair, known) if alone and _is_less(segment) else pair for pair in pairs]
    pairs = [one for one, pair in zip(other, pairs, strict=True) if one != pair] or pairs
    if behind < len(segment):
        return [pair for pair in pairs if any(pair._replace(holds=True) in own for own in known.says)] or pairs
    return pairs + (_of_the_others(said, bound, list(told.values())) if "only" in kinds else [])


def _is_less(segment: list[Token]) -> bool:
    """Whether nothing is compared but how much there is of it: ``less``, and not ``smaller``, which may be another size."""
    return any((one.text,) in table("less") for one in segment)


def _of_the_other(one: Said, known: Options) -> Said:
    """The same said of the other of two names, where options tell only which of them has more: ``R2 has less``."""
    turned = _TURNED.get(one.what, "")
    told = {(other.what, other.of) for own in known.says for other in own if other.kind == "class"}
    names = {of for what, of in told if what == turned and _sort(of) == "name"}
    if not known.compares or len(names) != 2 or one.of not in names or (one.what, one.of) in told:
        return one
    return one._replace(what=turned, of=(names - {one.of}).pop())


def _of_the_others(said: Said, bound: set[str], words: list[str]) -> list[Said]:
    """What is said of some words only does not hold of the others of their sort."""
    sorts = {_sort(word) for word in words}
    return [said._replace(of=of, holds=not said.holds) for of in bound.difference(words) if _sort(of) in sorts]


def _compared_with(segment: list[Token], things: dict[int, str]) -> int:
    """The place behind which stands what others are compared with: a ``than``, a sign, or a class between two words."""
    classes = [place for place, one in enumerate(segment) if one.kind in _TURNED]
    between = [
        place for place in classes
        if {place - 1, place + 1} <= things.keys() and _sort(things[place - 1]) == _sort(things[place + 1])
    ]  # fmt: skip
    than = [
        place
        for place, one in enumerate(segment)
        if (one.text in _COMPARES and one.kind) or (one.kind == "than" and classes and place > classes[0])
    ]
    return min([*than, *between], default=len(segment))


def _sort(word: str) -> str:
    """Whether a word of the options is a quantity, a name or another word."""
    return "quantity" if word in THINGS else "name" if any(map(str.isdigit, word)) else ""


def with_slips_mended(segment: list[Token], known: Options) -> list[Token]:
    """A segment in which signs that compare words of the options, and classes with a slip of the pen, have their kind."""
    worded = [bool(known_words(one, known)) for one in segment]
    found = list(segment)
    for place, one in enumerate(segment):
        following = segment[place + 1].text[0] if place + 1 < len(segment) else " "
        if one.text in _COMPARES and any(worded[max(place - 2, 0) : place]) and any(worded[place + 1 : place + 3]):
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
        for one in (phrase if kind in THINGS else phrase[: len(phrase) == 1]) if is_slip_of(word, one)
    }  # fmt: skip
    return kinds.pop() if len(kinds) == 1 else ""


def known_words(one: Token, known: Options) -> list[str]:
    """The word of the options that a word is: itself, the stem of the other, or with a slip of the pen."""
    if one.kind in THINGS:
        right_after = one.kind == "right away" and sum("after" in own for own in known.words) == 1
        letter = _ELEMENTS.get(one.kind, "")
        named = [word for word in known.known if letter and word[0] == letter and word[1:].isdigit()]
        return [one.kind] if one.kind in known.known else ["after"] * right_after + named * (len(named) == 1)
    if one.kind or not one.text[0].isalnum():
        return []
    if one.text in known.known:
        return [one.text]
    close = [word for word in known.known if have_one_stem(one.text, word) or is_slip_of(one.text, word)]
    alike = {word: letters_alike(one.text, word) for word in close}
    return (
        [word for word in close if alike[word] == max(alike.values())] if len({*alike.values()}) == len(close) else []
    )
