"""What part of some elements' energy others take up, in a stretch of time: in a resistor, of all that a source delivers."""

from __future__ import annotations

from collections.abc import Iterator

from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.question import Question
from grader.quantities.records import Asked, Sample
from grader.quantities.rules import Rule
from grader.quantities.stretches import energy_taken
from grader.quantities.words import stretch_text
from grader.values.dimension import NUMBER
from grader.values.waveform import Waveform

ENERGIES = ("energy dissipated", "energy delivered")


class EnergyShare(Asked):
    """The energy that ``of`` takes up as a share of what ``out_of`` takes up or delivers; a number or in per cent."""

    name = "energy share"
    needs = ("of", "out_of")
    allows = ("after", "from", "until")
    keys = (("out_of", 'the elements whose energy is the whole, as "Vs" or "R1 R2"'),)
    measures = NUMBER
    sample = Sample(circuit="charging", item='of = "C1"\nout_of = "Vs"', answer="1/2")

    def reference(self, question: Question) -> Waveform:
        """The ratio of two integrals, both counted positive."""
        part, whole = (energy_taken(question, names) for names in (question.item.of, whole_of(question.item)))
        if not whole.terms:
            raise NotDefined(f"{' and '.join(whole_of(question.item))} takes up no energy in all, so it has no shares")
        share = part / whole
        return -share if share.is_number and not share.is_symbolic and share.value() < 0 else share

    def rules(self, question: Question) -> Iterator[Rule]:
        """The own energies of both, over the same stretch of time."""
        uses = []
        for name, elements in (("w", question.item.of), ("all", whole_of(question.item))):
            for item in question.earlier(*ENERGIES):
                same = (item.after, item.start, item.until) == (
                    question.item.after,
                    question.item.start,
                    question.item.until,
                )
                if set(item.of) == set(elements) and same:
                    uses.append((name, item.id))
                    break
        if len(uses) == 2:
            yield Rule(formula="w/all", uses=tuple(uses), says="This follows from your own energies.")

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """Elements that are there."""
        known = [] if problem.circuit is None else [element.name for element in problem.circuit.elements]
        return tuple(
            f"'out_of': there is no element '{name}'" for name in whole_of(item) if known and name not in known
        )

    def text(self, problem: Problem, item: Item) -> str:
        """As on the answer sheet."""
        of, whole = " and ".join(item.of), " and ".join(whole_of(item))
        return f"Share of the energy of {whole} that {of} takes up {stretch_text(problem, item, lasting=True)}, in per cent"


def whole_of(item: Item) -> tuple[str, ...]:
    """The elements whose energy is the whole."""
    return tuple(dict(item.settings).get("out_of", "").replace(",", " ").split())


ENTRY = EnergyShare()
