"""What reading makes of an answer."""

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from grader.reading.render.equation import equation_sides, written_in
from grader.reading.render.typeset import equated, mathml, significant_digits, tree_text
from grader.reading.tree import Node


class Aside(NamedTuple):
    """What of a line was set aside, beside the part that is the answer; each as in `Reading`."""

    notes: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    dropped: bool = False


def ignored(remark: str) -> str:
    """The sentence that tells of words that were set aside."""
    return f"The remark '{remark}' was ignored."


class Reading(NamedTuple):
    """One way to read an answer."""

    tree: Node
    """What the answer says; `grader.reading.value.evaluate.evaluate` works it out
    (`grader.reading.value.roots.evaluate_roots` where roots are asked; ``tree.option`` is the answer where a
    choice is)."""
    unit: str | None = None
    """The unit written for the whole (its SI symbol), None where none was."""
    notes: tuple[str, ...] = ()
    """Sentences that say which reading this is."""
    slips: tuple[str, ...] = ()
    """Ids of the slips in writing that it assumes, say ``"caret-left-out"``."""
    others: tuple[tuple[str, Node], ...] = ()
    """Further answers in the same cell, each with what stands left of its equal sign ("" for nothing)."""
    label: str = ""
    """What stands left of the equal sign."""
    sides: tuple[str | Node, ...] = ()
    """The other sides of its equal signs, a label as it stands; none where other values stand beside it."""
    rival: bool = False
    """Whether it is a part of the line that another part is preferred to: it decides nothing, but where it alone is
    right a person looks."""
    remarks: tuple[str, ...] = ()
    """Words and signs beside it that were set aside, and are not in it."""
    dropped: bool = False
    """Whether one of them holds a number, a name or a direction: a person looks where the rest is wrong."""
    changed: bool = False
    """Whether words beside it change what it says, and how is not certain: a person looks, right or wrong."""
    worked_out: bool = False
    """Whether it comes to the value of its own working, powers of ten and all."""
    of: frozenset[str] = frozenset()
    """What words beside it say it to be of: elements, quantities, instants (`grader.reading.line.said_of`)."""
    origin: str = ""
    """From where t counts, in the answer's own words; "" where it says nothing of it."""

    letter: str = ""
    """Of a differential equation, what its quantity is called."""
    operator: str = ""
    """Of a characteristic equation, the letter it is written in."""

    @property
    def text(self) -> str:
        """The reading as plain text."""
        return self.shown[0]

    @property
    def mathml(self) -> str:
        """The reading as MathML Core."""
        return self.shown[1]

    @property
    def shown(self) -> tuple[str, str]:
        """The reading as plain text and as MathML Core."""
        return _shown(self.tree, self.letter, self.operator)

    @property
    def digits(self) -> int | None:
        """Significant digits written, if the answer is one decimal number (with or without a unit); else None."""
        return significant_digits(self.tree)


Reads = Callable[[str], tuple[Reading, ...]]
"""What gives the readings of a part of a line by its text."""


@lru_cache(maxsize=2048)
def _shown(tree: Node, letter: str, operator: str) -> tuple[str, str]:
    """As plain text and as MathML; remembered, as what is read is."""
    if letter:
        return equated(equation_sides(tree, letter))
    tree = written_in(tree, operator) if operator else tree
    return tree_text(tree), mathml(tree)
