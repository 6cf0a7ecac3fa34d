"""The value of an element that is to be designed, so that a condition is met; right is whatever meets it."""

import re

from grader.circuit.elements import Passive, Source
from grader.errors import NotDefined
from grader.problem import Item, Problem
from grader.quantities.design import FIND, UNKNOWN, Requirement, Span, chosen, meeting, requirement
from grader.quantities.preferred import SERIES
from grader.quantities.question import Question
from grader.quantities.records import Asked
from grader.values.dimension import Dimension
from grader.values.scalar import to_float
from grader.values.text import value_text
from grader.values.waveform import Waveform, constant

RELATIONS = {"is": "is", "at_least": "is at least", "at_most": "is at most"}
"""How a quantity may stand to its target, and how the sheet says it."""


class ElementValue(Asked):
    """The value of an element whose own ``value`` is ``unknown``; every one with which ``so_that`` holds is right."""

    name = FIND

    def dimension(self, problem: Problem, item: Item) -> Dimension | None:
        element = problem.circuit.element(item.of[0]) if problem.circuit is not None else None
        return element.dimension if isinstance(element, (Passive, Source)) else None

    def reference(self, question: Question) -> Waveform:
        """The first of the values that meet the condition."""
        item = question.item
        required = requirement(question.problem, item)
        value = chosen(required, item.marking.tolerance)
        if value is None:
            raise NotDefined(f"no value of {item.of[0]} of a usual size meets the condition")
        return constant(value, exact=bool(required.series) or required.gap(value) == 0)

    def requirement(self, question: Question) -> Requirement:
        return requirement(question.problem, question.item)

    def note(self, question: Question) -> str:
        spans = meeting(requirement(question.problem, question.item))
        if len(spans) == 1 and spans[0].low == spans[0].high:
            return ""
        dimension = self.dimension(question.problem, question.item)
        return f"Right: {' or '.join(_span_text(span, dimension) for span in spans)}."

    def text(self, problem: Problem, item: Item) -> str:
        assert item.goal is not None
        asked = re.sub("^[A-Z](?![A-Z0-9(])", lambda first: first[0].lower(), item.goal.item.text)
        of = f"Value of {item.of[0]} for which the {asked} {RELATIONS[item.goal.relation]} {item.goal.text}"
        series = dict(item.settings).get("series")
        return f"{of}, a preferred value of {series}" if series else of

    def faults(self, problem: Problem, item: Item) -> tuple[str, ...]:
        """One element without a value; a series that is known."""
        series = dict(item.settings).get("series", "E12")
        found = []
        if len(item.of) != 1:
            found.append("'of' must name the one element whose value is asked")
        elif problem.circuit is not None and dict(problem.values).get(item.of[0]) != UNKNOWN:
            found.append(f'the value of {item.of[0]} is given; write value = "{UNKNOWN}" for the element asked')
        if series not in {f"E{one}" for one in SERIES}:
            found.append(f"'series' must be one of {', '.join(f'E{one}' for one in sorted(SERIES))}, not '{series}'")
        return tuple(found)

    def names(self, item: Item) -> tuple[str, ...]:
        return item.of


def _span_text(span: Span, dimension: Dimension | None) -> str:
    assert dimension is not None
    ends = dict.fromkeys(value_text(to_float(end), dimension) for end in span)
    return " to ".join(ends)
