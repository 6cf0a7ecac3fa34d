"""Finds the answers in lines of text: ``problem.item: answer``, ``item = answer``, ``student: ID``."""

import re
from dataclasses import dataclass, field

from grader.uploads.content.document import typed
from grader.uploads.content.found import Collector, Parsed
from grader.uploads.content.headings import PROBLEM, STUDENT, role_of
from grader.uploads.content.items import Items, Pair

_MARKUP = re.compile(r"^\s*(?:[>#]+\s*|[-*+•]\s+|\d{1,3}[.)]\s+|\(?[a-z]\)\s+)*", re.IGNORECASE)
"""What a text file puts in front of a line: headings, bullets, numbering."""

_SEPARATOR = re.compile(r"[:=：＝]")
_NAME_CHARS = 80
"""The longest name looked for in front of a colon."""

_NAME_LIKE = re.compile(r"[^\W\d][\w()+∞-]*(?:\s?[./]\s?[\w()+∞-]+)?")
_OTHER_LABELS = {
    "name", "date", "course", "class", "section", "group", "note", "notes", "comment", "comments", "email", "title",
    "assignment", "homework", "due", "hint",
}  # fmt: skip


def answers_in_lines(lines: tuple[str, ...], items: Items) -> Parsed | None:
    """The answers of a text; None where no line begins with the name of an item."""
    reading = _Reading(Collector(items))
    for number, line in enumerate(lines, 1):
        if line.strip():
            reading.take(number, line)
    if reading.last is None:
        return None
    return reading.gathering.found(labelled=tuple(reading.labelled), loose=tuple(reading.loose))


@dataclass(slots=True)
class _Reading:
    gathering: Collector
    labelled: list[str] = field(default_factory=list)
    loose: list[str] = field(default_factory=list)
    problem: str | None = None
    last: Pair | None = None

    def take(self, number: int, line: str) -> None:
        where = f"line {number}"
        text = _MARKUP.sub("", line).strip()
        if text.startswith("|"):
            self._row(text, where)
            return
        if found := self._answer(text):
            self.last, answer = found
            self.gathering.add(self.last, typed(answer), where=where)
            return
        name, sign, answer = _split(text)
        role = role_of(name) if sign else None
        if role is not None and role[0] == STUDENT and answer:
            self.labelled.append(answer)
        elif problem := self._problem(text, name, answer, role):
            self.problem = problem
        elif answer and self._means_an_item(name, sign):
            self.gathering.unknown(name, typed(answer), where)
        else:
            self.loose.append(text)
            if self.last is not None:
                self.gathering.explain(self.last, text)

    def _row(self, text: str, where: str) -> None:
        """Take a row of a table drawn with bars; a line that only begins with one holds the answer sheet's own words."""
        cells = [cell.strip() for cell in text.strip("|").split("|")]
        if len(cells) < 2:
            return
        items = self.gathering.items
        problem = items.problem(cells[0])
        pair = items.find(cells[0], self.problem) or items.find(cells[0])
        answer = 1
        if pair is None and problem is not None:
            pair, answer = items.find(cells[1], problem), 2
        if pair is not None and answer < len(cells):
            self.last = pair
            self.gathering.add(pair, typed(cells[answer]), where=where)

    def _means_an_item(self, name: str, sign: str) -> bool:
        """Whether a line without a known item was meant as an answer: ``v0: 5 V``, and not ``R = 3k + 1k`` on the way."""
        if len(name) > _NAME_CHARS or not _NAME_LIKE.fullmatch(name) or name.casefold() in _OTHER_LABELS:
            return False
        return sign in ":：" or self.last is None or "." in name

    def _answer(self, text: str) -> tuple[Pair, str] | None:
        """Split at the first colon or equals sign that has an item's name before it."""
        for separator in _SEPARATOR.finditer(text[:_NAME_CHARS]):
            name = text[: separator.start()].strip().strip("*_`").strip()
            pair = self.gathering.items.find(name, self.problem) or self.gathering.items.find(name)
            if pair is not None:
                return pair, text[separator.end() :].strip().removeprefix("**").removeprefix("`").removesuffix(
                    "`"
                ).strip()
        return None

    def _problem(self, text: str, name: str, answer: str, role: tuple[str, int] | None) -> str | None:
        """The problem that a heading line names: ``problem: valve``, or the id alone."""
        if role is not None and role[0] == PROBLEM and answer:
            return self.gathering.items.problem(answer)
        return self.gathering.items.problem(text if answer else name)


def _split(text: str) -> tuple[str, str, str]:
    """Name, separator and answer; the last two empty where there is no separator."""
    separator = _SEPARATOR.search(text)
    if separator is None:
        return text, "", ""
    name, answer = text[: separator.start()], text[separator.end() :]
    return name.strip().strip("*_`").strip(), separator[0], answer.strip().strip("*`").strip()
