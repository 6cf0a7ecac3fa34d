"""What one line of a text says: an item with its answer, and how plainly; a heading; whose the file is."""

import re
from enum import IntEnum
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from grader.regex import regex
from grader.uploads import limits
from grader.uploads.content.headings import PROBLEM, STUDENT, role_of
from grader.uploads.content.items import Items, Pair
from grader.uploads.names import key

_MARKUP = regex(
    r"\s*(?:(?P<no_list>[>#]+)\s*|(?P<dash>[-–])\s+|[*+•]\s+|\\item\b(?:\[(?P<label>[^\]]*)\])?\s*|(?P<number>\d{1,3}[.)]\s+|\(?[a-z]\)\s+|(?:q|question|no|nr)\.?\s?\d{1,3}[.):]?\s+))",
    re.IGNORECASE,
)
"""What a text file puts in front of a line, one by one: headings, bullets, numbering."""

_FRAME = regex(
    r"(?:\\(?:documentclass|usepackage|maketitle|newpage)\*?+(?:\[[^]]*+\])?+(?:\{[^}]*+\})?+\s*+|"
    r"\\(?:begin|end)\{(?:document|itemize|enumerate|description|center|quote|flushleft)\}(?:\[[^]]*+\])?+\s*+)++"
)
"""A line of a typeset document that sets it up, or begins or ends its parts."""

_SECTION = regex(r"\\(?:sub)*section\*?\{([^{}]*)\}")
"""The title of a part of a typeset document."""

_SIGN = regex(r"(?!\w+\s?=)(?:[\d.,√\\]|\([^)]*[\d^]|[^\W\d]\w{0,3}\s*(?:[*·×/^(]|e\^|exp|cos|sin))")
"""What makes a dash in front of it a minus, if it is no mark of a list: a formula, and no words."""

_SEPARATOR = regex(r"[-=]>|[:=：＝]|\t|[→⇒;]")
_PLAIN = ":：\t;"
"""Separators that set a name apart from its answer and mean nothing in a calculation."""

_BETWEEN_CELLS = regex(r"(?<![\\|])\|(?!\|)")
"""A bar that is not doubled, which means parallel resistors."""

_SIGNS = " :=：＝>→⇒;"
"""What may stand between a name and the answer, where the name was taken for a number."""

NAME_CHARS = 80
"""The longest name looked for in front of a separator."""

_AROUND = "*_`\"'“”„«»()[] "
"""What people put around a name."""

_VALUE_LIKE = regex(r"(?:(?:[-–—]|is)\s+)?(?P<value>[-+−±~≈]?\s?[.,(√]?\d.*|[^\W\d]+(?:\s[^\W\d]+)?)")
"""What may stand behind an item's name without any separator: a value, or a word or two."""

_TAKING_BACK = regex(
    r"(?:(?:correction|corrected|sorry|oops|wait|edit|update|actually|revised|no|p\.?s\.?)\b[\s,.:;!–-]*)+",
    re.IGNORECASE,
)
"""Words in front of an item that is answered once more (common practice)."""


_FULL_NAME = regex(r"(?:[^\W\d]+[\s,:;!]+){0,5}?(?P<name>[^\W\d][\w-]*\.[^\W\d][\w+∞-]*)")
"""A problem and an item joined by a point, at most a few words into a line: ``I forgot: valve.tau is 2 ms``."""


class Strength(IntEnum):
    """How plainly a line names the item that it answers."""

    MENTIONED = 0
    """``sorry, valve.tau should be 2 ms``, or ``tau: 2 ms`` that several problems have, below an answer to one of them"""
    BARE = 1
    """``tau 2 ms``"""
    ELSEWHERE = 2
    """``v(t) = 2 V`` below an answer to, or the heading of, a problem that has no ``v``, where another one has"""
    SYMBOL = 3
    """``tau = 2 ms``, which may as well be working"""
    NAMED = 4
    """``tau: 2 ms``, ``valve.tau = 2 ms``"""
    FULL = 5
    """``valve.tau: 2 ms``"""


class Claim(NamedTuple):
    """An item that a line names, what it says of it, and how plainly."""

    pair: Pair
    answer: str
    strength: Strength


class Unmarked(NamedTuple):
    """A line's text without the marks of lists.

    ``signed`` is the same with a dash that is a minus, if it is no mark of a list, and ``item`` with one that stands behind
    such a mark and can be nothing but a minus; ``marked`` says that its first mark is a dash.
    """

    text: str
    signed: str
    item: str
    marked: bool


class Line(Struct, frozen=True, kw_only=True):
    """A line as it stands without its outer blanks, and without the marks of lists (see `Unmarked`); what it says.

    ``role`` tells what a line that answers nothing is, if anything: the student's, a problem's heading, the answer sheet's own.
    """

    where: str
    raw: str
    text: str
    signed: str
    item: str
    marked: bool
    indent: int
    after_blank: bool
    claim: Claim | None = None
    role: str = ""
    value: str = ""

    @property
    def quoted(self) -> bool:
        """Whether it stands as what somebody else wrote does in a mail."""
        return self.raw.startswith(">")

    @property
    def rank(self) -> tuple[int, int]:
        """How plainly it names its item; of the same sign, further out is plainer, and a quotation is behind all others."""
        assert self.claim is not None
        strength = self.claim.strength
        return strength - self.quoted * len(Strength), 0 if strength is Strength.FULL else -self.indent


SHEET = "sheet"
"""The role of a line with the answer sheet's own words, or the frame of a typeset document."""


def lines_of(texts: tuple[str, ...], items: Items) -> list[Line]:
    """Every line that is not blank, with what it says under the headings above it."""
    finder = _Finder(items)
    found = []
    after_blank = False
    for number, text in enumerate(texts, 1):
        if text.strip():
            found.append(finder.line(f"line {number}", text, after_blank=after_blank))
        after_blank = not text.strip()
    return found


class _Finder(Struct):
    """Looks for items in lines; ``problem`` is that of the last heading, ``above`` that of the last heading or item named in full."""

    items: Items
    problem: str | None = None
    above: str | None = None

    def line(self, where: str, line: str, *, after_blank: bool) -> Line:
        unmarked, claim = self._unmarked(line)
        text = unmarked.text
        expanded = line.expandtabs()
        role = value = ""
        if _FRAME.fullmatch(text):
            role = SHEET
        elif claim is None and text.startswith("|"):
            claim, role = self._row(text), SHEET
        elif claim is None:
            claim = self.claim(text) or self._under_its_problem(text)
        if claim is None and not role:
            role, value = self._heading(text)
            claim = None if role else self._without_separator(text) or self._once_more(text)
        if claim is not None and claim.strength is Strength.FULL:
            self.above = claim.pair[0]
        return Line(
            where=where, raw=line.strip(), **unmarked._asdict(), indent=len(expanded) - len(expanded.lstrip()),
            after_blank=after_blank, claim=claim, role=role, value=value,
        )  # fmt: skip

    def _unmarked(self, line: str) -> tuple[Unmarked, Claim | None]:
        """The line without what stands in front; an item whose name a number there is: ``q1: 2 ms``, ``(b) 3 A``."""
        rest, signed, item, marks = line, "", "", ""
        for _ in range(limits.LIST_MARKS):
            mark = _MARKUP.match(rest)
            if mark is None:
                break
            before, rest = rest, rest[mark.end() :]
            if mark["dash"] and _SIGN.match(rest):
                signed, item = before.strip(), before.strip() if marks else ""
            marks += "" if mark["no_list"] else mark["dash"] or "."
            name = (mark["number"] or mark["label"] or "").strip(_AROUND + ".:")
            if self._item(name) is not None and self.claim(rest) is None:
                text = rest.strip()
                return Unmarked(text, text, text, marked=False), self.claim(f"{name}: {text.lstrip(_SIGNS)}")
        text = rest.strip()
        return Unmarked(text, signed or text, item or text, marked=marks.startswith(("-", "–"))), None

    def _heading(self, text: str) -> tuple[str, str]:
        """Whether a line says whose the file is, or names the problem that follows: ``problem: valve``, or the id alone."""
        text = _SECTION.sub(r"\1", text)
        name, sign, answer = split(text)
        role = role_of(name) if sign else None
        if role is not None and role[0] == STUDENT and answer:
            return STUDENT, answer
        of_problem = role is not None and role[0] == PROBLEM and bool(answer)
        if problem := self.items.problem(answer if of_problem else text if answer else name):
            self.problem = self.above = problem
            return PROBLEM, problem
        return "", ""

    def _row(self, text: str) -> Claim | None:
        """A row of a table drawn with bars; a line that only begins with one holds the answer sheet's own words."""
        cells = [cell.strip() for cell in _BETWEEN_CELLS.split(text.strip("|"))]
        if len(cells) < 2:
            return None
        problem = self.items.problem(cells[0])
        pair = self.items.find(cells[0], self.problem) or self.items.find(cells[0])
        answer = 1
        if pair is None and problem is not None:
            pair, answer = self.items.find(cells[1], problem), 2
        return Claim(pair, cells[answer], Strength.FULL) if pair is not None and answer < len(cells) else None

    def claim(self, text: str) -> Claim | None:
        """Split at the first separator that has an item's name before it."""
        for separator in _SEPARATOR.finditer(text[:NAME_CHARS]):
            name = text[: separator.start()]
            if pair := self._item(name):
                full = key(name.strip(_AROUND)).startswith(key(pair[0])) and len(key(name)) > len(key(pair[1]))
                strength = Strength(Strength.SYMBOL + full + (separator[0] in _PLAIN))
                if (
                    strength is Strength.SYMBOL
                    and self.above is not None
                    and (pair[0] != self.above or pair in self.items.lists)
                ):
                    strength = Strength.ELSEWHERE
                answer = text[separator.end() :].strip().removeprefix("**").removeprefix("`").removesuffix("`")
                return Claim(pair, answer.strip(), strength)
            if pair := self._of_the_problem_above(name):
                return Claim(pair, text[separator.end() :].strip(), Strength.MENTIONED)
        return None

    def _under_its_problem(self, text: str) -> Claim | None:
        """``valve: tau = 2 ms``."""
        name, sign, rest = split(text)
        problem = self.items.problem(name) if sign and rest else None
        inside = None if problem is None else replace(self, problem=problem)
        claim = inside and inside.claim(rest)
        return claim._replace(strength=Strength.NAMED) if claim and claim.pair[0] == problem else None

    def _item(self, name: str) -> Pair | None:
        for written in dict.fromkeys((name.strip().strip("*_`").strip(), name.strip(_AROUND))):
            if pair := self.items.find(written, self.problem) or self.items.find(written):
                return pair
        return None

    def _without_separator(self, text: str) -> Claim | None:
        """An item named at the beginning, and a value or a word or two behind it; or nothing but its name, the answer being below."""
        if len(text) <= NAME_CHARS and (pair := self._item(text)):
            return Claim(pair, "", Strength.SYMBOL)
        words = text[: NAME_CHARS + 1].split()
        for count in (2, 1):
            rest = text.split(maxsplit=count)[count:]
            value = _VALUE_LIKE.fullmatch(rest[0].strip()) if rest else None
            name = " ".join(words[:count])
            if value is not None and (pair := self._item(name)):
                return Claim(pair, value["value"], Strength.BARE)
            if value is not None and (pair := self._of_the_problem_above(name)):
                return Claim(pair, value["value"], Strength.MENTIONED)
        return None

    def _of_the_problem_above(self, name: str) -> Pair | None:
        """An item that several problems have, as that of the one whose item was named in full last."""
        return self.items.find(name, self.above) if self.items.several(name) else None

    def _once_more(self, text: str) -> Claim | None:
        """An item behind words that take something back, or its full name with words behind it and a number."""
        back = _TAKING_BACK.match(text)
        said, rest = (text[: back.end()], text[back.end() :]) if back else ("", text)
        found = self.claim(rest) or self._without_separator(rest) if back else None
        if found is None and (named := _FULL_NAME.match(rest)):
            behind = rest[named.end() :].strip(_SIGNS)
            pair = self._item(named["name"]) if any(map(str.isdigit, behind)) else None
            found = None if pair is None else Claim(pair, behind, Strength.MENTIONED)
        return found and found._replace(answer=f"{said}{found.answer}", strength=Strength.MENTIONED)


def split(text: str) -> tuple[str, str, str]:
    """Name, separator and answer; the last two empty where there is no separator."""
    separator = _SEPARATOR.search(text)
    if separator is None:
        return text, "", ""
    name, answer = text[: separator.start()], text[separator.end() :]
    return name.strip().strip("*_`").strip(), separator[0], answer.strip().strip("*`").strip()
