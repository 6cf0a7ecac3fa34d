"""Finds the answers in lines of text: ``problem.item: answer``, ``item = answer``, ``student: ID``."""

import re
from dataclasses import dataclass, field

from grader.uploads.content.document import typed
from grader.uploads.content.found import Collector, Parsed
from grader.uploads.content.headings import PROBLEM, STUDENT, role_of
from grader.uploads.content.items import Items, Pair

_MARKUP = re.compile(
    r"\s*(?:[>#]+\s*|[-*+•]\s+|(?P<number>\d{1,3}[.)]\s+|\(?[a-z]\)\s+|(?:q|question|no|nr)\.?\s?\d{1,3}[.):]?\s+))",
    re.IGNORECASE,
)
"""What a text file puts in front of a line, one by one: headings, bullets, numbering."""

_SEPARATOR = re.compile(r"[-=]>|[:=：＝]|\t|[→⇒;]")
_SIGNS = " :=：＝>→⇒;"
"""What may stand between a name and the answer, where the name was taken for a number."""

_NAME_CHARS = 80
"""The longest name looked for in front of a separator."""

_AROUND = "*_`\"'“”„«»()[] "
"""What people put around a name."""

_NAME_LIKE = re.compile(r"[^\W\d][\w()+∞-]*(?:\s?[./]\s?[\w()+∞-]+)?")
_NAMED_INSIDE = re.compile(r"(?<![\w.])([^\W\d][\w.+∞-]*)\s*:")
_VALUE_LIKE = re.compile(r"(?:(?:[-–—]|is)\s+)?(?P<value>[-+−±~≈]?\s?[.,(√]?\d.*|[^\W\d]+(?:\s[^\W\d]+)?)")
"""What may stand behind an item's name without any separator: a value, or a word or two."""

_GOES_ON = re.compile(r"[-+−*·×/^]\s*(?:[\d.,(√\\]|e\^|j|exp|cos|sin|sqrt)|\)")
_OPEN_END = re.compile(r"[-+−*·×/^(=;,]$")
_ENDS_IN_A_NUMBER, _UNIT_LIKE = re.compile(r"\d$"), re.compile(r"[^\W\d_]{1,5}(?:/s)?")
_RULE = re.compile(r"[\W_]*")
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
    reading.finish()
    if reading.last is None:
        return None
    return reading.gathering.found(labelled=tuple(reading.labelled), loose=tuple(reading.loose))


@dataclass(slots=True)
class _Reading:
    """What is known while going down the lines.

    ``below`` holds the lines below a name without an answer, with the place of the first; ``doubtful`` what may be the
    answer to an item, should no line say it plainly.
    """

    gathering: Collector
    labelled: list[str] = field(default_factory=list)
    loose: list[str] = field(default_factory=list)
    problem: str | None = None
    last: Pair | None = None
    below: list[str] = field(default_factory=list)
    below_at: str = ""
    doubtful: dict[Pair, tuple[str, str]] = field(default_factory=dict)

    def take(self, number: int, line: str) -> None:
        where = f"line {number}"
        text, pair = self._unmarked(line)
        if pair is not None:
            self._take_answer(pair, text.lstrip(_SIGNS), where)
            return
        if text.startswith("|"):
            self._row(text, where)
            return
        if found := self._answer(text):
            self._take_answer(*found, where)
            return
        name, sign, answer = _split(text)
        role = role_of(name) if sign else None
        if role is not None and role[0] == STUDENT and answer:
            self.labelled.append(answer)
        elif problem := self._problem(text, name, answer, role):
            self._settle()
            self.problem = problem
        elif answer and sign in ":：=＝" and self._means_an_item(name, sign):
            self.gathering.unknown(name, typed(answer), where)
        else:
            self.loose.append(text)
            if found := self._without_separator(text):
                self.doubtful.setdefault(found[0], (found[1], where))
            if self.last is not None:
                self._take_below(line.strip(), text, where, of_its_own=name.casefold() in _OTHER_LABELS)

    def _unmarked(self, line: str) -> tuple[str, Pair | None]:
        """The line without what stands in front, and the item whose name a number there is: ``q1: 2 ms``, ``(b) 3 A``."""
        rest = line
        while mark := _MARKUP.match(rest):
            rest = rest[mark.end() :]
            pair = self._item(mark["number"].strip(_AROUND + ".:")) if mark["number"] else None
            if pair is not None and self._answer(rest) is None:
                return rest.strip(), pair
        return rest.strip(), None

    def finish(self) -> None:
        """Take what no line said plainly, each with a remark."""
        self._settle()
        while self.doubtful:
            pair = next(iter(self.doubtful))
            answer, where = self.doubtful.pop(pair)
            if pair not in self.gathering.answers:
                self.last = pair
                said = typed(self._first_of_line(pair, answer, where))
                doubt = f"'{'.'.join(pair)}' has no line with a colon of its own; what stands behind it was taken as its answer"
                self.gathering.add(pair, said._replace(doubts=(*said.doubts, doubt)), where=where)

    def _take_answer(self, pair: Pair, answer: str, where: str) -> None:
        self._settle()
        self.last = pair
        self.gathering.add(pair, typed(self._first_of_line(pair, answer, where)), where=where)

    def _first_of_line(self, pair: Pair, answer: str, where: str) -> str:
        """The answer up to where a second item is named behind it; what follows is that one's."""
        for inside in _NAMED_INSIDE.finditer(answer):
            other = self.gathering.items.find(inside[1], pair[0])
            before = answer[: inside.start()].strip().rstrip(";, ")
            if other is not None and other not in {pair, *self.gathering.answers} and any(map(str.isdigit, before)):
                self.doubtful.setdefault(other, (answer[inside.end() :].strip(), where))
                return before
        return answer

    def _take_below(self, line: str, text: str, where: str, *, of_its_own: bool) -> None:
        """Take a line below an answer: the answer itself where none stands beside the name, or working, which it may go on with."""
        assert self.last is not None
        before = self.gathering.answers.get(self.last)
        if before is None:
            if not of_its_own and not line.startswith("#") and not _RULE.fullmatch(line):
                self.below_at = self.below_at or where
                self.below.append(text)
            return
        unit = _ENDS_IN_A_NUMBER.search(before.text) and _UNIT_LIKE.fullmatch(text)
        if _GOES_ON.match(line) or _OPEN_END.search(before.text) or unit:
            self.gathering.go_on(self.last, line)
        self.gathering.explain(self.last, text)

    def _settle(self) -> None:
        """Take the lines below a name as its answer."""
        if self.last is not None and self.below and self.last not in self.gathering.answers:
            self.gathering.add(self.last, typed("\n".join(self.below)), where=self.below_at)
        self.below, self.below_at = [], ""

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
            self._settle()
            self.last = pair
            self.gathering.add(pair, typed(cells[answer]), where=where)

    def _means_an_item(self, name: str, sign: str) -> bool:
        """Whether a line without a known item was meant as an answer: ``v0: 5 V``, and not ``R = 3k + 1k`` on the way."""
        if len(name) > _NAME_CHARS or not _NAME_LIKE.fullmatch(name) or name.casefold() in _OTHER_LABELS:
            return False
        return sign in ":：" or self.last is None or "." in name

    def _answer(self, text: str) -> tuple[Pair, str] | None:
        """Split at the first separator that has an item's name before it."""
        for separator in _SEPARATOR.finditer(text[:_NAME_CHARS]):
            if pair := self._item(text[: separator.start()]):
                return pair, text[separator.end() :].strip().removeprefix("**").removeprefix("`").removesuffix(
                    "`"
                ).strip()
        return None

    def _item(self, name: str) -> Pair | None:
        items = self.gathering.items
        for written in dict.fromkeys((name.strip().strip("*_`").strip(), name.strip(_AROUND))):
            if pair := items.find(written, self.problem) or items.find(written):
                return pair
        return None

    def _without_separator(self, text: str) -> tuple[Pair, str] | None:
        """An item named at the beginning, and a value or a word or two behind it."""
        words = text[: _NAME_CHARS + 1].split()
        for count in (2, 1):
            rest = text.split(maxsplit=count)[count:]
            value = _VALUE_LIKE.fullmatch(rest[0].strip()) if rest else None
            if value is not None and (pair := self._item(" ".join(words[:count]))):
                return pair, value["value"]
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
