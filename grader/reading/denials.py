"""What a segment of an answer denies: the places of classes and words, and what cannot be told."""

from itertools import pairwise

from grader.reading.parted import says_nothing
from grader.reading.spelled import Token, table


def denied_in(segment: list[Token], heads: list[int], things: list[int]) -> set[int]:
    """The places of what is denied: the classes behind a denial, else the words behind it, else the last before it."""
    denied: set[int] = set()
    for place, one in enumerate(segment):
        behind = [[k for k in places if k > place] for places in (heads, things)]
        anew = next((k for k in range(place, len(segment)) if segment[k].text == "it"), len(segment))
        near = [k for k in behind[1] if k < anew < max(behind[0], default=0)]
        if near and (one.text,) in table("without"):  # without overshoot it rises
            denied.update(near)
        elif one.kind == "not":
            apart = tuple(one.text.split()) in table("in place of")
            apart |= any(other.kind == "than" for other in segment[:place])
            says_else = any(not (other.kind or says_nothing(other)) for other in segment[place + 1 :])  # cannot jump
            before = [
                [k for k in heads if k < place and not apart],
                [k for k in things if k < place and not (apart or says_else)],
            ]
            denied.update(behind[0] or behind[1] or _joined(before[0] or before[1], segment))
    return denied


def _joined(places: list[int], segment: list[Token]) -> list[int]:
    """The last of some places, with those that an *and* joins to it: ``c and d do not``."""
    first = len(places) - 1
    while first > 0 and all(one.kind == "and" for one in segment[places[first - 1] + 1 : places[first]]):
        first -= 1
    return places[max(first, 0) :]


def denied_first(segment: list[Token], free: list[int]) -> set[int]:
    """The places of words, of which no class is said, between a denial and the one that goes on with it: ``neither rings nor``."""
    nots = [place for place, one in enumerate(segment) if one.kind == "not"]
    return {
        k for first, then in pairwise(nots) for k in free
        if first < k < then and (segment[then].text,) in table("nor")
    }  # fmt: skip


def told_with(segment: list[Token], things: dict[int, str]) -> dict[int, str]:
    """The words at their places that no *without* leaves out: ``without overshoot``, ``without an overshoot``."""
    left_out = [k for k in things if k and any((one.text,) in table("without") for one in segment[max(k - 2, 0) : k])]
    return {place: word for place, word in things.items() if place not in left_out}


def is_not_both(segment: list[Token]) -> bool:
    """Whether a denial stands right before an *all*, and is no *neither*."""
    return any(
        one.kind == "not" and then.kind == "all of it" and then.text != one.text for one, then in pairwise(segment)
    )


def is_denied_afar(segment: list[Token]) -> bool:
    """Whether a denial stands neither right before a true or false nor right behind it at the end: it may be of something else."""
    told = [one.kind for one in segment if one.kind in {"not", "true", "false"} or not says_nothing(one)]
    return any(
        kind == "not" and not {"true", "false"} & {*(told[place + 1 : place + 2] or told[max(place - 1, 0) : place])}
        for place, kind in enumerate(told)
    )
