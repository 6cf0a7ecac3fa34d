"""Words that are one but for their endings, their gender or a slip of the pen."""

from grader.reading.tokens.units import one_letter_apart

_SHORTEST_SLIP, _SHORTEST_STEM, _LONGEST_ENDING = 6, 4, 3


def letters_alike(one: str, other: str) -> int:
    """How many letters two words have in common from their beginning on."""
    return next(
        (k for k, (mine, theirs) in enumerate(zip(one, other, strict=False)) if mine != theirs),
        min(len(one), len(other)),
    )


def have_one_stem(one: str, other: str) -> bool:
    """Whether two words begin alike and have other endings: ``opens``, ``opened``."""
    alike = letters_alike(one, other)
    return alike >= _SHORTEST_STEM and max(len(one), len(other)) - alike <= _LONGEST_ENDING and one.isalpha()


def is_slip_of(one: str, other: str) -> bool:
    """Whether a long word is another with an ending, in another gender, or with a slip inside of it."""
    if len(other) < _SHORTEST_SLIP or not one.isalpha():
        return False
    gender = one[:-1] == other[:-1] and len(one) > 2 * _SHORTEST_STEM
    return (
        one.startswith(other)
        or gender
        or (one[0] == other[0] and one[-1] == other[-1] and one_letter_apart(one, other))
    )
