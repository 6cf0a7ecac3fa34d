"""Which options fit what an answer says: those against which nothing speaks, and of several the one that is told apart."""

from grader.reading.parted import GROUP
from grader.reading.saying import Options, Said


def fitting(says: list[Said], numbers: frozenset[str], known: Options) -> list[int]:
    """The places of the options against which nothing speaks; a negative number may turn a way."""
    if known.names and any(number[0] == "-" for number in numbers):
        return []
    found = [
        k for k, own in enumerate(known.says)
        if all(_fits(one, k, own, known) for one in says) and _is_numbered(numbers, k, known)
    ]  # fmt: skip
    words = _words_said(says, known)
    if len(found) > 1:
        return _closest(found, says, words, known)
    theirs = frozenset().union(*(_own_words(k, known) for k in found))
    return [] if _are_of_others(words - theirs, says, known) else found


def _words_said(says: list[Said], known: Options) -> set[str]:
    """The words of an answer that hold; none of which options tell something where it tells something of others alone."""
    words = {one.what for one in says if one.kind == "word" and one.holds}
    paired, bound = ({one.of for one in said if one.of} for said in (says, frozenset().union(*known.says)))
    return words - (bound - paired) if paired else words


def _own_words(place: int, known: Options) -> frozenset[str]:
    """The words of an option, and those of which it says something."""
    return known.words[place] | {one.of for one in known.says[place] if one.of and one.holds}


def _closest(found: list[int], says: list[Said], words: set[str], known: Options) -> list[int]:
    """Of several options that fit, the one that denies itself what is denied, that has no further words, or those with all words."""
    denied = [one for one in says if not one.holds]
    said = {one.what for one in says if one.kind == "word" and one.holds} & frozenset().union(*known.words)
    telling = [
        k for k in found if denied and said <= _own_words(k, known) and all(_denies(one, k, known) for one in denied)
    ]
    if len(telling) == 1:
        return telling
    own = {k: _own_words(k, known) for k in found}
    alone = [k for k in found if words and words == own[k]]  # the flux, where both jump as well
    theirs = frozenset().union(*own.values())
    return alone if len(alone) == 1 else [k for k in found if words & theirs <= own[k]]


def _denies(one: Said, place: int, known: Options) -> bool:
    """Whether an option itself says what an answer denies, or tells another class of the same group of it."""
    others = (other for other in known.says[place] if one.of and other.of == one.of and other.holds)
    return told(one, [place], known) or any(
        other.what != one.what and GROUP[other.what] is GROUP[one.what] for other in others
    )


def with_compatible(fits: list[int], says: list[Said], numbers: frozenset[str], known: Options) -> list[int]:
    """The options that fit, with those that deny another class of what an answer tells a class of, where the rest fits them.

    ``the current stays, the voltage turns round`` is ``only the voltage turns round``; ``the current stays`` may be that, too.
    """
    paired = [one for one in says if one.kind == "class" and one.of]
    found = [
        k
        for k, own in enumerate(known.says)
        if any(_is_compatible(one, own) for one in paired)
        and all(_is_compatible(one, own) or one.of not in _told_of(own) or _fits(one, k, own, known) for one in paired)
        and all(_fits(one, k, own, known) for one in says if one not in paired)
        and _is_numbered(numbers, k, known)
    ]
    return [*fits, *found] if fits or len(found) == 1 else []


def _told_of(own: frozenset[Said]) -> set[str]:
    return {other.of for other in own}


def _is_compatible(one: Said, own: frozenset[Said]) -> bool:
    """Whether an option denies another class of the same group of a word, and tells none of it."""
    of_it = [other for other in own if other.of == one.of and GROUP[other.what] is GROUP[one.what]]
    return one.holds and bool(of_it) and all(not other.holds and other.what != one.what for other in of_it)


def _are_of_others(words: set[str], says: list[Said], known: Options) -> bool:
    """Whether words speak for other options than the one that fits: any beside a letter, else one that an option has."""
    labelled_so = any(one.kind == "place" for one in says)
    return any(labelled_so or any(word in own for own in known.words) for word in words)


def _is_numbered(numbers: frozenset[str], place: int, known: Options) -> bool:
    """Whether an option has the numbers that are said, or has none, nor has another one of them."""
    own = known.figures[place]
    return numbers <= own or (not own and numbers.isdisjoint(frozenset().union(*known.figures)))


def _fits(one: Said, place: int, own: frozenset[Said], known: Options) -> bool:
    """Whether an option, by what it says, may be meant where something is said."""
    if one.kind == "place":
        return (int(one.what) == place) is one.holds
    if one.kind == "word":
        if not one.holds and is_denied(one.what, own):
            return True
        own_words = {other.holds for other in own if other.what == one.what}
        return one.holds in own_words if own_words else one.holds or one.what not in known.words[place]
    return one in own or (not one.holds and one.what != "true" and one._replace(holds=True) not in own)


def is_denied(word: str, own: frozenset[Said]) -> bool:
    """Whether an option denies something of a word: ``without crossing it``."""
    return any(word in {one.what, one.of} and not one.holds for one in own)


def told(one: Said, fits: list[int], known: Options) -> bool:
    """Whether an option that fits itself says what an answer denies."""
    return any(
        {one, one._replace(of="")} & known.says[k] or (one.kind == "word" and is_denied(one.what, known.says[k]))
        for k in fits
    )


def speaks_for(one: Said, fits: list[int], known: Options, *, alone: bool) -> bool:
    """Whether what holds speaks for the options that fit; ``alone``: a word only where no other option has it."""
    if one.kind != "word":
        return True
    having = {k for k, words in enumerate(known.words) if one.what in words}
    more = {k for k in having for own in fits if known.words[k] > known.words[own]}  # both L1 and C1
    return having - more == set(fits) if alone else having >= set(fits)
