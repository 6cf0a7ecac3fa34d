"""Options told apart by what they mean: labels, classes said of something, ways from a name to another, figures, words.

Options and answers are taken apart alike.  An option fits an answer where nothing that the answer says speaks against it, and
an answer chooses where one option alone fits.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from grader.reading.claims import DOUBTED, SUPPOSED, UPHELD, Clause, claimed, counted, parts_of
from grader.reading.factors import is_factor
from grader.reading.fitting import fitting, speaks_for, told, with_compatible
from grader.reading.parted import (
    CLASSES,
    SCALED,
    SIGNALS,
    THINGS,
    says_nothing,
)
from grader.reading.parted import (
    segments as segments_of,
)
from grader.reading.saying import Options, Said, known_words, numbers_of, said, taken_apart, with_slips_mended
from grader.reading.spelled import Token, spelled, table, tokens
from grader.reading.text.glyphs import normalize
from grader.reading.tokens.vocabulary import normalized_name
from grader.regex import regex

_SIGN_ALONE = regex(r"\s*(?:\(\s*(\W)\s*\)|(\W)\s*$)")


class Meant(NamedTuple):
    """The options that fit an answer; whether it says anything of them, denies something, and is upheld by what an option says.

    ``places`` are those of options that it names as a whole or by a label, and that it upholds.
    """

    options: tuple[str, ...]
    says: bool
    denies: bool
    upheld: bool = False
    places: frozenset[int] = frozenset()


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
    """A text with a sign alone, or in brackets in front, in words, where an option is that sign."""
    sign = _SIGN_ALONE.match(normalize(text).text)
    said = {"+": "positive", "-": "negative"}.get("".join(spelled(sign[1] or sign[2])), "") if sign else ""
    return f"{said} {text[sign.end() :]}" if sign and said in taken_apart(options).kinds else text


def meant(
    text: str,
    options: tuple[str, ...],
    asked: frozenset[str] = frozenset(),
    *,
    lettered: bool = True,
    whole: bool = True,
) -> Meant:
    """The options that fit what a text says; ``asked``: what the question is about; ``lettered``: they are shown with letters."""
    return meant_by(claimed(text, options, lettered=lettered, whole=whole), options, asked)


def meant_by(clauses: list[Clause], options: tuple[str, ...], asked: frozenset[str] = frozenset()) -> Meant:
    """The options that fit what clauses say.

    Where segments contradict one another, those about what is asked count, else those about nothing else.  What would be
    counts where nothing else is claimed.
    """
    known = taken_apart(options)

    def says(part: list[Clause]) -> bool:
        return bool(_segments(part, known))

    if not says(clauses):
        clauses = [one._replace(stance=UPHELD) if _would_be(one) else one for one in clauses]
    clauses = counted(clauses, says)
    segments = _segments(clauses, known)
    says_all = _all_of(segments)
    places = {int(one.what) for one in says_all if one.kind == "place" and one.holds}
    numbers = _numbers_of(clauses, known, named=bool(places))
    fits = with_compatible(fitting(says_all, numbers, known), says_all, numbers, known)
    if not fits:
        about = [one for one in segments if one.about & asked]
        segments = about or [one for one in segments if not one.about and len(places) < 2] or segments
        fits = fitting(_all_of(segments), numbers, known)
    return _meant(_all_of(segments), fits, options, known)._replace(places=frozenset(places))


def _numbers_of(clauses: list[Clause], known: Options, *, named: bool) -> frozenset[str]:
    """The numbers that clauses claim; where options are ``named``, of the clauses that do, and such as are theirs or negative."""
    telling = [one for one in clauses if one.names or not named]
    parts = parts_of(telling)
    numbers = frozenset(number for part in parts for one in segments_of(part) for number in _numbers(one, known))
    if not named:
        return numbers
    theirs = frozenset().union(*known.figures)
    return frozenset(one for one in numbers if one in theirs or one[0] == "-")


def _would_be(clause: Clause) -> bool:
    """Whether a clause tells of something what would be, and of nothing else: ``it would grow``; not ``it grows would be odd``."""
    kinds = [one.kind for one in clause.words]
    place = kinds.index("would") if clause.stance == SUPPOSED and "would" in kinds else 0
    return place > 0 and {"place", *CLASSES}.isdisjoint(kinds[:place]) and not {"if", "supposed"} & {*kinds}


def settled(clauses: list[Clause], options: tuple[str, ...]) -> str | None:
    """The one option that clauses name by its label, as a whole or as a verdict and say nothing else, where others name none.

    What these say explains it: ``b), as the flux stays``, ``false, it depends on R``.
    """
    verdicts = {option: place for place, option in enumerate(options)} if {*options} == {"true", "false"} else {}
    bare = [one for one in clauses if _is_bare(one, verdicts)]
    named = _places_in(bare, verdicts)
    rest = [one for one in clauses if one not in bare and one.opens != "reason"]
    if len(named) != 1 or any(one.stance == DOUBTED for one in clauses) or _leaves_open(rest, verdicts):
        return None
    told, own = meant_by(rest, options), options[min(named)]
    if told.places - named and any(one.stop == "," for one in bare):
        return None
    if [*told.options] not in ([], [own]) or (own in told.options and told.denies and not told.upheld):
        return None
    return own


def _places_in(clauses: list[Clause], verdicts: Mapping[str, int]) -> set[int]:
    """The places of the options that clauses name, a verdict being one of them."""
    words = [word for one in clauses for word in one.words if word.kind in {"place", *verdicts}]
    return {int(word.text) if word.kind == "place" else verdicts[word.kind] for word in words}


def _leaves_open(rest: list[Clause], verdicts: Mapping[str, int]) -> bool:
    """Whether what stands beside a bare option limits it, judges it or names an alternative."""
    kinds = {word.kind for one in rest for word in one.words}
    return not kinds.isdisjoint({"if", "or", "taken back", *verdicts}) or any(map(_only_turns, rest))


def _is_bare(clause: Clause, verdicts: Mapping[str, int]) -> bool:
    """Whether a clause claims options and says nothing else; of verdicts it has one."""
    if clause.stance != UPHELD or clause.opens in {"reason", "aside"}:
        return False
    told = [one.kind in verdicts for one in clause.words]
    silent = all(
        one.kind in {"place", *verdicts} or (says_nothing(one) and one.kind not in {"or", "not", "but", "would"})
        for one in clause.words
    )
    return silent and (clause.names or sum(told) == 1)


def _only_turns(clause: Clause) -> bool:
    """Whether all that a clause says is that something holds in part: ``partly``."""
    words = tokens(spelled(" ".join(one.text for one in clause.words)), "turning")
    told = [one for one in words if one.kind or not says_nothing(one)]
    return (
        bool(told)
        and all(one.kind for one in told)
        and all((one.text.split()[0],) not in table(*SCALED) for one in told)
    )


def _numbers(segment: list[Token], known: Options) -> frozenset[str]:
    """The numbers that a segment claims, where options have some; none that it denies."""
    if any(one.kind == "not" for one in segment):
        return frozenset()
    text = " ".join(one.text for one in segment if one.kind != "place")
    return numbers_of(text, compared=known.compared)


def _meant(says: list[Said], fits: list[int], options: tuple[str, ...], known: Options) -> Meant:
    """The options that fit what is said, where something speaks for them, or two denials, or one of all, leave no other."""
    denied = [one for one in says if not one.holds]
    denials = max((len({other.what for other in denied if other.of == one.of}) for one in denied), default=0)
    of_all = any(
        {other.of for other in denied if other.what == one.what} == known.bound_in(one.what)
        for one in denied if one.kind == "class" and one.of
    )  # fmt: skip
    upheld = any(one.holds and speaks_for(one, fits, known, alone=denials > 0) for one in says)
    upheld |= any(told(one, fits, known) for one in denied)
    enough = upheld or of_all or denials > 1
    return Meant(tuple(options[k] for k in fits) if enough else (), bool(says), denials > 0, upheld)


def is_turned(text: str, option: str, options: tuple[str, ...]) -> bool:
    """Whether a word of an answer turns, weakens or scales what it says, where the option that it names has not the word."""
    known = taken_apart(options)
    theirs = {one.text for one in tokens(spelled(option), "turning")}
    clauses = _with_turns(text, options, known)
    words = [word for one in clauses if one.stop != ":" or _says(one.words, known) for word in one.words]
    conditional = _is_conditional(text, options)
    if "false" in known.kinds and (conditional or any(_is_judged_twice(list(one.words), known) for one in clauses)):
        return True
    turning = [one for one in words if one.kind in {"turning", "false"} and one.text not in theirs]
    return _is_scaled_again(clauses, words) or any(_turns(one, options, known) for one in turning)


def _with_turns(text: str, options: tuple[str, ...], known: Options) -> list[Clause]:
    """The clauses of an answer that count, words that turn put together in them; none with numbers where options have none."""
    clauses = claimed(text, options, "turning")
    numbered = any(known.figures)
    found = counted(clauses, lambda part: any(_says(one.words, known) for one in part), asides=numbered)
    return [one for one in found if numbered or not _is_number_beside(one.words, known)]


def _is_conditional(text: str, options: tuple[str, ...]) -> bool:
    """Whether what an answer claims has a condition."""
    claims = [one for one in claimed(text, options) if one.opens not in {"reason", "aside"}]
    return any(word.kind == "if" for one in claims for word in one.words)


def _is_scaled_again(clauses: list[Clause], words: list[Token]) -> bool:
    """Whether an answer scales an option that it names, or twice in one way: ``a, doubled``, ``half of the half``."""
    scaled = [one.kind for one in words if one.kind in SCALED]
    named = any(one.names and any(word.kind in SCALED for word in one.words) for one in clauses)
    return named or len(scaled) > len({*scaled})


def _turns(one: Token, options: tuple[str, ...], known: Options) -> bool:
    """Whether a word that turns is no class or factor of the options by itself, and no sign of theirs."""
    meant_so = one.kind in known.kinds or is_factor(one.text, options) or _is_said_by_class(one, known)
    return not meant_so and (one.text != "negative" or any(known.figures))


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


def _is_number_beside(words: Sequence[Token], known: Options) -> bool:
    """Whether a clause has a number and no class, where options have none: ``underdamped, 208 is below 500``."""
    numbered = any(one.kind != "place" and one.text[0].isdigit() for one in words)
    return numbered and all(one.kind not in known.kinds for one in words)


def _says(part: Sequence[Token], known: Options) -> bool:
    """Whether a part says anything of the options."""
    return any(
        one.kind in {"place", *known.kinds}
        or one.text in known.names
        or known_words(one, known)
        or numbers_of(one.text, compared=True)
        for one in with_slips_mended(list(part), known)
    )


def is_of_another(text: str, options: tuple[str, ...], asked: frozenset[str]) -> bool:
    """Whether an answer claims something of a voltage or current, say, and another one is asked; options name none."""
    theirs = asked & {normalized_name(one) for one in SIGNALS}
    own = {one.kind for option in options for one in tokens(spelled(option), *SIGNALS)}
    claims = [one for one in claimed(text, options, *CLASSES, whole=False) if one.opens not in {"reason", "aside"}]
    if claims and claims[0].words and all(one.kind in CLASSES or says_nothing(one) for one in claims[0].words):
        return False  # longer: what follows explains it
    words = [word for one in claims for word in one.words]
    told = {normalized_name(one.kind) for one in words if one.kind in SIGNALS}
    return bool(told and theirs) and own == {""} and told.isdisjoint(theirs)


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


def _segments(clauses: list[Clause], known: Options) -> list[_Segment]:
    """What each segment of some clauses says, where it says anything."""
    each = [
        _Segment(tuple(said(one, known)), frozenset(_about(one, known)))
        for part in parts_of(clauses) for one in segments_of(part)
    ]  # fmt: skip
    return [one for one in each if one.says]


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
