"""Answers that choose all options that hold: by letters and verdicts on them, or in words, one in each clause."""

import re
from collections.abc import Iterator, Mapping
from itertools import groupby, pairwise
from typing import NamedTuple

from grader.reading.claims import Clause, cut_up
from grader.reading.damping import DAMPING
from grader.reading.meaning import meant
from grader.reading.options import is_worked_with, listed, written_out
from grader.reading.parted import FRAME, says_nothing
from grader.reading.refusals import CannotRead
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.tokens.vocabulary import NUMBER_WORDS
from grader.reading.tree import Choice
from grader.reading.words import APART, choose
from grader.regex import regex

_RANGE = regex(r"\b(?:[0-9]\s*[-–]\s*[0-9]|[a-h]\s*(?:[-–]|\.\.+|to\b|bis\b)\s*[a-h])\b(?!\s*[-–])(?<![-–].[-–].)")
"""``1-3``, ``a to d``: perhaps all between them."""
_APART = regex(r"(?:(?<=\b[a-h])|(?<=^[0-9])|(?<=[/+&][0-9]))\s*[/+&]\s*(?=[a-h0-9]\b)", re.IGNORECASE)
_LABELLED = regex(r"[(\[{]\s*([a-h1-9])\s*[)\]}]", re.IGNORECASE)
_HALF_LABELLED = regex(r"\b([a-h1-9])\s*\)", re.IGNORECASE)
_SAID_OF = regex(r"(?<=\b[a-h1-9])\s*(?:=|→|->)\s*(?=[^\W\d])", re.IGNORECASE)
_ROW = regex(
    r"(?<=\b[a-df-h])\s+(?=(?:[a-df-h]|e(?=\s*(?:[,.;:!(]|$)|\s+[^\W\d_]{3}(?![^.;]*\b[a-d]\b)))\b)", re.IGNORECASE
)
"""Letters in a row: ``yes: a c e``."""
_PAIR = regex(r"([a-h1-9])\s*[:=)]?\s*([yntf])\b")
_PAIRED = regex(r"\W*(?:[a-h1-9]\s*[:=)]?\s*[yntf]\b\W*+)++", re.IGNORECASE)
"""``a y b n``, ``a=T, b=F``."""
_VERDICT_ASIDE = regex(r"\(\s*([^()\s]+)\s*\)")
_BRACES = regex(r"[][{}\\]")
_BREAK = regex(r"\n\s*(?:[-*•]\s+)?(?=\S)")
_JUDGED = {"true": True, "false": False, "taken back": False}
_INITIALS = {"t": True, "y": True, "f": False, "n": False, "w": False, "r": True}
_LETTER = regex("[b-h]")
_JOINS = (":", "-")  # between a label and what is said of it


class Verdict(NamedTuple):
    """What is said of options at their places: whether they hold, None where they are only named."""

    places: frozenset[int]
    holds: bool | None
    either: bool = False
    """Whether it is said of one or another of them."""
    behind: bool = False
    """Whether it stands behind them."""


class Told(NamedTuple):
    """What a clause tells: its verdicts, one that holds of all clauses behind it, whether of all, its words if they tell anything.

    What its words tell may be an exception.
    """

    verdicts: tuple[Verdict, ...] = ()
    heading: bool | None = None
    of_all: bool = False
    words: tuple[Token, ...] = ()
    excepted: bool = False
    stop: str = ""
    aside: bool = False


def choose_all(text: str, options: tuple[str, ...]) -> Choice:
    """All options that an answer names, by their words or their letters, in the options' order with `APART` between.

    Raises
    ------
    CannotRead
        If it names none and does not say so, or says so beside options that it names, or judges what is not clear.
    """
    options, text = options or DAMPING, _BREAK.sub("; ", text.strip().removeprefix("- "))
    try:
        alone = _letters_alone(text, options)
        told = [] if alone else list(_told(text, options))
        none = [one for one in told if _says_none(one.words, options)]
        named = alone or (set() if none else _named(told, options))
    except CannotRead as error:
        raise CannotRead("choices-unknown", None, text) from error
    if none and any(one.verdicts or (one.words and one not in none) for one in told):
        raise CannotRead("choices-none-beside")
    if none:
        return Choice("", 0)
    if not named:
        raise CannotRead("choices-unknown", None, text)
    return Choice(APART.join(option for place, option in enumerate(options) if place in named), 0)


def _letters_alone(text: str, options: tuple[str, ...]) -> set[int]:
    """The places of letters or numbers in their order and with nothing between them: ``BD``, ``a c``."""
    if _RANGE.search(text):
        raise CannotRead("choice-unknown", None, listed(options))
    names = dict(zip("abcdefgh", range(len(options)), strict=False)) | {str(k + 1): k for k in range(len(options))}
    pairs = _PAIR.findall(text.lower()) if _PAIRED.fullmatch(text) else []
    if pairs and {letter for letter, _ in pairs} <= names.keys():
        return {names[letter] for letter, sign in pairs if _INITIALS[sign]}
    return {names[letter] for run in _runs(text, names) for letter in run}


def _runs(text: str, names: Mapping[str, int]) -> list[str]:
    """The runs of letters or numbers, each in their order, of which an answer consists; none where it has anything else."""
    stream = [one for one in tokens(spelled(text), "and") if one.text.isalnum()]
    apart = [k for k, one in enumerate(stream) if one.kind and 0 < k < len(stream) - 1]
    runs = [one.text for k, one in enumerate(stream) if k not in apart]
    alone = re.fullmatch(r"[\w\s,;.!]*+", text) is not None
    return runs if alone and all([*run] == sorted({*run}) and {*run} <= names.keys() for run in runs) else []


def _says_none(words: tuple[Token, ...], options: tuple[str, ...]) -> bool:
    """Whether words say that none holds, where that is no option."""
    texts = [" ".join(one.text for one in words if one.kind != "and")]
    return any(spelled(text) in table("none") and written_out(text, options) is None for text in texts)


def _told(text: str, options: tuple[str, ...]) -> Iterator[Told]:
    """What the clauses of an answer tell behind its last correction, reasons left out."""
    text = _labels_apart(text)
    clauses = _with_words(_corrected(cut_up(text, options, *_JUDGED), text))
    for _, part in groupby(clauses, key=lambda one: one.part):
        joined = _joined(list(part))
        told = [
            _of_clause(one.words, one.stop, len(options))
            for one in _without_reason(joined)
            if all(word.kind != "would" for word in one.words)
        ]
        yield from _aside(told) if joined[0].opens == "aside" else told


def _labels_apart(text: str) -> str:
    """An answer with its labels set apart from what is said of them, and from each other, by one kind of stop."""
    text = _SAID_OF.sub(": ", re.sub("(?<=[0-9]),(?=[0-9])", ", ", text))
    text = _VERDICT_ASIDE.sub(
        lambda match: f" {match[1]} " if spelled(match[1]) in table("true", "false") else match[0], text
    )
    label = _LABELLED if "(" in text else _HALF_LABELLED
    leading = label.match(text.strip())
    return _BRACES.sub(" ", label.sub(r", \1: " if leading else r" \1, ", _ROW.sub(", ", _APART.sub(", ", text))))


def _without_reason(joined: list[Clause]) -> list[Clause]:
    """The clauses of a part that give no reason: where it opens with one, what comes behind its end, or names an option.

    Raises
    ------
    CannotRead
        If the reason seems to go on to another option: ``a because it stores and b because it does``.
    """
    first, *others = joined
    if first.opens != "reason":
        return joined
    if any(one.kind == "and" and then.kind == "place" for one, then in pairwise(first.words)):
        raise CannotRead("choice-unknown")
    return others if first.stop in {".", ";"} else [one for one in others if one.names]


def _aside(told: list[Told]) -> list[Told]:
    """What stands in brackets: bare verdicts, all denied where one is, and what is only named left open."""
    told = [one for one in told if one.verdicts and not one.words]
    denied = any(verdict.holds is False for one in told for verdict in one.verdicts)
    return [
        one._replace(
            aside=True,
            verdicts=tuple(
                verdict._replace(holds=False if denied and verdict.holds is None else verdict.holds, either=not denied)
                for verdict in one.verdicts
            ),
        )
        for one in told
    ]


def _with_words(clauses: list[Clause]) -> list[Clause]:
    """The clauses that have words; a semicolon by itself ends the one before."""
    found: list[Clause] = []
    for one in clauses:
        if found and one.opens == "aside" and one.words and not one.stop and all(map(_judges, one.words)):
            found[-1] = found[-1]._replace(words=(*found[-1].words, *one.words))
        elif one.words:
            found.append(one)
        elif found and one.stop == ";":
            found[-1] = found[-1]._replace(stop=";")
    return found


def _judges(word: Token) -> bool:
    return word.kind in {"not", *_JUDGED} or (not word.kind and word.text in _INITIALS)


def _joined(clauses: list[Clause]) -> list[Clause]:
    """The clauses of a part with those put together that a colon or dash parts."""
    found: list[Clause] = []
    for one in clauses:
        if found and (
            found[-1].stop in _JOINS or (one.words[0].kind == "but" and found[-1].words[-1].kind == "all of it")
        ):
            last = found.pop()
            one = one._replace(words=(*last.words, Token(":"), *one.words), opens=last.opens)  # noqa: PLW2901
        found.append(one)
    return found


def _corrected(clauses: list[Clause], text: str) -> list[Clause]:
    """What stands behind the last correction, where that is a list of its own: ``a, c, sorry a, b``.

    Raises
    ------
    CannotRead
        If what stands behind may change the list before it: ``a, c, sorry not c``.
    """
    start = max((place for place, one in enumerate(clauses) if one.opens == "correction"), default=len(clauses))
    start = next(
        (k for k, one in enumerate(clauses) if start < len(clauses) and one.part == clauses[start].part), start
    )
    words = [word for one in clauses[start:] for word in one.words]
    places = sum(one.kind == "place" for one in words)
    if not places:
        return clauses
    if places == 1 or any(one.kind == "not" or one.text == "also" for one in words):
        raise CannotRead("choice-negated", None, text)
    return clauses[start:]


def _judged(words: tuple[Token, ...], place: int, *, named: bool) -> bool | None:
    """What a word says of the options before or behind it; an initial only where one is ``named``, a denial unless one follows."""
    one, following = words[place], words[place + 1 : place + 2]
    if one.kind == "not" and not any(other.kind == "place" for other in following):
        return False
    return _JUDGED.get(one.kind, _INITIALS.get(one.text) if named and not one.kind else None)


def _denies(words: tuple[Token, ...]) -> bool:
    return any(_JUDGED.get(one.kind, one.kind != "not") is False for one in words)


def _is_beside(one: Token, count: int) -> bool:
    """Whether a word tells of no option: it says nothing, is a sign, or the number of them."""
    return says_nothing(one) or not one.text[0].isalnum() or NUMBER_WORDS.get(one.text) == count


class _Heard(NamedTuple):
    """What the words of a clause have told so far."""

    verdicts: tuple[Verdict, ...] = ()
    run: tuple[int, ...] = ()
    """The options named last, of which nothing is said yet."""
    before: bool | None = None
    """What is said of options to come."""
    heading: bool | None = None
    either: bool = False
    of_all: bool = False
    excepted: bool = False
    explained: bool = False
    """Whether a verdict was the last: words behind it explain it."""
    says: bool = False
    """Whether other words tell anything."""

    def judged(self, holds: bool | None, *, behind: bool = False) -> "_Heard":
        """The same with a verdict on the options named last, if there are any."""
        verdict = Verdict(frozenset(self.run), holds, self.either, behind)
        return self._replace(verdicts=(*self.verdicts, verdict), run=()) if self.run else self


def _of_clause(words: tuple[Token, ...], stop: str, count: int) -> Told:
    """What a clause tells; words behind a verdict explain it."""
    heard = _Heard()
    for place in range(len(words)):
        heard = _with_word(heard, words, place, count)
    found, heading, of_all, excepted = heard.judged(heard.before).verdicts, heard.heading, heard.of_all, heard.excepted
    if of_all and not found and not excepted and _denies(words):
        raise CannotRead("choice-negated")
    told = tuple(
        one
        for one in words
        if one.kind not in {"place", "but", *["all of it"] * excepted} and not (one.text == ":" and found)
    )
    return Told(found, False if excepted else heading, of_all, told if heard.says else (), excepted, stop)


def _with_word(heard: _Heard, words: tuple[Token, ...], place: int, count: int) -> _Heard:
    """What a clause has told when one more of its words is heard."""
    one = words[place]
    judged = _judged(words, place, named=bool(heard.run))
    if one.kind == "place":
        return heard._replace(run=(*heard.run, int(one.text)), explained=False)
    if judged is not None and heard.run:
        return heard.judged(judged, behind=True)._replace(before=None, explained=True)
    if judged is not None or one.kind == "not":
        return heard.judged(heard.before)._replace(before=judged if one.kind != "not" else False)
    if one.kind == "all of it":
        return heard._replace(of_all=True)
    if one.kind == "but":
        if heard.of_all and heard.before is False:  # all are wrong but c
            return heard._replace(before=True, of_all=False)
        then = False if heard.of_all else None if place else True  # not c, but a
        return heard.judged(heard.before)._replace(before=then, excepted=heard.of_all)
    if one.text == ":" and heard.before is not None and not heard.verdicts:
        return heard._replace(heading=heard.before)
    if one.kind == "or":
        return heard._replace(either=True)
    if _LETTER.fullmatch(one.text) and not one.kind and not heard.explained:
        raise CannotRead("choice-unknown")  # no option has this letter
    return heard if heard.explained or _is_beside(one, count) else heard._replace(says=True)


def _named(told: list[Told], options: tuple[str, ...]) -> set[int]:
    """The options that hold: all but some, those at places, or those in words.

    Raises
    ------
    CannotRead
        If it is not clear what a verdict is on, or nothing is upheld.
    """
    upheld: set[int] = set()
    denied: set[int] = set()
    unclear = plain = explained = began = of_all = False
    heading: bool | None = None
    for one in told:
        heading = one.heading if one.heading is not None else heading
        of_all |= one.of_all
        if one.words and not (explained and not one.verdicts):
            (denied if one.excepted or heading is False else upheld).update(
                _in_words(one, options, beside=bool(upheld | denied))
            )
        for verdict in one.verdicts:
            holds = heading if verdict.holds is None else verdict.holds
            unclear |= _is_unclear(verdict, holds, one.stop, plain=plain, began=began)
            began = verdict.holds is False and not (verdict.behind or one.aside)
            (denied if holds is False else upheld).update(verdict.places)
            plain = verdict.holds is None
            explained = verdict.behind
        if one.stop in {";", "."}:
            heading, plain, explained, began = None, False, False, False
    if of_all and not upheld:
        upheld = {*range(len(options))} - denied
        denied = denied - upheld
    if unclear or upheld & denied or not upheld:
        raise CannotRead("choice-negated", None, listed(options))
    return upheld


def _is_unclear(verdict: Verdict, holds: bool | None, stop: str, *, plain: bool, began: bool) -> bool:
    """Whether it is not clear of which options a verdict is, or what it is: behind options only named, or behind a denial."""
    if (plain and verdict.behind and not verdict.holds) or (began and holds is None):
        return True  # a, b, c false; not c, d
    return (verdict.either and holds is not False) or (stop == "?" and holds is None)


def _in_words(one: Told, options: tuple[str, ...], *, beside: bool) -> set[int]:
    """What a clause names in words; of an option named by its label they say nothing else.

    Raises
    ------
    CannotRead
        If they say something else.
    """
    pieces = [
        " ".join(word.text for word in run)
        for parted, run in groupby(one.words, key=lambda word: word.kind == "and")
        if not parted
    ]
    denial = next((k for k, word in enumerate(one.words) if _JUDGED.get(word.kind, word.kind != "not") is False), -1)
    near_it = one.words[denial + 1 :] if any(not says_nothing(word) for word in one.words[denial + 1 :]) else one.words
    if denial >= 0 and any(word.kind == "and" for word in near_it):
        raise CannotRead("choice-negated", None, listed(options))
    places = {place for verdict in one.verdicts for place in verdict.places}
    joined = "and" in {one.words[0].kind, one.words[-1].kind}  # c and it falls
    if places and not joined:
        told = meant(" ".join(pieces), options)
        if not {options[place] for place in places} <= {*told.options}:
            raise CannotRead("choice-unknown", None, listed(options))
        return set()
    return {options.index(option) for piece in pieces for option in _of_piece(piece, options, beside=beside)}


def _of_piece(piece: str, options: tuple[str, ...], *, beside: bool) -> list[str]:
    """What a piece names; ``beside`` other options it may say nothing, or deny.

    Raises
    ------
    CannotRead
        If it says anything and names none.
    """
    told = meant(piece, options)
    if told.denies and not told.upheld:
        if beside:
            return []
        raise CannotRead("choice-negated", None, piece)
    words = [one for one in tokens(spelled(piece), *FRAME) if one.text.isalnum()]
    if beside and not told.says and all(map(says_nothing, words)):
        return []
    if is_worked_with(piece):
        raise CannotRead("choice-unknown", None, listed(options))
    chosen = choose(piece, options)
    if chosen.others:
        raise CannotRead("choice-several", None, listed(options))
    return [chosen.choice.option]
