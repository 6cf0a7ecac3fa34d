"""Answers that choose all options that hold: by letters and verdicts on them, or in words, one in each clause."""

import re
from itertools import groupby

from grader.reading.damping import DAMPING
from grader.reading.meaning import is_judged, meant
from grader.reading.options import held, is_worked_with, listed, squeezed, written_out
from grader.reading.parted import FRAME, STOPS, labelled, parts, says_nothing
from grader.reading.refusals import CannotRead
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.tokens.vocabulary import NUMBER_WORDS
from grader.reading.tree import Choice
from grader.reading.words import APART, choose, near
from grader.regex import regex

_RANGE = regex(r"\b(?:[0-9]\s*[-–]\s*[0-9]|[a-h]\s*(?:[-–]|\.\.+|to\b|bis\b)\s*[a-h])\b(?!\s*[-–])(?<![-–].[-–].)")
"""``1-3``, ``a to d``: perhaps all between them."""
_APART = regex(r"(?<=\b[a-h0-9])\s*/\s*(?=[a-h0-9]\b)", re.IGNORECASE)
_BRACKETED = regex(r"\(([^()]*)\)")
_BREAK = regex(r"\n\s*(?=\S)")
_JUDGING = ("true", "false", "not")


def choose_all(text: str, options: tuple[str, ...]) -> Choice:
    """All options that an answer names, by their words or their letters, in the options' order with `APART` between.

    Raises
    ------
    CannotRead
        If it names none and does not say so, or says so beside options that it names, or judges what is not clear.
    """
    options, text = options or DAMPING, _BREAK.sub("; ", text.strip())
    pieces = _runs(tokens(spelled(text), *FRAME))
    try:
        none = [piece for piece in pieces if spelled(piece) in table("none") and written_out(piece, options) is None]
        named = set() if none else _named(text, options)
    except CannotRead as error:
        raise CannotRead("choices-unknown", None, text) from error
    if none and len(none) < len(pieces):
        raise CannotRead("choices-none-beside")
    if none:
        return Choice("", 0)
    if not named:
        raise CannotRead("choices-unknown", None, text)
    return Choice(APART.join(option for option in options if option in named), 0)


def _named(text: str, options: tuple[str, ...]) -> set[str]:
    """The options that hold: all but some, those at places, or those in words."""
    places = by_verdicts(text, options)
    if places is not None:
        return {options[place] for place in places}
    stream = tokens(spelled(text), *FRAME)
    kinds = [one.kind for one in stream]
    if "all of it" in kinds and "but" in kinds[kinds.index("all of it") :]:
        cut = kinds.index("but")
        if all(one.kind == "all of it" or says_nothing(one) for one in stream[:cut]):
            return {*options} - _named(" ".join(one.text for one in stream[cut + 1 :]), options)
    return _in_words(text, options)


def _in_words(text: str, options: tuple[str, ...]) -> set[str]:
    """The options named by their words: those that stand in a clause as a whole, else what each piece of it names."""
    if is_judged(text, options):
        raise CannotRead("choice-negated", None, text)
    named: set[str] = set()
    left: list[str] = []
    for clause in text.split(";"):
        written, places = written_out(clause, options), by_verdicts(clause, options)
        whole, rest = held(clause, options)
        if written is not None:
            named.add(written)
        elif places is not None:
            named.update(options[place] for place in places)
        else:
            if whole and _is_doubted(clause, options):
                raise CannotRead("choice-negated", None, text)
            named.update(whole)
            left += _pieces(rest, options)
    for piece in left:
        named.update(_of_piece(piece, options, beside=bool(named)))
    return named


def _is_doubted(clause: str, options: tuple[str, ...]) -> bool:
    """Whether an option stands beside a denial or an *or* in one piece of a clause: ``neither R nor L``."""
    cut = parts(tokens(spelled(clause), *FRAME))
    pieces = [piece for opens, part in cut if opens not in {"reason", "aside"} for piece in _runs(part)]
    beside = [rest for whole, rest in (held(piece, options) for piece in pieces) if whole]
    return any(one.kind for rest in beside for one in tokens(spelled(rest), "not", "or"))


def _pieces(text: str, options: tuple[str, ...]) -> list[str]:
    """What is claimed, cut at its stops and at *and*.

    Raises
    ------
    CannotRead
        If brackets beside it hold the letter of an option.
    """
    cut = parts(tokens(spelled(text), *FRAME))
    asides = [part for opens, part in cut if opens == "aside" and all(one.kind != "would" for one in part)]
    if any(len(one.text) == 1 and one.text.isalpha() for part in asides for one in part):
        raise CannotRead("choice-unknown", None, listed(options))
    return [piece for opens, part in cut if opens not in {"reason", "aside"} for piece in _runs(part)]


def _runs(part: list[Token]) -> list[str]:
    """What stands between stops and *and*."""
    runs = groupby(part, key=_parts_pieces)
    pieces = (" ".join(one.text for one in run) for parted, run in runs if not parted)
    return [piece for piece in pieces if squeezed(piece)]


def _parts_pieces(one: Token) -> bool:
    return one.text in STOPS - {"-", ":"} or one.kind == "and" or one.text == "+"


def _of_piece(piece: str, options: tuple[str, ...], *, beside: bool) -> list[str]:
    """What a piece names; ``beside`` other options it may say nothing, or deny.

    Raises
    ------
    CannotRead
        If it says anything and names none.
    """
    close, told = near(piece, options), meant(piece, options)
    if close:
        return close
    if told.denies and not told.upheld:
        if beside:
            return []
        raise CannotRead("choice-negated", None, piece)
    words = [one for one in tokens(spelled(piece), *FRAME) if one.text.isalnum()]
    if beside and not told.says and all(map(says_nothing, words)):
        return []
    if is_worked_with(piece):
        raise CannotRead("choice-unknown", None, listed(options))
    return [choose(piece, options).choice.option]


_ASIDE = regex(r"[0-9]?W[^;,]*|r[^;,]*|(?<=[yn]),?[N&bo:A]*w[^0-9;]*", 0)
_VERDICT = regex(r"(?P<before>[nN]|(?<=A)b[&,]*)?:*(?P<run>[0-9](?:[&o]*[0-9])*):*(?P<behind>[yn]|N(?![0-9]))?", 0)
"""Places joined, with a denial or exception before them, or a verdict behind them."""
_GOES_ON = regex(r"(?:^|;):*[nN][0-9][0-9&]*,:*[0-9][0-9&]*:*(?:[,;]|$)", 0)
"""A denial in front of a clause that perhaps goes on behind a comma: ``not c, d``."""


def by_verdicts(text: str, options: tuple[str, ...]) -> set[int] | None:
    """The places that an answer of letters, numbers and verdicts on them names; None where it says anything else.

    Raises
    ------
    CannotRead
        If it is not clear what a verdict is on, or no place is upheld.
    """
    signs = _ASIDE.sub("", "".join(_sign(one, len(options)) for one in _corrected(_labelled(text, options), text)))
    if not re.search("[0-9A]", signs):
        return None
    upheld, denied, rest = _judged(signs := re.sub("(?<=A)[,;]+(?=b)", "", signs))
    if "w" in rest and (";" in signs or not re.search("[0-9]", signs) or held(text, options)[0]):
        return None
    if not upheld | denied:
        return {*range(len(options))} if not rest.strip("&:bA,;") else None
    whole = "A" in signs and not upheld
    if (
        rest.strip("&:bA,;")
        or upheld & denied
        or _GOES_ON.search(signs)
        or ("Ab" in signs and upheld)
        or not (upheld or whole)
    ):
        raise CannotRead("choice-negated", None, text)
    return {*range(len(options))} - denied if whole else upheld


def _judged(signs: str) -> tuple[set[int], set[int], str]:
    """The places upheld, those denied, and the signs that are left; a ``?`` among them where it is not clear what is denied."""
    upheld: set[int] = set()
    denied: set[int] = set()
    heading, plain, left = "", False, ""
    for piece in re.split("([,;]+)", signs):
        head = re.match("([yn]):", piece.lower())
        heading, piece = (head[1], piece[2:]) if head else (heading, piece)  # noqa: PLW2901
        for match in _VERDICT.finditer(piece):
            verdict = ("n" if match["before"] else match["behind"] or heading).lower()
            unclear = (plain and match["behind"] in {"n", "N"}) or ("o" in match["run"] and not match["before"])
            left, plain = left + "?" * unclear, not verdict
            (denied if verdict == "n" else upheld).update(int(sign) for sign in match["run"] if sign.isdigit())
        left += _VERDICT.sub("", piece)
        heading, plain = ("", False) if ";" in piece else (heading, plain)
    return upheld, denied, left


_SIGNS = {
    "would": "W",
    "true": "y",
    "false": "n",
    "not": "N",
    "and": "&",
    "or": "o",
    "but": "b",
    "all of it": "A",
    "reason": "r",
}
_JOINS = {";": ";", ".": ";", ",": ",", ":": ":", "=": ":", "+": "&", "&": "&", "-": ":", "→": ":"}


def _sign(one: Token, count: int) -> str:
    """The sign of a word in the grammar of verdicts; none for what says nothing."""
    said = one.text if one.kind == "place" else _SIGNS.get(one.kind) or _JOINS.get(one.text)
    if not said and re.fullmatch("[b-h]", one.text):
        return "x"  # no option has this letter
    return said or ("" if says_nothing(one) or NUMBER_WORDS.get(one.text) == count else "w")


def _labelled(text: str, options: tuple[str, ...]) -> list[Token]:
    """The words of an answer with its places; verdicts beside one are none of its words.

    Raises
    ------
    CannotRead
        If it is a range of letters or numbers.
    """
    if _RANGE.search(text):
        raise CannotRead("choice-unknown", None, listed(options))
    text = re.sub("(?<=[0-9]),(?=[0-9])", ", ", text)
    text = _BRACKETED.sub(_headed, _APART.sub(",", re.sub(r"[][{}]", " ", text)))
    stream = _with_ordinals(tokens(spelled(text), *FRAME, "true", "false"), len(options))
    between = zip([Token(""), *stream], stream, [*stream[1:], Token("")], strict=False)
    runs = [
        one.text for before, one, behind in between
        if one.text not in STOPS and not (one.kind == "and" and before.text.isalnum() and behind.text.isalnum())
    ]  # fmt: skip
    names = dict(zip("abcdefgh", range(len(options)), strict=False)) | {str(k + 1): k for k in range(len(options))}
    if all([*run] == sorted({*run}) and {*run} <= names.keys() for run in runs):  # BD, d b
        return [Token(str(names[letter]), "place") for run in runs for letter in run]
    silent = _JOINS.keys() - STOPS
    quiet = [Token("true") if one.kind in _JUDGING or one.text in silent else one for one in stream]
    named = zip(stream, labelled(quiet, options), strict=True)
    return [
        other if other.kind == "place" or (one.kind == "and" and other.text in "bcdefgh") else one
        for one, other in named
    ]


def _corrected(stream: list[Token], text: str) -> list[Token]:
    """What stands behind the last correction, where that is a list of its own: ``a, c, sorry a, b``.

    Raises
    ------
    CannotRead
        If what stands behind may change the list before it: ``a, c, sorry not c``.
    """
    last = max((place for place, one in enumerate(stream) if one.kind == "correction"), default=-1)
    behind = stream[last + 1 :]
    places = sum(one.kind == "place" for one in behind)
    if last == -1 or not places:
        return stream
    if places == 1 or any(one.kind == "not" or one.text == "also" for one in behind):
        raise CannotRead("choice-negated", None, text)
    return behind


def _headed(match: re.Match[str]) -> str:
    """Brackets that begin with a denial as a clause under it: ``(not b, c)``."""
    first, *others = tokens(spelled(match[1]), "not") or [Token("")]
    return f"; {first.text}: {' '.join(one.text for one in others)};" if first.kind else match[0]


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
