"""From an answer as written to what it may say: the one place where marking meets reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from flint import fmpq

from grader.asked import Answer
from grader.marking.follow import Carried
from grader.marking.itemkey import ItemKey
from grader.reading.evaluate import EvaluationError, NotFinite, evaluate
from grader.reading.reader import Reading, read
from grader.reading.refusals import Refusal
from grader.reading.tree import Choice, Measured, Negative, Node, Number, Product
from grader.reading.tree import Unit as UnitNode
from grader.uploads.records import Written
from grader.values.dimension import Dimension
from grader.values.scalar import ZERO
from grader.values.waveform import NotAWaveform, Waveform

BLANK_KINDS = frozenset({"blank"})
"""Refusals that mean that nothing was answered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading of an answer, worked out.

    Attributes
    ----------
    reading : Reading
    answer : Waveform, roots or str
        In SI base units of the unit written.
    dimension : Dimension or None
        Of the unit written; None: none was, and none was needed or none is known.
    rank : int
        0 for the most plausible reading.
    notes : tuple of str
        Which reading this is, where there are several.
    """

    reading: Reading
    answer: Answer
    dimension: Dimension | None
    rank: int
    notes: tuple[str, ...] = ()

    @property
    def doubtful(self) -> bool:
        """Whether a less plausible reading was taken only by assuming a slip in writing."""
        return self.rank > 0 and bool(self.reading.slips)

    @property
    def digits(self) -> int | None:
        """Significant digits, if the answer is one decimal number."""
        return significant_digits(self.reading.tree)

    def meant(self, factor: float) -> Answer:
        """The answer in SI base units where a missing unit stands for `factor`."""
        if factor == 1.0 or not isinstance(self.answer, Waveform):
            return self.answer
        return self.answer.scaled(fmpq(factor))


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """An answer that could not be read or worked out: the sentence for the student, and the reading as far as it went."""

    sentence: str
    reading: str = ""
    mathml: str = ""


def understand(item: ItemKey, written: Written, carried: Mapping[str, Carried]) -> tuple[Taken, ...] | Unread | None:
    """Read and work out one answer.

    Returns
    -------
    tuple of Taken
        Most plausible first; `Unread` where nothing could be made of it; None where nothing was answered.
    """
    taken: list[Taken] = []
    unread: Unread | None = None
    for text in (written.text, *written.alternatives):
        readings = read(
            text,
            unit=written.unit,
            expects=item.reference.kind,
            dimension=item.reference.dimension,
            names=item.names,
        )
        if isinstance(readings, Refusal):
            if readings.kind in BLANK_KINDS:
                continue
            unread = unread or Unread(sentence=readings.sentence)
            continue
        for reading in readings:
            worth = _worked_out(item, reading, carried)
            if isinstance(worth, Unread):
                unread = unread or worth
            else:
                taken.append(
                    Taken(
                        reading=reading,
                        answer=worth[0],
                        dimension=worth[1],
                        rank=len(taken),
                        notes=reading.notes,
                    )
                )
    return tuple(taken) or unread


def _worked_out(
    item: ItemKey, reading: Reading, carried: Mapping[str, Carried]
) -> tuple[Answer, Dimension | None] | Unread:
    tree = reading.tree
    if isinstance(tree, Choice):
        return tree.option, None
    names = {**item.values} | {
        name: answer
        for name, id in item.carries
        if id in carried and isinstance(answer := carried[id].answer, Waveform)
    }
    try:
        if item.reference.kind == "roots":
            return evaluate_roots(tree, names)
        quantity = evaluate(tree, names, item.reference.start or ZERO)
    except NotFinite:
        return Unread(sentence="The answer says infinity; what is asked has a finite value.", reading=reading.text)
    except (EvaluationError, NotAWaveform) as error:
        return Unread(sentence=_sentence(str(error)), reading=reading.text, mathml=reading.mathml)
    except ZeroDivisionError:
        return Unread(sentence="The answer divides by zero.", reading=reading.text, mathml=reading.mathml)
    dimension = quantity.dimension
    if dimension is None and quantity.named:
        dimension = item.reference.dimension
    return quantity.waveform, dimension


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:].rstrip('.')}."


def significant_digits(tree: Node) -> int | None:
    """Significant digits of an answer that is one decimal number (with or without unit); None for anything else."""
    while True:
        match tree:
            case Negative(operand=inner) | Measured(operand=inner) | Product(left=inner, right=UnitNode()):
                tree = inner
            case Number(text=text):
                digits = text.lower().split("e")[0].replace(",", "").replace(".", "").lstrip("-+0")
                return len(digits) or None
            case _:
                return None
