"""The marks that count, student by student, read from the journal whenever they are asked for."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct, field
from msgspec.structs import replace

from grader.ideas.explain import explaining
from grader.ideas.records import Explanation, Observation, Predictions
from grader.marking.beliefs import observations_of, with_explanation
from grader.marking.marks import Marked
from grader.run.collect import Section, by_id
from grader.run.decisions import Decisions, decided
from grader.run.storage.journal import Journal
from grader.uploads.roster import Roster
from grader.uploads.upload import Student


class Graded(Struct, frozen=True, kw_only=True, dict=True):
    """Every student's marks with the decisions put over them; goes through them anew each time, holding one."""

    section: Section
    journal: Journal
    decisions: Decisions
    roster: Roster | None
    absent: Mapping[str, Marked] = field(default_factory=dict)
    """Blank marks of students who sent nothing readable and have decisions all the same."""
    explain: Callable[[str, Sequence[Observation]], Explanation] = lambda student, _: Explanation(student=student)
    """Says what a student seems to believe."""
    explanations: dict[str, Explanation] = field(default_factory=dict)
    """What it said of those whose marks were asked for; the marks name their mistakes in that order."""

    def __iter__(self) -> Iterator[Marked]:
        """Marks in order of student."""
        for student in self.students:
            yield self.of(student)

    @cached_property
    def students(self) -> list[str]:
        """Ids of everybody who has marks, in order."""
        marked = [student for student, entry in self.section.counted.items() if entry.marked]
        return sorted({*marked, *self.absent}, key=by_id)

    def of(self, student: str) -> Marked:
        """The marks of one student."""
        marked = self._decided(student)
        if student not in self.explanations:
            self.explanations[student] = self.explain(student, observations_of(marked.marks))
        return with_explanation(marked, self.explanations[student])

    def _decided(self, student: str) -> Marked:
        entry = self.section.counted.get(student)
        marked = self.absent.get(student)
        if marked is None and entry is not None and entry.place is not None:
            marked = self.journal.marked(entry.place)
        if marked is None:
            raise KeyError(student)
        return decided(replace(marked, student=student), self.decisions)

    def explained(self, predictions: Predictions) -> "Graded":
        """The same with every student's answers explained together, once the whole class is known."""

        def evidence(student: str) -> list[Observation]:
            return observations_of(self._decided(student).marks)

        return replace(self, explain=explaining(self.students, evidence, predictions))

    def about(self, student: str) -> Student:
        """The roster's line of a student, or what is known without one."""
        found = self.roster.student(student) if self.roster is not None else None
        return found or Student(id=student)
