"""Options told apart by what they mean: labels, classes said of something, ways from a name to another, figures, words.

Options and answers are taken apart alike.  An option fits an answer where nothing that the answer says speaks against it, and
an answer chooses where one option alone fits.
"""

from collections.abc import Iterator
from typing import NamedTuple

from grader.reading.factors import is_factor
from grader.reading.options import around, held
from grader.reading.parted import (
    CLASSES,
    FRAME,
    SCALED,
    SIGNALS,
    STOPS,
    THINGS,
    labelled,
    parts,
    says_nothing,
    segments,
    stream_of,
)
from grader.reading.saying import Options, Said, known_words, numbers_of, said, taken_apart, with_slips_mended
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.tokens.vocabulary import normalized_name

_BESIDE_NONE = {"not", "or", "but", "would", "than", "correction", "all of it", "taken back", "false"}
"""What an option does not stand for itself beside: it may be denied, corrected or compared."""
_WORKED = frozenset("+*/^=<>≤≥≠~±")


class Meant(NamedTuple):
    """The options that fit an answer; whether it says anything of them, denies something, and is upheld by what an option says."""

    options: tuple[str, ...]
    says: bool
    denies: bool
    upheld: bool = False


class _Segment(NamedTuple):
    """What a segment says, and the words that it is about: things, and nouns that no option has."""

    says: tuple[Said, ...]
    about: frozenset[str]


def things_in(text: str) -> tuple[str, ...]:
    """The things that a question's text names: ``the time constant``."""
    return tuple(one.kind for one in tokens(spelled(text), *THINGS, "not") if one.kind)


def agrees_at_length(text: str, asked: frozenset[str]) -> bool:
    """Whether a yes or no with further words answers a statement that denies: nobody knows what it agrees to."""
    first, *others = tokens(spelled(text), "true", "false", "yes or no") or [Token("")]
    told = [one for one in others if one.kind or not says_nothing(one)]
    return "not" in asked and first.kind == "yes or no" and bool(told) and all(not one.kind for one in told)


def sign_alone(text: str, options: tuple[str, ...]) -> str:
    """A text that is a sign alone in words, where an option is that sign."""
    said = {"+": "positive", "-": "negative"}.get("".join(spelled(text)), "")
    return said if said in taken_apart(options).kinds else text


def meant(text: str, options: tuple[str, ...], asked: frozenset[str] = frozenset(), *, lettered: bool = True) -> Meant:
    """The options that fit what a text says; ``asked``: what the question is about; ``lettered``: they are shown with letters.

    Where segments contradict one another, those about what is asked count, else those about nothing else.
    """
    known = taken_apart(options)
    stream = stream_of(text, known.kinds, known.names)
    stream = [Token(one.text) if one.kind == "reason" and one.text in known.reasons else one for one in stream]
    cut = parts(labelled(stream, options) if lettered else stream)
    counted = _counted(_read_through(cut, known))
    if cut[-1][0] == "taken back":  # (a) is wrong
        return Meant((), says=True, denies=True)
    numbers = _figures_of(cut, known)
    fitting = _fitting(_all_of(counted), numbers, known)
    if not fitting:
        counted = [one for one in counted if one.about & asked] or [one for one in counted if not one.about] or counted
        fitting = _fitting(_all_of(counted), numbers, known)
    return _meant(_all_of(counted), fitting, options, known)


def _meant(says: list[Said], fitting: list[int], options: tuple[str, ...], known: Options) -> Meant:
    """The options that fit what is said, where something speaks for them, or two denials, or one of all, leave no other."""
    denied = [one for one in says if not one.holds]
    denials = max((len({other.what for other in denied if other.of == one.of}) for one in denied), default=0)
    of_all = any(
        {other.of for other in denied if other.what == one.what} == known.bound_in(one.what)
        for one in denied if one.kind == "class" and one.of
    )  # fmt: skip
    upheld = any(one.holds and _speaks_for(one, fitting, known, alone=denials > 0) for one in says)
    upheld |= any(_told(one, fitting, known) for one in denied)
    enough = upheld or of_all or denials > 1
    return Meant(tuple(options[k] for k in fitting) if enough else (), bool(says), denials > 0, upheld)


def is_turned(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether a word of an answer turns, weakens or scales what it says, where the option that it names has not the word."""
    known = taken_apart(options)
    theirs = {one.text for one in tokens(spelled(option), "turning")}
    claimed = _claimed_last(text, options, known)
    first, *others = _clauses(claimed)
    denied = any(clause and all(one.kind == "not" for one in clause) for clause in others)  # rises, not!
    judged = "false" in known.kinds and any(_is_judged_twice(clause, known) for clause in (first, *others))
    if denied or judged or _denies_more(claimed, option, known) or _is_overruled(text, option, options, known):
        return True
    if not any(known.figures):
        claimed = _without_numbers(claimed, known)
    scaled = [one.kind for one in claimed if one.kind in SCALED]
    turning = [one for one in claimed if one.kind in {"turning", "false"} and one.text not in theirs]
    return len(scaled) > len({*scaled}) or any(_turns(one, options, known) for one in turning)


def _denies_more(claimed: list[Token], option: str, known: Options) -> bool:
    """Whether a clause denies more often than the option that it names, which denies: ``hardly that it does not ring``."""
    words = spelled(option)
    own = max(_denials(tokens(words, "false", *FRAME, "turning", *known.kinds)))
    return len(words) > 1 and 0 < own < max(_denials(claimed))


def _denials(stream: list[Token]) -> list[int]:
    """How often each clause denies; one that a *nor* goes on with is the same denial."""
    apart = [Token(",") if one.kind in {"and", "but"} else one for one in stream]
    return [
        sum(one.kind in {"not", "false"} and (one.text,) not in table("nor") for one in clause)
        for clause in _clauses(apart)
    ]


def _is_overruled(text: str, option: str, options: tuple[str, ...], known: Options) -> bool:
    """Whether an answer has another option as a whole, which has more words, or says a class of a thing where nothing is denied.

    ``the flux jumps, the current stays`` is no *both jump*; of one and another together it is, unless one is struck out.
    """
    whole, rest = held(text, options)
    places, own = [options.index(one) for one in whole], options.index(option)
    if own in places:
        return False
    if known.words[own] and any(known.words[place] > known.words[own] for place in places):
        return True
    if not any(said.of for place in places for said in known.says[place]):
        return False
    if len(whole) > 1:
        return "~~" in text
    return all(not one.kind for one in tokens(spelled(rest), "not", "correction", "taken back", "false", "all of it"))


def _turns(one: Token, options: tuple[str, ...], known: Options) -> bool:
    """Whether a word that turns is no class or factor of the options by itself, and no sign of theirs."""
    meant_so = one.kind in known.kinds or is_factor(one.text, options) or _is_said_by_class(one, known)
    return not meant_so and (one.text != "negative" or any(known.figures))


def _claimed_last(text: str, options: tuple[str, ...], known: Options) -> list[Token]:
    """The last part of an answer that says anything of the options and is no reason, else all of it."""
    cut = parts(labelled(tokens(spelled(text), "false", *FRAME, "turning", *known.kinds), options))
    aside = () if any(known.figures) else ("aside",)
    standing = [part for opens, part in cut if opens not in {"reason", *aside} and _says(part, known)]
    return standing[-1] if standing else [one for _, part in cut for one in part]


def _is_said_by_class(one: Token, known: Options) -> bool:
    """Whether a word that turns is a class of the options by itself, or with what it is compared: ``less``, ``less than``."""
    first, *others = one.text.split()
    return (first,) in table(*known.kinds) and others in ([], ["than"])


def _is_judged_twice(clause: list[Token], known: Options) -> bool:
    """Whether a verdict is judged by another: ``false is wrong``; a yes or no in front agrees with what follows."""
    verdicts = [one for one in with_slips_mended(clause, known) if one.kind in {"true", "false", "not"}]
    agreed = verdicts[:1] == clause[:1] and (clause[0].text,) in table("yes or no") if verdicts else False
    judging = verdicts[1:] if agreed else verdicts
    return sum(one.kind in {"true", "false"} for one in judging) > 1 and any(one.kind != "true" for one in judging)


def _clauses(part: list[Token]) -> list[list[Token]]:
    """A part cut at its stops."""
    clauses: list[list[Token]] = [[]]
    for one in part:
        if one.text in STOPS:
            clauses.append([])
        else:
            clauses[-1].append(one)
    return clauses


def _without_numbers(part: list[Token], known: Options) -> list[Token]:
    """A part without its clauses that hold a number and no class, where options hold none: ``underdamped, 208 is below 500``."""
    return [
        one for clause in _clauses(part) for one in clause
        if any(other.kind in known.kinds for other in clause) or all(other.kind == "place" or not other.text[0].isdigit() for other in clause)
    ]  # fmt: skip


def _says(part: list[Token], known: Options) -> bool:
    """Whether a part says anything of the options."""
    return any(
        one.kind in known.kinds
        or one.text in known.names
        or known_words(one, known)
        or numbers_of(one.text, compared=True)
        for one in with_slips_mended(part, known)
    )


def is_denied(text: str, options: tuple[str, ...]) -> bool:
    """Whether a text denies something in a word or a sign that no option has."""
    theirs = {one.text for option in options for one in tokens(spelled(option), "not")}
    return any(
        (one.kind == "not" or one.text == "≠") and one.text not in theirs for one in tokens(spelled(text), "not")
    )


def is_judged(text: str, options: tuple[str, ...]) -> bool:
    """Whether a text calls something wrong in a word that no option has: ``a yes, b no``."""
    theirs = {one.text for option in options for one in tokens(spelled(option), "taken back", "false")}
    words = [one for one in tokens(spelled(text), "not", "taken back", "false") if one.kind and one.text not in theirs]
    return any(one.kind != "not" for one in words) and not any(one in "".join(options) for one in "✗✘×")


def stands_alone(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether nothing beside an option that an answer has as a whole denies or corrects it, or says anything of another."""
    known = taken_apart(options)
    before, *behind = (
        parts(tokens(spelled(one), *FRAME, *known.kinds, "taken back", "false")) for one in around(text, option)
    )
    opened = {opens for cut in behind for opens, _ in cut[1:]}
    if any(opens == "reason" for opens, _ in before) or not opened <= {"", "reason", "aside"}:
        return False
    whole, own_tokens = ({*stream_of(one, known.kinds, known.names)} for one in (text, option))
    if any(one.kind in known.kinds for one in whole - own_tokens):  # anti clockwise
        return False
    beside = [one for _, part in before for one in part]
    beside += [one for cut in behind for opens, part in cut if opens != "reason" for one in part]
    if len(option.strip()) == 1:
        return all(_is_glue(one) for one in beside)
    own = known.words[options.index(option)]
    return all(_says_no_more(one, own, known) for one in beside)


def _is_glue(one: Token) -> bool:
    """Whether a word says nothing beside an option of one letter."""
    return one.kind not in _BESIDE_NONE and (says_nothing(one) or (not one.kind and (one.text,) in table("node")))


def _says_no_more(one: Token, own: frozenset[str], known: Options) -> bool:
    """Whether a word beside an option with words of its own speaks of no other one, by a class, a figure, a sign or a letter."""
    if one.kind in {*_BESIDE_NONE, *known.kinds} or one.text in _WORKED or any(map(str.isdigit, one.text)):
        return False
    letter = not one.kind and len(one.text) == 1 and one.text.isalpha() and (one.text,) not in table("glue")
    return not letter and set(known_words(one, known)) <= own


def is_of_another(text: str, options: tuple[str, ...], asked: frozenset[str]) -> bool:
    """Whether an answer claims something of a voltage or current, say, and another one is asked; options name none."""
    theirs = asked & {normalized_name(one) for one in SIGNALS}
    own = {one.kind for option in options for one in tokens(spelled(option), *SIGNALS)}
    claimed = [
        one
        for opens, part in parts(stream_of(text, CLASSES, frozenset()))
        if opens not in {"reason", "aside"}
        for one in part
    ]
    told = {normalized_name(one.kind) for one in claimed if one.kind in SIGNALS}
    return bool(told and theirs) and own == {""} and told.isdisjoint(theirs)


def _speaks_for(one: Said, fitting: list[int], known: Options, *, alone: bool) -> bool:
    """Whether what holds speaks for the options that fit; ``alone``: a word only where no other option has it."""
    if one.kind != "word":
        return True
    having = {k for k, words in enumerate(known.words) if one.what in words}
    more = {k for k in having for own in fitting if known.words[k] > known.words[own]}  # both L1 and C1
    return having - more == set(fitting) if alone else having >= set(fitting)


def _all_of(segments: list[_Segment]) -> list[Said]:
    """All that is said, once; a word denied that is used as well says nothing: ``not through R1, through R2``.

    Nor does one of which a class is denied that holds of another: ``the flux jumps, not the current``.
    """
    says = list(dict.fromkeys(one for segment in segments for one in segment.says))
    holding = {(one.what, one.of) for one in says if one.kind == "class" and one.holds and one.of}
    classes = {what for what, _ in holding}
    denied = {one.of for one in says if one.kind == "class" and not one.holds and one.what in classes}
    denied -= {of for _, of in holding}
    says = [one for one in says if one.kind != "word" or one.what not in denied]
    return [one for one in says if one.holds or one.kind != "word" or one._replace(holds=True) not in says]


def _read_through(cut: list[tuple[str, list[Token]]], known: Options) -> list[tuple[str, list[_Segment]]]:
    """The parts with what each of their segments says, where it says anything."""
    read = []
    for opens, part in cut:
        each = [_Segment(tuple(said(one, known)), frozenset(_about(one, known))) for one in segments(part)]
        read.append((opens, [one for one in each if one.says]))
    return read


def _about(segment: list[Token], known: Options) -> Iterator[str]:
    for one in with_slips_mended(segment, known):
        if one.kind in THINGS and one.kind not in known.known:
            yield normalized_name(one.kind)
        elif (
            not one.kind
            and one.text[0].isalpha()
            and one.text != "a"
            and not known_words(one, known)
            and (one.text,) not in table("glue", "lead", "node")
        ):
            yield one.text


def _fitting(says: list[Said], numbers: frozenset[str], known: Options) -> list[int]:
    """The places of the options against which nothing speaks; a negative number may turn a way."""
    if known.names and any(number[0] == "-" for number in numbers):
        return []
    fitting = [
        k for k, own in enumerate(known.says)
        if all(_fits(one, k, own, known) for one in says) and _is_numbered(numbers, k, known)
    ]  # fmt: skip
    words = {one.what for one in says if one.kind == "word" and one.holds}
    own = {k: known.words[k] | {one.of for one in known.says[k]} for k in fitting}
    theirs = frozenset().union(*own.values())
    if len(fitting) > 1:
        return [k for k in fitting if words & theirs <= own[k]]
    return [] if _are_of_others(words - theirs, says, known) else fitting


def _are_of_others(words: set[str], says: list[Said], known: Options) -> bool:
    """Whether words speak for another option than the one that fits: any beside a letter, else one that a single option has."""
    labelled_so = any(one.kind == "place" for one in says)
    return any(labelled_so or sum(word in own for own in known.words) == 1 for word in words)


def _is_numbered(numbers: frozenset[str], place: int, known: Options) -> bool:
    """Whether an option has the numbers that are said, or has none, nor has another one of them."""
    own = known.figures[place]
    return numbers <= own or (not own and numbers.isdisjoint(frozenset().union(*known.figures)))


def _fits(one: Said, place: int, own: frozenset[Said], known: Options) -> bool:
    """Whether an option, by what it says, may be meant where something is said."""
    if one.kind == "place":
        return (int(one.what) == place) is one.holds
    if one.kind == "word":
        own_words = {other.holds for other in own if other.what == one.what}
        return one.holds in own_words if own_words else one.holds or one.what not in known.words[place]
    return one in own or (not one.holds and one.what != "true" and one._replace(holds=True) not in own)


def _told(one: Said, fitting: list[int], known: Options) -> bool:
    """Whether an option that fits itself says what an answer denies."""
    return any({one, one._replace(of="")} & known.says[k] for k in fitting)


def _counted(parts: list[tuple[str, list[_Segment]]]) -> list[_Segment]:
    """What counts: behind the last correction, what the answer comes to, else what it claims; labels always.

    A reason is heard where nothing stands before it and nothing else is said: ``as R is large it falls``.
    """
    start = max((k for k, (opens, says) in enumerate(parts) if opens == "correction" and says), default=0)
    standing = parts[start:]
    opening = not start and len(parts) > 1 and not parts[0][1] and parts[1][0] == "reason"

    def said_in(*kinds: str) -> list[_Segment]:
        return [one for opens, says in standing if opens in kinds for one in says]

    labels = _with_labels(said_in("", "correction", "aside"))
    come_to = [says for opens, says in standing if opens == "conclusion" and says]
    claimed = [*labels, *(come_to[-1] if come_to else said_in("", "correction"))]
    return claimed or said_in("aside") or (said_in("reason") if opening else [])


def _with_labels(segments: list[_Segment]) -> list[_Segment]:
    return [one for one in segments if any(said.kind == "place" for said in one.says)]


def _figures_of(cut: list[tuple[str, list[Token]]], known: Options) -> frozenset[str]:
    """The numbers that an answer claims, where options have some."""
    claimed = [one for opens, part in cut if opens not in {"reason", "aside"} for one in segments(part)]
    upheld = [segment for segment in claimed if all(one.kind != "not" for one in segment)]
    texts = (" ".join(one.text for one in segment if one.kind != "place") for segment in upheld)
    return frozenset(figure for text in texts for figure in numbers_of(text, compared=known.compared))
