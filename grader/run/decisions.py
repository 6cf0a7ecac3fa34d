"""What a person decided: points for an answer, or whose a file is, given back in the review list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from msgspec import Struct, field
from msgspec.structs import replace

from grader.errors import UsageError
from grader.marking.credit import charges_unit, praises, without_charge
from grader.marking.marks import BLANK, CORRECT, GAVE, INCORRECT, NOT_DECIDED, PARTLY, PROMISE, UNREADABLE, Mark, Marked
from grader.reports.review import BETWEEN
from grader.reports.wording import in_points, points_text
from grader.run.given import Points, called, given_again, outdated, same, standing
from grader.uploads.content.document import Document, Unreadable
from grader.uploads.content.grid import Grid
from grader.uploads.content.items import Pair, known_items
from grader.uploads.content.numbers import finite
from grader.uploads.files.sources import one_source
from grader.uploads.formats import read_document
from grader.uploads.names import folded, key
from grader.uploads.owner import Assigned, Assignments, assigned, contents_of
from grader.uploads.roster import Roster

DECISION, REASON, WHY = "decision", "reason", "why"
_COLUMNS = ("student", "file", "problem", "item", "answer", "possible", WHY, DECISION, REASON)
NOBODY = "nobody"
"""Written as the decision on a file, it counts for nobody: an earlier upload of the student does."""
SEEN = "ok"
"""Written as the decision on a file, it takes the file's fault off the list."""

TAKEN_BACK = {"-", "–", "−"}
"""Written as a decision, it takes back an earlier one; an empty cell leaves that as it is."""

CONTENTS = "contents "
"""Before what stands for a file's contents, in the column of the answer."""

NO_REASON = "no reason was written down"


class Decisions(Struct, frozen=True, kw_only=True):
    """Everything decided."""

    points: Mapping[tuple[str, str, str], tuple[Points, ...]] = field(default_factory=dict)
    """By student, problem and item: each for an answer of its own."""
    owners: Assignments = field(default_factory=dict)
    """The student whose a file is, by file and contents."""
    seen: Mapping[tuple[str, str, str], str] = field(default_factory=dict)
    """Faults of files that a person has seen, by file, contents and fault, with the reason."""
    withdrawn: frozenset[tuple[str, ...]] = frozenset()
    """What was decided earlier and is taken back, by the same keys; of points with the answer, where one is named."""

    def over(self, earlier: Decisions) -> Decisions:
        """These decisions, and of the earlier ones those that these neither replace nor withdraw."""
        left = {place: found for place, old in earlier.points.items() if (found := self._left(place, old))}
        given = {place: given_again(points, left.get(place, ()), kept=True) for place, points in self.points.items()}
        return Decisions(
            points={**left, **given},
            owners=self._owners_over(earlier.owners),
            seen={
                **{place: why for place, why in earlier.seen.items() if (place[0], place[2]) not in self.withdrawn},
                **self.seen,
            },
        )

    def edited(self, issued: Decisions) -> Decisions:
        """These decisions, found where they were issued: what differs was taken on what stands there now."""
        return replace(
            self,
            points={
                place: given_again(points, issued.points.get(place, ()), kept=False)
                for place, points in self.points.items()
            },
            owners={
                (file, contents if issued.owners.get((file, contents), said) == said else ""): said
                for (file, contents), said in self.owners.items()
            },
        )

    def _left(self, place: tuple[str, str, str], earlier: tuple[Points, ...]) -> tuple[Points, ...]:
        """What was decided earlier on an item and is not taken back."""
        if place in self.withdrawn:
            return ()
        return tuple(one for one in earlier if not any((*place, way) in self.withdrawn for way in one.ways))

    def _owners_over(self, earlier: Assignments) -> Assignments:
        """A file given again to the same student is no new decision; to another, or for another reason: as it is now."""
        owners = {place: said for place, said in earlier.items() if (place[0],) not in self.withdrawn}
        for (file, contents), said in self.owners.items():
            before = earlier.get((file, contents))
            if not contents and any(place[0] == file and old == said for place, old in owners.items()):
                continue
            if before is not None and before != said:
                owners.pop((file, contents), None)
                contents = ""  # noqa: PLW2901
            owners[file, contents] = said
        return owners

    def outlived(self, file: str, digest: str) -> tuple[tuple[str, Assigned], ...]:
        """With which contents a file was whose, where nothing was said of those that it has now."""
        if assigned(file, digest, self.owners) is not None:
            return ()
        return tuple((contents, said) for (named, contents), said in self.owners.items() if named == file)

    def reason_seen(self, file: str, digest: str, why: str) -> str | None:
        """The reason with which a fault of a file was ticked off; None where it was not."""
        reasons = (self.seen.get((file, contents, why)) for contents in (contents_of(digest), ""))
        return next((reason for reason in reasons if reason is not None), None)


def load_decisions(path: Path, items: Mapping[Pair, float], roster: Roster | None) -> Decisions:
    """Read a review list that a person filled in, or any table with the same headings.

    Parameters
    ----------
    path : Path
        A table (.csv, .xlsx …) with the columns student, problem, item, file, decision and reason; others are ignored.
    items : mapping of (str, str) to float
        The rubric's items with their points.
    roster : Roster or None
        To check the students named.

    Raises
    ------
    UsageError
        One line per row that cannot be applied: which, what is wrong, what would be right.
    """
    try:
        document = _document(path)
    except Unreadable as refusal:
        raise UsageError(
            f"{path}: the decisions cannot be read: {refusal}. Name the review list, or put an undamaged copy there, or "
            "take away what stands there: what was decided in it then no longer counts."
        ) from None
    for table in document.tables:
        grid = Grid(table)
        for row in grid.order:
            words = [(key(text), column) for column, text in grid.texts(row).items()]
            heads = dict(words)
            if DECISION in heads and "student" in heads:
                if twice := [word for word in _COLUMNS if [one for one, _ in words].count(word) > 1]:
                    raise UsageError(f"{path.name}: the heading '{twice[0]}' stands in two columns; leave one of them.")
                return _Reading(path.name, grid, heads, items, roster).below(row)
    raise UsageError(
        f"{path.name}: no row has the headings 'student' and 'decision'; give back the review list as it was."
    )


def _document(path: Path) -> Document:
    source = one_source(path)
    if source.fault:
        raise Unreadable(source.fault)
    return read_document(source.file, source.data)


class _Reading:
    """Goes down the rows below the heading, collecting decisions and faults."""

    def __init__(
        self, name: str, grid: Grid, heads: Mapping[str, int], items: Mapping[Pair, float], roster: Roster | None
    ) -> None:
        self._name, self._grid, self._heads, self._items, self._roster = name, grid, heads, items, roster
        self._known = known_items(tuple(items))
        self._points: dict[tuple[str, str, str], tuple[Points, ...]] = {}
        self._owners: dict[tuple[str, str], Assigned] = {}
        self._seen: dict[tuple[str, str, str], str] = {}
        self._withdrawn: set[tuple[str, ...]] = set()
        self._faults: list[str] = []

    def below(self, heading: int) -> Decisions:
        """All decisions, or UsageError with every fault."""
        for row in self._grid.order:
            if row > heading:
                cells = {
                    column: self._grid.at(row, self._heads[column]).text.strip() if column in self._heads else ""
                    for column in _COLUMNS
                }
                fault = self._file(cells) if cells["file"] and not cells["item"] else self._answer(cells)
                if fault:
                    self._faults.append(f"{self._name}, row {row + 1}: {fault}.")
        if self._faults:
            raise UsageError("\n".join(self._faults))
        return Decisions(
            points=self._points, owners=self._owners, seen=self._seen, withdrawn=frozenset(self._withdrawn)
        )

    def _answer(self, cells: Mapping[str, str]) -> str:
        """Take a row about an answer; gives back what is wrong with it."""
        decision = cells[DECISION]
        pair = self._known.find(cells["item"], self._known.problem(cells["problem"]) if cells["problem"] else None)
        if not decision:
            return "there is a reason but no decision; write the points, or empty both" if cells[REASON] else ""
        if pair is None:
            name = ".".join(filter(None, (cells["problem"], cells["item"])))
            return f"'{name}' is no item ({self._known.hint(name)})"
        students = [self._student(written.strip()) for written in cells["student"].split(BETWEEN.strip())]
        if fault := next((fault for _, fault in students if fault), ""):
            return fault
        then = finite(cells["possible"].replace(",", "."))
        blank = "answer" in self._heads and then is not None  # as this program writes it
        answer = cells["answer"] or ("" if blank else None)
        if decision in TAKEN_BACK:
            ways = [()] if answer is None else [(way,) for way in Points(points=0, answer=answer).ways]
            self._withdrawn |= {(student, *pair, *way) for student, _ in students for way in ways}
            return ""
        points, possible = finite(decision.replace(",", ".")), self._items[pair]
        if points is None:
            return f"the decision '{decision}' is no number of points; write a number from 0 to {points_text(possible)}"
        if not 0 <= points <= possible:
            return f"the decision {decision} lies outside 0 to {points_text(possible)}, the points of the item"
        new = Points(points=points, reason=cells[REASON], answer=answer, possible=then)
        return self._take([student for student, _ in students], pair, new)

    def _take(self, students: Sequence[str], pair: Pair, new: Points) -> str:
        """Take a decision for some students; gives back what is wrong with it."""
        for student in students:
            found = self._points.get((student, *pair), ())
            before = next(filter(new.meets, found), None)
            if before is None:
                self._points[student, *pair] = (*found, new)
            elif before.points != new.points:
                return f"{student}, {'.'.join(pair)} is decided twice, with {points_text(before.points)} and {points_text(new.points)}"
        return ""

    def _file(self, cells: Mapping[str, str]) -> str:
        """Take a row about a whole file; gives back what is wrong with it."""
        file, decision, contents = cells["file"], cells[DECISION], cells["answer"].removeprefix(CONTENTS)
        if not decision:
            return "there is a reason but no decision" if cells[REASON] else ""
        if decision in TAKEN_BACK:
            self._withdrawn |= {(file,), (file, same(cells[WHY]))}
            return ""
        if folded(decision) == SEEN:
            self._seen[file, contents, same(cells[WHY])] = cells[REASON]
            return ""
        student, fault = ("", "") if folded(decision) == NOBODY else self._student(decision)
        if fault:
            return f"{fault}; the decision on a file is the id of the student whose it is, '{NOBODY}' or '{SEEN}'"
        before = self._owners.setdefault((file, contents), Assigned(student, cells[REASON]))
        if before.student != student:
            both = f"{before.student or NOBODY} and {student or NOBODY}"
            return f"the file is given to two students, {both}"
        return ""

    def _student(self, written: str) -> tuple[str, str]:
        if not written:
            return "", "no student is named"
        if self._roster is None:
            return written, ""
        ids = self._roster.ids_in(written)
        if len(ids) == 1:
            return ids[0], ""
        return "", f"'{written}' is no student of the roster; of one who has left, delete the row"


def decided(marked: Marked, decisions: Decisions) -> Marked:
    """Marks with a person's decisions put over them; where one is on another answer than stands there now, the mark waits."""
    if not decisions.points:
        return marked
    found = {
        place: decisions.points.get((marked.student, *place), ()) for place in (mark.place for mark in marked.marks)
    }
    if not any(found.values()):
        return marked
    given = {mark.place: holds for mark in marked.marks if (holds := standing(found[mark.place], mark.answer))}
    waived = {mark.problem for mark in marked.marks if mark.place in given and _waived(mark, given[mark.place])}
    return replace(
        marked,
        marks=tuple(
            _over(mark, given[mark.place])
            if mark.place in given
            else _beside(mark, found[mark.place], waived=mark.problem in waived)
            for mark in marked.marks
        ),
    )


def _beside(mark: Mark, found: Sequence[Points], *, waived: bool) -> Mark:
    """A mark on which no decision stands: it waits where one was on another answer."""
    if waived:
        mark = replace(mark, reasons=tuple(map(without_charge, mark.reasons)))
    if not found:
        return mark
    given = " and ".join(f"{in_points(one.points)} for {called(one.answer or '')}" for one in found)
    before = (
        f"{GAVE}{given}. Now {called(mark.answer)} stands here: "
        "these points do not count for it until a person says so."
    )
    return replace(mark, review=True, reasons=(*mark.reasons, before))


def _waived(mark: Mark, points: Points) -> bool:
    """Whether what a unit cost there was given back."""
    return points.points >= mark.possible and any(map(charges_unit, mark.reasons))


def _over(mark: Mark, points: Points) -> Mark:
    """One mark overridden: the points, and a verdict that goes with them; what the program gave stays in the notes.

    Where the points are others, the student must not read the program's reasons for its own beside the decision (but,
    where they are more, what agrees), nor what it asked about what was lost.
    """
    full = points.points >= mark.possible
    other, more = points.points != mark.awarded, points.points > mark.awarded
    struck = mark.verdict in (UNREADABLE, NOT_DECIDED)
    overruled = tuple(one for one in mark.reasons if full or struck or (other and not (more and praises(one))))
    kept = tuple(one for one in mark.reasons if one not in overruled and not one.startswith(PROMISE))
    verdict = CORRECT if full else PARTLY if points.points > 0 else BLANK if mark.verdict == BLANK else INCORRECT
    return replace(
        mark,
        reasons=(*kept, ANEW) if outdated(mark, points) else kept,
        awarded=points.points,
        verdict=verdict,
        parts=(),
        mistakes=() if full else mark.mistakes,
        tied=1 if full else mark.tied,
        follows_from=(),
        review=False,
        nudges=() if full or more else mark.nudges,
        notes=(*mark.notes, f"Before the decision: {points_text(mark.awarded)} points, {mark.verdict}.", *overruled),
        decision=points.reason or NO_REASON,
    )


ANEW = "That was decided when the item had other points than it has now: your instructor looks again."
"""Said of a decision that waits again."""
