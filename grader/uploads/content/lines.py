"""Finds the answers in lines of text: ``problem.item: answer``, ``item = answer``, and the lines below them that belong to them."""

from itertools import zip_longest

from msgspec import Struct, field

from grader.regex import regex
from grader.uploads import limits
from grader.uploads.content.claims import NAME_CHARS, SHEET, Claim, Line, Strength, lines_of, split
from grader.uploads.content.document import Cell, typed
from grader.uploads.content.found import Collector, Parsed, short
from grader.uploads.content.headings import PROBLEM, STUDENT
from grader.uploads.content.items import Items, Pair
from grader.uploads.content.mail import END, HEADS, SAYS, heads_a_mail, heads_a_quotation, with_ends

_NAME_LIKE = regex(r"[^\W\d][\w()+∞-]*(?:\s?[./]\s?[\w()+∞-]+)?")
_NAMED_INSIDE = regex(r"(?<![\w.])([^\W\d][\w.+∞-]*)\s*:")

_GOES_ON = regex(r"[-+−*·×/^]\s*(?:[\d.,(√\\]|e\^|j|exp|cos|sin|sqrt)|\)")
_OF_TIME = regex(r"e\^|exp|cos|sin")
_BY_ITSELF = regex(r"[-−]\S")
_COMPLETE = regex(r"[<>≤≥]|[\d)]\s*(?!cos|sin)[^\W\d_]{1,3}(?:/s)?$")
"""A line that names its interval, or ends in a unit."""

_OPEN_END = regex(r"[-+−*·×/^(=;]$")
_ENDS_IN_A_NUMBER, _UNIT_LIKE = regex(r"\d$"), regex(r"[^\W\d_]{1,5}(?:/s)?")
_NAMES = regex(r"[^\W\d][^<>≤≥]*$")
"""What stands before an equals sign and is neither a calculation nor an interval."""

_TOLD = 20
"""How many answers that were taken in doubt are told of one file."""

_RULE = regex(r"[\W_]*")
_OF_THE_FILE = {
    "name", "date", "course", "class", "section", "group", "email", "title", "assignment", "homework", "due",
}  # fmt: skip
_OF_WORKING = {
    "answer", "ans", "result", "solution", "so", "check", "hence", "thus", "therefore", "working", "work", "because", "since",
    "given", "where", "with", "from", "using", "note", "notes", "comment", "comments", "hint", "then", "now", "final",
}  # fmt: skip
"""Words with a colon that lead to a line of working, or to its end (common practice)."""


_WHOSE_LINE = "It is not certain to which item {} belongs; a person will decide."
_TOO_LONG = f"it is no table, and has more than {limits.LINES} lines, so it was not read"


def answers_in_lines(lines: tuple[str, ...], items: Items) -> Parsed | None:
    """The answers of a text; None where no line begins with the name of an item."""
    if len(lines) > limits.LINES:
        return Parsed(faults=(_TOO_LONG,))
    gathering = Collector(items)
    reading = _read(lines_of(lines, items), gathering)
    if not reading.any_item:
        return None
    return gathering.found(labelled=tuple(reading.labelled), loose=tuple(reading.loose))


def add_lines_around(rows: dict[int, str], gathering: Collector) -> None:
    """Add what the lines around a table say, by their rows; its rows answer their items as plainly as lines can."""
    if len(rows) > limits.LINES:
        gathering.faults.append(f"what stands around the table: {_TOO_LONG}")
        return
    found = lines_of(tuple(rows.get(row, "") for row in range(max(rows, default=-1) + 1)), gathering.items)
    if any(line.claim is not None for line in found):
        _read(found, gathering)


def _read(found: list[Line], gathering: Collector) -> "_Reading":
    ranks = dict.fromkeys(gathering.answers, (int(Strength.FULL), 0))
    for line in found:
        if line.claim is not None:
            ranks[line.claim.pair] = max(ranks.get(line.claim.pair, line.rank), line.rank)
    reading = _Reading(
        gathering, ranks, mail=any(map(heads_a_mail, found)), own=any(line.claim and not line.quoted for line in found)
    )
    found = with_ends(found)
    for line, after in zip_longest(found, found[1:]):
        reading.take(line, goes_on=after is not None and after.claim is None and not after.role)
    reading.finish()
    return reading


class _Open(Struct):
    """An answer that goes on until the next one: the line that names its item, and what stands below."""

    pair: Pair
    line: Line
    text: str
    strength: Strength
    together: bool
    """Whether it is a list's: a value on each line."""
    doubtful: bool
    """Whether the line may as well be working of the answer above it."""
    foreign: bool
    """Whether it stands in a mail that is quoted below answers of the student's own."""
    parted: bool
    """Whether it may as well go on with the answer above it."""
    below: list[Line] = field(default_factory=list)
    quoted: list[Line] = field(default_factory=list)
    """What a mail quotes below it, which is somebody else's."""

    @property
    def begun(self) -> bool:
        """Whether anything stands there."""
        return bool(self.text or self.below)

    @property
    def answered(self) -> bool:
        """Whether an answer stands there, and no working has begun below it."""
        said = bool(self.text) if self.strength < Strength.NAMED else any(map(str.isdigit, self.text))
        return said and not any(map(self._is_working, (self.text, *(line.text for line in self.below))))

    def _is_working(self, text: str) -> bool:
        """Whether a line says what something else is: ``R = 4k``."""
        name, sign, _ = split(text)
        return sign == "=" and bool(_NAMES.match(name)) and name[0].casefold() != self.pair[1][0].casefold()

    def cell(self) -> Cell:
        """What stands there, read as the lines of one cell are."""
        text, alternatives = self._together(self.below)
        cell = _in_doubt(typed(text), self.pair) if self.doubtful else typed(text)
        if self.foreign:
            cell = cell._replace(doubts=(*cell.doubts, "it stands in a mail that is quoted"))
        if len(cell.text) > limits.TOGETHER:
            first, *_ = (one for one in (self.text, *(line.text for line in self.below)) if one)
            alternatives = (_last(text), first)
        return cell._replace(alternatives=alternatives)

    def by_itself(self) -> str:
        """The answer without what stands below a blank line and no further in; "" where nothing does."""
        apart = (
            number for number, line in enumerate(self.below) if line.after_blank and line.indent <= self.line.indent
        )
        end = next(apart, None)
        return "" if end is None else self._together(self.below[:end])[0]

    def with_quoted(self) -> str:
        """The answer with what is quoted below it, should that be the student's own after all; "" where it says nothing."""
        says = any(SAYS.search(line.text) for line in self.quoted)
        return self._together([*self.below, *self.quoted])[0] if says else ""

    def _together(self, below: list[Line]) -> tuple[str, tuple[str, ...]]:
        """The text with the lines below it, and the same where a line may go on with the one before.

        What begins with a minus of its own, or stands below a complete line, is a line, as it is in a cell.  A dash with a
        blank behind it is the mark of a list where every line has one, and else a minus; of one line alone it may be either.
        """
        text, other = self.text, ""
        said = [line for line in below if SAYS.search(line.text)]
        listed = self._is_listed(said)
        for line in below:
            if len(text) > limits.CELL_CHARS:
                break
            own = line.item if listed else line.signed
            may_go_on = not (self.together or (listed and line.marked)) and bool(_GOES_ON.match(line.raw))
            on = bool(text) and _goes_on(text, line, may_go_on=may_go_on)
            if on or (text and may_go_on):
                other = f"{other or text} {line.raw}"
            elif other:
                other = f"{other}\n{own}"
            text = f"{text} {line.raw}" if on else f"{text}\n{own}".strip("\n")
        if listed and len(said) == 1:
            other = other or text.replace(said[0].item, said[0].signed)
        return text, tuple({other} - {"", text})

    def _is_listed(self, said: list[Line]) -> bool:
        """Whether all that is said stands in a list: every line has its mark, the one with the name as well where it says something."""
        listed = all(line.marked for line in said)
        if not SAYS.search(self.text):
            return listed
        return listed and self.line.marked and {line.indent for line in said} == {self.line.indent}


def _goes_on(text: str, line: Line, *, may_go_on: bool) -> bool:
    """Whether a line belongs to the end of the text above: it is a term of a sum there, closes what is open, or is its unit."""
    begins = _BY_ITSELF.match(line.raw) or _COMPLETE.search(text.rpartition("\n")[2])
    if (may_go_on and not begins and _OF_TIME.search(line.raw)) or _OPEN_END.search(text):
        return True
    return bool(_ENDS_IN_A_NUMBER.search(text) and _UNIT_LIKE.fullmatch(line.text))


def _in_doubt(cell: Cell, pair: Pair) -> Cell:
    note = f"no line begins with '{'.'.join(pair)}:', so what stands behind the name elsewhere was taken as the answer"
    return cell._replace(notes=(*cell.notes, note))


def _last(text: str) -> str:
    """The last lines of a text, as many as are read together."""
    return text[-limits.TOGETHER :].partition("\n")[2] or text[-limits.TOGETHER :]


class _Reading(Struct):
    """What is known while going down the lines.

    ``ranks`` tells how plainly each item is named where it is named most plainly; ``doubtful`` holds what may be the
    answer to an item, should no line say it plainly, and ``beside`` what was said of an item in passing.
    """

    gathering: Collector
    ranks: dict[Pair, tuple[int, int]]
    mail: bool
    """Whether the text is a mail, so that what stands behind ``>`` is somebody else's."""
    own: bool
    """Whether an item is named outside quotations."""
    behind: bool = False
    """Whether the head of a quoted mail stands above."""
    labelled: list[str] = field(default_factory=list)
    loose: list[str] = field(default_factory=list)
    any_item: bool = False
    open: _Open | None = None
    last: Pair | None = None
    doubtful: dict[Pair, tuple[str, str]] = field(default_factory=dict)
    beside: list[tuple[Pair, str, str]] = field(default_factory=list)
    taken: list[str] = field(default_factory=list)
    """What was taken in doubt, for one remark on the file."""

    def take(self, line: Line, *, goes_on: bool) -> None:
        """Take the next line; ``goes_on`` where one stands below that says nothing of its own."""
        inside = self.open is not None and line.indent > self.open.line.indent
        if line.claim is not None:
            self._take_claim(line, line.claim, inside=inside, goes_on=goes_on)
        elif line.role == STUDENT:
            self.labelled.append(line.value)
        elif line.role == PROBLEM and not (inside and self.open and self.open.text):
            self._close()
        elif line.role == END and (self.open is None or self.open.begun or line.after_blank):
            self._close()
            self.loose.append(line.text)
            self.behind = self.behind or (self.any_item and heads_a_quotation(line))
        elif line.role != SHEET:
            self._take_other(line, inside=inside)

    def _take_claim(self, line: Line, claim: Claim, *, inside: bool, goes_on: bool) -> None:
        """Take a line that names an item: its answer, where no line names it more plainly; else working of the answer above."""
        pair, answer, strength = claim
        leads = line.rank == self.ranks[pair]
        own = self.open is not None and self.open.pair == pair
        above = self._of_the_answer_above(line, goes_on=goes_on)
        if line.quoted and not leads:
            self.beside.append((pair, answer, line.where))
            return
        if leads and not above and strength >= (Strength.NAMED if inside else Strength.ELSEWHERE):
            self._begin(line, claim, goes_on=goes_on)
            return
        if inside or (strength is Strength.BARE and not leads) or own or above or strength is Strength.ELSEWHERE:
            self._below(line)
        elif strength is Strength.SYMBOL:
            self._below(line)
            self.beside.append((pair, answer, line.where))
        elif not leads:
            self.beside.append((pair, answer, line.where))
        if leads and not above:
            self.loose.append(line.text)
            self.doubtful.setdefault(pair, (answer, line.where))

    def _begin(self, line: Line, claim: Claim, *, goes_on: bool) -> None:
        plain = self.open is not None and self.open.answered and not (goes_on and self.open.strength >= Strength.NAMED)
        above = self.open if claim.strength is Strength.ELSEWHERE and not plain else None
        self._close()
        if above is not None:
            self.gathering.leave_open(above.pair, _WHOSE_LINE.format(line.where))
        self.any_item = True
        self.last = claim.pair
        self.open = _Open(
            claim.pair, line, self._first_of_line(claim.pair, claim.answer, line.where), claim.strength,
            claim.pair in self.gathering.items.lists, claim.strength is Strength.ELSEWHERE and not plain,
            bool(claim.answer) and (self.behind or (self.mail and self.own and line.quoted)), above is not None,
        )  # fmt: skip

    def _of_the_answer_above(self, line: Line, *, goes_on: bool) -> bool:
        """Whether a symbol is what the answer above is told by, and no item: ``v(t) = …``, one said there already, or working."""
        if self.open is None or line.claim is None or line.claim.strength not in {Strength.ELSEWHERE, Strength.SYMBOL}:
            return False
        if self.open.strength < Strength.NAMED or line.claim.pair == self.open.pair:
            return False
        name = split(line.text)[0]
        again = name in (split(text)[0] for text in (self.open.text, *(one.text for one in self.open.below)))
        if again:
            self.doubtful.pop(line.claim.pair, None)
        if line.claim.strength is Strength.ELSEWHERE:
            begun = self.open.strength is Strength.FULL and not self.open.answered
            return again or "(t)" in name or (begun and (goes_on or not self.open.text or bool(self.open.below)))
        return again or ("(t)" in name and not self.open.text)

    def _take_other(self, line: Line, *, inside: bool) -> None:
        name, sign, answer = split(line.text)
        first, _, rest = line.text.partition(" ")
        if not sign and self.gathering.items.several(first) and any(map(str.isdigit, rest)):
            name, sign, answer = first, ":", rest  # tau 24 ms, where several problems have it
        if answer and not inside and sign in ":：=＝" and self._means_an_item(name, sign):
            self.gathering.unknown(name, typed(answer), line.where, above=self.last)
            return
        self.loose.append(line.text)
        heading = line.raw.startswith(("#", "\\section", "\\subsection")) or _RULE.fullmatch(line.raw)
        if not heading and name.casefold() not in _OF_THE_FILE:
            self._below(line)

    def _below(self, line: Line) -> None:
        if self.open is None:
            return
        quoted = self.mail and line.quoted and not self.open.line.quoted and self.open.begun
        (self.open.quoted if quoted else self.open.below).append(line)

    def _close(self) -> None:
        """Take an answer with the lines below it."""
        if self.open is None:
            return
        done, self.open = self.open, None
        self.gathering.add(done.pair, done.cell(), where=done.line.where)
        if done.parted:
            self.gathering.leave_open(done.pair, _WHOSE_LINE.format(done.line.where))
        if done.doubtful:
            self._tell(done.pair, done.text, done.line.where)
        taken = self.gathering.answers.get(done.pair)
        if taken is not None and taken.where == done.line.where:
            for other in (done.by_itself(), done.with_quoted()):
                self.gathering.set_aside(done.pair, other, done.line.where, told=False)

    def finish(self) -> None:
        """Take what no line said plainly, each with a remark; and say beside the answers what did not count."""
        self._close()
        for pair, answer, where in self.beside:
            self.doubtful.setdefault(pair, (answer, where))
        while self.doubtful:
            pair = next(iter(self.doubtful))
            answer, where = self.doubtful.pop(pair)
            if not self.gathering.has(pair):
                self.any_item = True
                text = self._first_of_line(pair, answer, where)
                self.gathering.add(pair, _in_doubt(typed(text), pair), where=where)
                self._tell(pair, text, where)
        for pair, answer, where in self.beside:
            if (taken := self.gathering.answers.get(pair)) is not None and answer not in taken.text:
                self.gathering.set_aside(pair, answer, where)
        if self.taken:
            rest = f" and {len(self.taken) - _TOLD} more" if len(self.taken) > _TOLD else ""
            self.gathering.faults.append(
                "no line begins with the item's name and a colon, so what stands behind the name elsewhere was taken as the "
                f"answer to {', '.join(self.taken[:_TOLD])}{rest}"
            )

    def _tell(self, pair: Pair, answer: str, where: str) -> None:
        self.taken.append(f"'{'.'.join(pair)}' ({where}: '{short(answer, 40)}')")

    def _first_of_line(self, pair: Pair, answer: str, where: str) -> str:
        """The answer up to where a second item is named behind it; what follows is that one's."""
        for inside in _NAMED_INSIDE.finditer(answer):
            other = self.gathering.items.find(inside[1], pair[0])
            before = answer[: inside.start()].strip().rstrip(";, ")
            if other is not None and other not in {pair, *self.gathering.answers} and any(map(str.isdigit, before)):
                self.doubtful.setdefault(other, (answer[inside.end() :].strip(), where))
                return before
        return answer

    def _means_an_item(self, name: str, sign: str) -> bool:
        """Whether a line without a known item was meant as an answer: ``v0: 5 V``, and not ``R = 3k + 1k`` on the way."""
        if len(name) > NAME_CHARS or not _NAME_LIKE.fullmatch(name) or name.casefold() in _OF_THE_FILE:
            return False
        if self.open is not None and name.casefold() in _OF_WORKING:
            return False
        if self.last is None and name.casefold() in HEADS:
            return False
        return sign in ":：" or self.last is None or "." in name or bool(self.gathering.items.several(name))
