"""What an answer claims: its clauses, each with what opened its part and how it is meant."""

import re
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from itertools import groupby
from typing import NamedTuple

from grader.reading.labels import labelled
from grader.reading.options import ARTICLE, marked, squeezed
from grader.reading.parted import ARROWS, CLASSES, DENIES, FRAME, GROUP, JOINTS, STOPS, is_sign, says_nothing, stream_of
from grader.reading.saying import Options, known_words, taken_apart
from grader.reading.spelled import Token, spelled, table, tokens
from grader.regex import regex

UPHELD, DENIED, SUPPOSED, DOUBTED = "upheld", "denied", "supposed", "doubted"
_STANCES = ("taken back", "false", "if", "here", "was", "supposed", "doubted")
"""What tells how a clause is meant, unless the phrase is a class of the options or joins."""
_STRUCK = regex(r"~~[^~]*+~~")
_LINES = regex(r"\s*\n\s*")
_AT_A_TIME = regex(r"\bt\s*(?:[<>≥]|>=)\s*0\b")
_SYMBOL = regex(r"\b([ivuIVU])_?\(?([LCR][0-9]|[LC](?![^\W_]))\)?")
"""``v_C1``, ``iL``, where options say the voltage of C1, the current of L1."""
_ELEMENT = regex(r"\b[LCR][0-9]\b")
_LABEL = regex("[a-h0-9]", re.IGNORECASE)
_NO_REASON = {"from", "by", "which is"}
"""What opens a reason beside a value; beside an option it tells of a way."""
_FIRST_SIGN = 0xE000
"""The first of the signs that no alphabet has."""
_NOT = Token("not", "not")


class Clause(NamedTuple):
    """What stands between two stops: its words, what opened the part that it stands in, its stance, and its stop."""

    words: tuple[Token, ...]
    opens: str = ""
    stance: str = UPHELD
    part: int = 0
    stop: str = ""

    @property
    def names(self) -> bool:
        """Whether an option stands in it by its label or as a whole."""
        return any(one.kind == "place" for one in self.words)

    @property
    def told(self) -> list[Token]:
        """Its words, with a denial in front where it is denied as a whole; none where it is only supposed."""
        return [] if self.stance == SUPPOSED else [*[_NOT] * (self.stance == DENIED), *self.words]


def claimed(
    text: str, options: tuple[str, ...], *kinds: str, lettered: bool = True, whole: bool = True
) -> list[Clause]:
    """The clauses of an answer; options that stand there by their letter, or as a ``whole``, are their places in them.

    ``kinds`` of phrases are put together besides those by which the options differ; what is struck out is none of it.
    """
    return list(_with_stances(cut_up(text, options, *kinds, lettered=lettered, whole=whole)))


def cut_up(text: str, options: tuple[str, ...], *kinds: str, lettered: bool = True, whole: bool = True) -> list[Clause]:
    """The clauses of an answer before anything is said of their stances."""
    known = taken_apart(options)
    left = _STRUCK.sub(" ", text)
    text = left if squeezed(left) else text
    if all("t" not in spelled(option) for option in options):
        text = _AT_A_TIME.sub(" ", text)
    if sum(bool(_ELEMENT.search(option)) for option in options) > 1 and not any(map(_SYMBOL.search, options)):
        text = _SYMBOL.sub(_in_words, text)
    kinds = (*_STANCES, *kinds, *known.kinds)
    signs = _signs(options) if whole else {}
    stream = stream_of(_LINES.sub("; ", marked(text, signs)), kinds, known.names)
    stream = [_told_anew(one, known, kinds[len(_STANCES) :]) for one in stream]
    stream = labelled(stream, options) if lettered else stream
    stream = [Token(str(options.index(signs[one.text])), "place") if one.text in signs else one for one in stream]
    return [
        one._replace(words=_alone(one.words, options)) if whole else one
        for k, (opens, part) in enumerate(_parts(stream)) for one in _clauses(part, opens, k)
    ]  # fmt: skip


def _in_words(symbol: re.Match[str]) -> str:
    element = {"L": "coil", "C": "capacitor"}.get(symbol[2], symbol[2])
    return f"{'current' if symbol[1] in 'iI' else 'voltage'} {element}"


@lru_cache(maxsize=256)
def _signs(options: tuple[str, ...]) -> dict[str, str]:
    """A sign for each option that has more to it than a letter, or than a phrase that its meaning tells of."""
    words = [tokens(spelled(ARTICLE.sub("", option)), *FRAME, *CLASSES) for option in options]
    return {
        chr(_FIRST_SIGN + place): option
        for place, option in enumerate(options)
        if not _LABEL.fullmatch(option.strip()) and (len(words[place]) > 1 or not _is_in_a_phrase(words[place][0]))
    }


def _is_in_a_phrase(one: Token) -> bool:
    """Whether a word joins or judges, or stands inside of a longer phrase: ``clockwise`` in ``counter clockwise``."""
    if one.kind not in CLASSES:
        return one.kind != ""
    own = f" {one.text} "
    return one.kind in {"true", "false"} or any(own in f" {' '.join(phrase)} " != own for phrase in table(*CLASSES))


def _alone(words: tuple[Token, ...], options: tuple[str, ...]) -> tuple[Token, ...]:
    """A clause in which options that are a single *none* or *both* are their places: ``it is neither``, ``not neither``."""
    known = taken_apart(options)
    own = [{spelled(option): "not"} for option in options if spelled(option) in table("yes or no")]
    for alike in (table("all of it"), table("none", "neither"), *own):
        here = [k for k, one in enumerate(words) if (*one.text.split(),) in alike]
        places = [place for place, option in enumerate(options) if here and _holds_one_of(alike, option)]
        if len(places) == 1:
            alone = spelled(options[places[0]]) in alike
            named = _named_alone(words, here, options[places[0]], known, alone=alone)
            # neither: of all of them, not
            again = {k for k in here[1:] if words[k].text == words[here[0]].text and k - 1 in named}
            words = tuple(
                Token(str(places[0]), "place") if k in named else one for k, one in enumerate(words) if k not in again
            )
    return words


def _named_alone(words: tuple[Token, ...], here: list[int], option: str, known: Options, *, alone: bool) -> set[int]:
    """Where a *none* or *both* stands for an option: the first, if nothing else tells of what; else, where it is the whole option, those denied."""
    telling = {one.text for one in words if _tells(one, known) or not (alone or _adds_nothing(one, option))}
    if telling == {words[here[0]].text}:
        return {here[0]}
    return {k for k in here if alone and [one.kind for one in words[:k] if one.kind][-1:] == ["not"]}


def _tells(one: Token, known: Options) -> bool:
    """Whether a word beside a *none* or *both* says of what."""
    return one.kind not in {"", "option", "and", "but", "or"} or one.text[-1].isdigit() or bool(known_words(one, known))


def _adds_nothing(one: Token, option: str) -> bool:
    return says_nothing(one) or (one.text,) in table("does") or one.text in spelled(option) or not one.text.isalnum()


def _holds_one_of(alike: dict[tuple[str, ...], str], option: str) -> bool:
    """Whether a phrase of a table stands in an option, or is the option where it is a yes or no."""
    words = spelled(option)
    return words in alike or (len(alike) > 1 and any(one.kind for one in tokens(words, *{*alike.values()})))


def counted(clauses: list[Clause], says: Callable[[list[Clause]], bool], *, asides: bool = False) -> list[Clause]:
    """The clauses that count: behind the last correction what the answer comes to, else what it claims.

    ``says`` tells of clauses whether they say anything.  A reason is heard where nothing stands before it and nothing else
    is said: ``as R is large it falls``.
    """
    parts = [list(part) for _, part in groupby(clauses, key=lambda one: one.part)]
    start = _last_correction(parts, says)
    standing = parts[start:]
    claims = _claims_of(standing, says, asides=asides)
    found = [one for one in clauses if one in claims]
    if says(found):
        return found
    opening = not start and not any(_says_anything(one.words) for part in parts[:1] for one in part)
    named = [one for one in _opened(standing, "reason") if opening or one.names]
    return next((one for one in (_opened(standing, "aside"), named) if says(one)), found)


def _last_correction(parts: list[list[Clause]], says: Callable[[list[Clause]], bool]) -> int:
    """The place of the last part that corrects those before it, something being said in it or behind it; 0 for none."""
    telling = [k for k, part in enumerate(parts) if part[0].opens not in {"reason", "aside"} and says(part)]
    return max((k for k in range(telling[-1] + 1 if telling else 0) if parts[k][0].opens == "correction"), default=0)


def _claims_of(parts: list[list[Clause]], says: Callable[[list[Clause]], bool], *, asides: bool) -> list[Clause]:
    """What parts come to, with the options that they name by the way unless it names some; else all that they claim."""
    come_to = next((part for part in reversed(parts) if part[0].opens == "conclusion" and says(part)), None)
    labels = [one for one in _opened(parts, "", "correction", "aside") if one.names]
    if come_to is None:
        return [*_opened(parts, "", "correction", *["aside"] * asides), *labels]
    return come_to if any(one.names for one in come_to) else [*come_to, *labels]


def _opened(parts: list[list[Clause]], *opens: str) -> list[Clause]:
    """The clauses of the parts that are opened so."""
    return [one for part in parts if part[0].opens in opens for one in part]


def parts_of(clauses: Iterable[Clause]) -> list[list[Token]]:
    """What each part tells, its clauses with their stops between them."""
    return [
        [word for one in part for word in (*one.told, Token(","))]
        for _, part in groupby(clauses, key=lambda one: one.part)
    ]


def _told_anew(one: Token, known: Options, kinds: tuple[str, ...]) -> Token:
    """A reason that is a word of the options is no reason; what calls something wrong is no more than that."""
    if one.kind == "reason" and one.text in known.reasons:
        return Token(one.text)
    if one.kind == "false" and "false" not in kinds:
        one = Token(one.text, table(*JOINTS).get((*one.text.split(),), "taken back"))
    if one.kind == "taken back" and "false" in kinds and any((word,) in table("false") for word in one.text.split()):
        return Token(one.text, "false")
    wrong = one.kind == "correction" and (*one.text.split(),) in table("taken back")
    return Token(one.text, "taken back") if wrong else one


def _parts(stream: list[Token]) -> list[tuple[str, list[Token]]]:
    """What stands in an answer, each part with what opens it: a conclusion, a reason, a correction, an aside in brackets."""
    found: list[tuple[str, list[Token]]] = [("", [])]
    for place, one in enumerate(stream):
        opens, part = found[-1]
        if opens == "aside":
            if one.text == ")":
                found.append(("", []))
            else:
                part.append(one)
        elif one.kind == "correction" or _takes_back(stream, place) or _is_here(stream, place):
            found.append(("correction", []))
        elif one.text in ARROWS or (one.kind == "conclusion" and not _only_denies(part)):
            found.append(("conclusion", []))
        elif one.kind == "reason" and one.text not in _NO_REASON and not _compares(one, stream[place + 1 : place + 2]):
            found.append(("reason", []))
        elif one.text == "(" and opens != "reason":
            found.append(("aside", []))
        elif _closes(one, opens, first=found[0][1], following=stream[place + 1 : place + 2]):
            found.append(("", []))
        else:
            part.append(one)
    return found


def _closes(one: Token, opens: str, *, first: list[Token], following: list[Token]) -> bool:
    """Whether a reason ends: at ``but``, and at a comma where nothing stands before it, or with an *and* behind it."""
    ends = one.text == "," and (not first or any(other.kind == "and" for other in following))
    return opens == "reason" and (one.kind == "but" or ends)


def _compares(one: Token, following: list[Token]) -> bool:
    """Whether an ``as`` stands before a size or a thing: ``as high as before``, ``acts as a short``."""
    if one.text == "as" and any(other.text in {"a", "an", "the"} for other in following):
        return True
    return any((other.text,) in table("long", "large", "short", "small", "fast", "slow") for other in following)


def _only_denies(part: list[Token]) -> bool:
    """Whether a part denies and says nothing of what: ``I do not think``."""
    said = [one.kind for one in part if one.kind == "not" or not says_nothing(one)]
    return said[-1:] == ["not"]


def _is_here(stream: list[Token], place: int) -> bool:
    """Whether what holds follows what is only supposed: ``if R were large it would ring, here it falls``."""
    return stream[place].kind == "here" and any(one.kind in {"if", "would", "supposed"} for one in stream[:place])


def _takes_back(stream: list[Token], place: int) -> bool:
    """Whether a ``no`` corrects what stands before it: it stands by itself, or between two classes of a group."""
    one = stream[place]
    if place == len(stream) - 1 or one.kind not in {"not", "false"} or (one.text,) not in table("correction"):
        return False
    before = [one for one in stream[:place] if one.text not in {"?", "."}]
    following = stream[place + 1]
    alone = place == 0 or stream[place - 1].text in STOPS or stream[place - 1].kind == "conclusion"  # b no, c no
    stopped = alone and following.text in {*STOPS, "it"}
    then = next((one for one in stream[place + 1 :] if one.text not in STOPS or not stopped), following)
    between = before[-1:] != [] and before[-1].kind in GROUP.get(DENIES.get(then.kind, then.kind), ())
    return between or (one.kind == "not" and (following.kind == "place" or stopped))


def _clauses(part: list[Token], opens: str, number: int) -> Iterator[Clause]:
    """The clauses of a part, cut at its stops and behind what is called wrong."""
    words: list[Token] = []
    for place, one in enumerate(part):
        signed = is_sign(one, part[place + 1 : place + 2])
        stops = one.text in STOPS and not signed
        if not stops:
            words.append(one)
        turns = one.kind == "but" and any(word.kind in {"supposed", "would", "if"} for word in words)
        if stops or turns or (one.kind == "taken back" and _says_anything(words)):
            yield Clause((*words,), opens, UPHELD, number, one.text if stops else ",")
            words = []
    yield Clause((*words,), opens, UPHELD, number)


def _opens_with_if(clause: Clause) -> bool:
    return [word.kind for word in clause.words[:1]] == ["if"]


def _says_anything(words: Iterable[Token]) -> bool:
    return any(
        one.kind in {"place", "true", "false"} or not (one.kind == "taken back" or says_nothing(one)) for one in words
    )


def _with_stances(clauses: list[Clause]) -> Iterator[Clause]:
    """The clauses with their stances; what only calls wrong takes back the one before, or all before if others follow."""
    found: list[Clause] = []
    headed = -1
    for place, one in enumerate(clauses):
        later = clauses[place + 1 :]
        goes_on = _goes_on(one, later)
        kinds = {word.kind for word in one.words}
        denies = kinds == {"not"}
        if not ("taken back" in kinds or denies) or _says_anything(one.words):
            stance = _stance(one, found, headed=one.part == headed, goes_on=goes_on)
            words = tuple(word for word in one.words if word.kind != "taken back")
            over = stance == UPHELD and _is_over(one, later)
            found.append(one._replace(words=words, stance=SUPPOSED if over else stance))
        elif one.stop == ":" and not any(other.part == one.part for other in found):  # false: it grows
            headed = one.part
        elif denies and (not found or goes_on):
            found.append(one)
        else:
            found = _taken_back(found, one, replaced=goes_on and one.opens != "aside" and not denies)
    yield from found


def _goes_on(one: Clause, later: list[Clause]) -> bool:
    """Whether something is said behind a clause, in its own part or in one that is no reason and in no brackets."""
    behind = (other for other in later if other.part == one.part or other.opens not in {"reason", "aside"})
    return any(_says_anything(other.words) for other in behind)


def _is_over(one: Clause, later: list[Clause]) -> bool:
    """Whether a clause tells what was, and a later one what is now: ``it was positive, now it is zero``."""
    was = any(word.kind == "was" for word in one.words)
    return was and any((word.text,) in table("now") for other in later for word in other.words)


def _taken_back(found: list[Clause], judging: Clause, *, replaced: bool) -> list[Clause]:
    """The clauses before one that calls them wrong: all where they are ``replaced``, else the last that says anything."""
    stance = SUPPOSED if replaced or judging.opens == "aside" else DENIED
    last = max((k for k, other in enumerate(found) if _says_anything(other.words)), default=-1)
    return [other._replace(stance=stance) if replaced or place == last else other for place, other in enumerate(found)]


def _stance(one: Clause, before: list[Clause], *, headed: bool, goes_on: bool) -> str:
    """How a clause is meant, under a heading that calls it wrong or not, by the words in it and what stands around it."""
    kinds = {word.kind for word in one.words}
    if "doubted" in kinds:  # not sure: it grows
        told = [*before, one._replace(words=tuple(word for word in one.words if word.kind != "doubted"))]
        return DOUBTED if any(_says_anything(other.words) for other in told) else SUPPOSED
    if "taken back" in kinds or headed:
        return DENIED
    held = goes_on or any(_says_anything(other.words) for other in before if _opens_with_if(other))
    supposed = "supposed" in kinds or "would" in kinds or (one.opens == "aside" and "was" in kinds)
    return SUPPOSED if supposed or (_opens_with_if(one) and held) else UPHELD
