"""What a run says at its end."""

from collections import Counter
from pathlib import Path

from msgspec import Struct

from grader.run.collect import COUNTED, IGNORED, NO_STUDENT, SUPERSEDED, UNREADABLE
from grader.run.graded import Graded
from grader.run.write import Figures

STATES = (COUNTED, SUPERSEDED, NO_STUDENT, UNREADABLE, IGNORED)


class Summary(Struct, frozen=True, kw_only=True):
    """A run in figures."""

    students: int
    """Students with marks."""
    missing: int
    """Students of the roster without."""
    mean: float | None
    """Mean share of the points, 0 to 1; None without students or points."""
    lowest: tuple[tuple[str, float], ...]
    """``problem.item`` with its share of the points, the lowest first; none that waits to be marked."""
    files: dict[str, int]
    """How many uploads became what."""
    waiting: int
    """Rows of the review list that wait for a person."""
    unmarked: int
    """Answers that nobody has marked yet; ``mean`` and ``lowest`` leave them out."""
    decided: int
    """Marks that a person decided."""
    blank: int
    """Uploads that count and hold no answer at all."""
    others: int
    """Uploads that wait because answers in them are right with somebody else's values."""
    changed: tuple[int, int] | None
    """Marks changed since the run before, and of how many students; None without one, or with the same inputs."""
    reused: int
    """Uploads whose marks an earlier run had left."""
    review: Path


def summary_of(
    graded: Graded,
    figures: Figures,
    *,
    changed: tuple[int, int] | None,
    reused: int,
    review: Path,
) -> Summary:
    """Put the figures of a run together."""
    shares = [
        (".".join(pair), awarded / possible)
        for pair, (awarded, possible) in figures.items.items()
        if possible and pair not in figures.unfinished
    ]
    found = Counter(fate.state for fate in graded.section.fates)
    marked = set(graded.students)
    listed = graded.roster.students if graded.roster is not None else ()
    return Summary(
        students=figures.students,
        missing=sum(student.id not in marked for student in listed),
        mean=figures.awarded / figures.possible if figures.possible else None,
        lowest=tuple(sorted(shares, key=lambda share: (share[1], share[0]))),
        files={state: found.get(state, 0) for state in STATES},
        waiting=figures.waiting,
        unmarked=figures.unmarked,
        decided=figures.decided,
        blank=figures.blank,
        others=figures.others,
        changed=changed,
        reused=reused,
        review=review,
    )
