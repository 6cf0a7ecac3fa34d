"""What was found in one file, and how the answers of a file are gathered without losing any."""

import re

from msgspec import Struct, field
from msgspec.structs import replace

from grader.regex import regex
from grader.uploads import limits
from grader.uploads.content.dates import date_text_cell
from grader.uploads.content.document import Cell
from grader.uploads.content.items import Items, Pair
from grader.uploads.upload import Unused, Written


class Parsed(Struct, frozen=True, kw_only=True):
    """Answers of one student, with what the file says about who that is.

    ``labelled`` are texts beside a label such as "student"; ``loose`` all other texts an id may stand in.
    """

    answers: tuple[Written, ...] = ()
    faults: tuple[str, ...] = ()
    labelled: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
    where: str = ""


OF_THE_ROW = "It is not certain which cells of its row are the answer; a person will decide."


class Collector(Struct):
    """Answers while they are being collected; of two answers to one item the first counts, and the other is listed and kept beside it."""

    items: Items
    answers: dict[Pair, Written] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    _unplaced: list[tuple[Pair | None, str]] = field(default_factory=list)

    def add(
        self,
        pair: Pair,
        cell: Cell,
        *,
        where: str,
        unit: str = "",
        working: str = "",
        notes: tuple[str, ...] = (),
        continued: bool = False,
    ) -> None:
        """Keep one answer.

        Parameters
        ----------
        pair : tuple of str
            The item it answers.
        cell : Cell
            The answer.
        where, unit, working, notes
            As in `Written`; notes beyond those of the cell.
        continued : bool
            True where the same item's cell runs over several rows, so that this text belongs to the one before.
        """
        if members := self.items.lists.get(pair):
            self._add_list(members, pair, cell, where, unit)
            return
        if (date := date_text_cell(cell.text)) is not None:
            cell = date._replace(notes=(*cell.notes, *date.notes))
        text = cell.text.strip()
        working = working or cell.formula
        self.faults += [f"{where}: {doubt}" for doubt in cell.doubts]
        before = self.answers.get(pair)
        if not text and any(map(str.isdigit, unit)):
            text, unit, notes = unit.strip(), "", (*notes, "it stood in the column of the unit")
        if not text and not working:
            return
        answer = Written(
            problem=pair[0], item=pair[1], text=text, unit=unit.strip(), working=working.strip(), where=where,
            notes=tuple(map(sentence, (*notes, *cell.notes, *cell.doubts))), alternatives=cell.alternatives, stored=cell.stored,
        )  # fmt: skip
        if before is None or not before.text or before.undecided:
            self.answers[pair] = answer
        elif continued and text:
            self.answers[pair] = _joined(before, answer)
        elif text and (text, answer.unit) != (before.text, before.unit):
            self.set_aside(pair, answer.as_written, where)
            self.faults.append(
                f"{where}: '{'.'.join(pair)}' is answered a second time, with '{short(text)}'; "
                f"the answer at {before.where} was taken"
            )

    def set_aside(self, pair: Pair, text: str, where: str, *, told: bool = True) -> None:
        """Keep beside an answer what was written for its item as well, and did not count; in number bounded."""
        before = self.answers.get(pair)
        if before is not None and text and len(before.unused) < limits.UNUSED:
            self.answers[pair] = replace(before, unused=(*before.unused, Unused(text, where, told)))

    def leave_open(self, pair: Pair, why: str = OF_THE_ROW) -> None:
        """Let a person decide an answer of which it is not certain what belongs to it."""
        for one in self.items.lists.get(pair, (pair,)):
            if one in self.answers:
                self.answers[one] = replace(self.answers[one], undecided=why)

    def has(self, pair: Pair) -> bool:
        """Whether an answer was taken for an item, or for a list."""
        return pair in self.answers or not self.answers.keys().isdisjoint(self.items.lists.get(pair, ()))

    def _add_list(self, pairs: tuple[Pair, ...], common: Pair, cell: Cell, where: str, unit: str) -> None:
        """Take values written together for the items of a list, in turn; of another number a person decides which is which.

        Where the first line holds as many as the list has, the lines below it are said beside them.
        """
        if not cell.text.strip():
            return
        first, _, below = cell.text.partition("\n")
        (values, of_all), rest = _values(cell.text), ""
        if below and len(values) != len(pairs) and len(_values(first)[0]) == len(pairs):
            (values, of_all), rest = _values(first), below
        fits = len(values) == len(pairs)
        why = f"'{short(cell.text)}' was written for {len(pairs)} values; a person will decide which is which."
        for number, pair in enumerate(pairs):
            if fits:
                note = f"This is value {number + 1} of the {len(pairs)} written together for '{'.'.join(common)}'"
                one = cell._replace(text=values[number], notes=(*cell.notes, note), alternatives=())
                self.add(pair, one, where=where, unit=unit or of_all)
            elif pair not in self.answers:
                self.add(pair, cell, where=where, unit=unit)
                self.answers[pair] = replace(self.answers[pair], undecided=why)
        self.set_aside(pairs[-1], rest, where)

    def unknown(self, name: str, cell: Cell, where: str, why: str = "", above: Pair | None = None) -> None:
        """List an answer whose item the rubric does not know; the nearest item is looked for while the list is short.

        The student finds it beside the answer to the item above, or the first.
        """
        if cell.text.strip():
            hint = why or (self.items.hint(name) if len(self.faults) < limits.FAULTS else "")
            fault = f"{where}: '{short(name)}' is no item ({hint}); its answer is '{short(cell.text)}'"
            self.faults.append(fault)
            if len(self._unplaced) < limits.UNUSED:
                self._unplaced.append((above, sentence(f"{fault}, which was not marked")))

    def found(self, **rest: tuple[str, ...] | str) -> Parsed:
        """Everything collected so far."""
        for above, note in self._unplaced if self.answers else ():
            pair = above if above in self.answers else next(iter(self.answers))
            self.answers[pair] = replace(self.answers[pair], notes=(*self.answers[pair].notes, note))
        without = [".".join(pair) for pair, answer in self.answers.items() if not answer.text]
        if without:
            self.faults.append(f"working stands beside {', '.join(without)}, and no answer")
        return Parsed(answers=tuple(self.answers.values()), faults=listed([*dict.fromkeys(self.faults)]), **rest)  # type: ignore[arg-type]


_COMMON_UNIT = regex(r"(?P<number>[-+−]?[0-9][0-9.,]*)\s*(?P<unit>[^\W\d_][^;,]*)")


def _values(text: str) -> tuple[list[str], str]:
    """The values of a line, with semicolons or else with commas and blanks between them; and the unit of the last one for bare numbers."""
    text = text.strip().rstrip(";,")
    values = [one.strip() for one in re.split(r"[;\n]" if re.search(r"[;\n]", text) else r",\s+", text)]
    last = _COMMON_UNIT.fullmatch(values[-1])
    if last and all(re.fullmatch(r"[-+−]?[0-9][0-9.,]*", one) for one in values[:-1]):
        return [*values[:-1], last["number"]], last["unit"]
    return values, ""


def listed(faults: list[str]) -> tuple[str, ...]:
    """Faults for the review list, in number bounded."""
    if len(faults) <= limits.FAULTS:
        return tuple(faults)
    return (*faults[: limits.FAULTS], f"{len(faults) - limits.FAULTS} further faults of this kind are not listed")


def short(text: str, length: int = 200) -> str:
    """A text in one line, cut at a length."""
    text = " ".join(text.split())
    return text if len(text) <= length else f"{text[:length]}…"


def _joined(before: Written, after: Written) -> Written:
    return replace(
        before,
        text=f"{before.text}\n{after.text}"[: limits.CELL_CHARS],
        unit=before.unit or after.unit,
        working="\n".join(filter(None, (before.working, after.working)))[: limits.CELL_CHARS],
        notes=tuple(dict.fromkeys((*before.notes, *after.notes))),
        alternatives=(),
    )


def sentence(note: str) -> str:
    """A note with a capital first letter and its full stop."""
    return f"{note[:1].upper()}{note[1:].removesuffix('.')}." if note else note
