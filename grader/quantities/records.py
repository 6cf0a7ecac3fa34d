"""What a rubric may ask for: one record per ``find``."""

from collections.abc import Iterable, Mapping
from typing import Any

from msgspec import Struct

from grader.circuit.elements import Element
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.rules import Answer, Rule
from grader.quantities.words import signal_dimension, worded
from grader.values.dimension import Dimension
from grader.values.waveform import Waveform

SIGNAL = "signal"
"""Stands in ``needs`` for the one key that names a signal (``current = "L1"``)."""

VALUE, EXPRESSION, ROOTS, CHOICE, EQUATION = "value", "expression", "roots", "choice", "equation"
CHOICES, PERSON = "choices", "person"
RESPONSE, TRANSFORM = "response", "transform"
KINDS = (VALUE, EXPRESSION, RESPONSE, TRANSFORM, ROOTS, CHOICE, EQUATION, CHOICES, PERSON)
"""What sort of answer is expected; a response is an expression for each interval, a transform a function of s."""


def read_as(kind: str) -> str:
    """What the reader is told to expect of an answer of some kind."""
    return {RESPONSE: EXPRESSION, TRANSFORM: VALUE}.get(kind, kind)


class Sample(Struct, frozen=True, kw_only=True):
    """A small item and the answer it must have, for the tests and the help page.

    ``circuit`` is one of `grader.quantities.samples.CIRCUITS` ("" for none), ``item`` the keys besides ``id``, ``find`` and
    ``points`` as TOML text, ``answer`` the exact text of the right answer.
    """

    circuit: str = ""
    item: str = ""
    answer: str


class Asked:
    """One ``find``: a class in a file of ``finds``, and its words in the ``.toml`` beside that, say what differs from this."""

    name: str
    """The word in the rubric."""
    answers: str = VALUE
    """One of `KINDS`."""
    needs: tuple[str, ...] = ()
    """Item keys it must have, besides those of every item; `SIGNAL` for the signal."""
    allows: tuple[str, ...] = ()
    """Item keys it may have."""
    keys: tuple[tuple[str, str], ...] = ()
    """Those of its own, and what they mean."""
    circuit: bool = True
    """Whether it is found from a circuit."""
    key_is_answer: bool = False
    """Whether the key is the answer itself: no circuit decides it."""
    measures: Dimension | None = None
    """Dimension of the answer; None for a choice."""
    unit: str = ""
    """The unit's symbol where it is not the dimension's usual one (``"rad/s"``)."""
    offered: tuple[str, ...] = ()
    """The answers to choose from where they are always the same."""
    label: str
    """Its words on the answer sheet, with the names of `grader.quantities.words.WORDS` in braces."""
    called: tuple[str, ...] = ()
    """What later answers may call it, where that depends on nothing."""
    letters: tuple[tuple[str, Dimension | None, Waveform], ...] = ()
    """Letters that stand for something in answers to it alone: the variable of a transform."""
    unit_free: bool = False
    """Whether an answer may do without its unit."""
    sample: Sample

    @property
    def in_percent(self) -> bool:
        """Whether the question says that it is asked in per cent, so that an answer need not."""
        return self.unit == "%"

    def kind(self, problem: Problem, item: Item) -> str:
        """What sort of answer an item expects, one of `KINDS`."""
        return self.answers

    def dimension(self, problem: Problem, item: Item) -> Dimension | None:
        """Dimension of the answer."""
        return self.measures

    def reference(self, question: Question) -> Answer:
        """Give the right answer; raise `NotDefined` with a sentence where there is none."""
        raise NotImplementedError

    def others(self, question: Question) -> tuple[Answer, ...]:
        """What else is right within the tolerance, where that is no matter of size."""
        return ()

    def requirement(self, question: Question) -> Any:
        """What an answer is right by, where that is no agreement with the reference: `grader.quantities.design.Requirement`."""
        return None

    def note(self, question: Question) -> str:
        """What an instructor should know of the answer; "" for nothing."""
        return ""

    def written(self, item: Item, answer: Any) -> str:
        """The answer as an instructor writes it; "" where its kind says how."""
        return ""

    def rules(self, question: Question) -> Iterable[Rule]:
        """How the answer follows from earlier items."""
        return ()

    def text(self, problem: Problem, item: Item) -> str:
        """What the item is called on the answer sheet if the rubric does not say."""
        return worded(self.label, problem, item)

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """What else is wrong with the item in a rubric, one sentence each, without full stop."""
        return ()

    def names(self, item: Item) -> tuple[str, ...]:
        """What later answers may call this one (``"tau"``)."""
        return self.called


def described(entry: Asked, words: Mapping[str, Any]) -> Asked:
    """An entry with the words, keys and sample that the file beside it gives."""
    for name, said in words.items():
        value = Sample(**said) if name == "sample" else tuple(said.items()) if name == "keys" else said
        setattr(entry, name, tuple(value) if isinstance(value, list) else value)
    return entry


def of_other_kinds(problem: Problem, item: Item, kinds: tuple[type[Element], ...]) -> list[str]:
    """The elements named by ``of`` that are of none of these kinds."""
    elements = () if problem.circuit is None else problem.circuit.elements
    others = [element.name for element in elements if not isinstance(element, kinds)]
    return [name for name in item.of if name in others]


class OfSignal(Asked):
    """What is asked of a signal in the interval meant; of the signal's own dimension where ``measures`` says no other."""

    needs: tuple[str, ...] = (SIGNAL,)
    allows: tuple[str, ...] = ("after",)

    def dimension(self, problem: Problem, item: Item) -> Dimension | None:
        return self.measures or signal_dimension(item)
