"""Wrong answers that several students share: what no mistake of the catalogue explains, and what is rare."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from grader.marking.classmates import TO_EVERY_DIGIT
from grader.reports.audit_records import Cluster, Elsewhere, Line, Shared
from grader.reports.audit_wrong import is_wrong

SAME = 0.005
"""Values this close (as a share) count as one answer: three digits, rounded or cut off."""

RARE_STUDENTS = 3
"""At most so many students share an answer that is called rare..."""

RARE_SHARE = 0.1
"""...and at most this share of the class (both: common practice, no source)."""


def clusters_of(lines: Sequence[Line]) -> tuple[Cluster, ...]:
    """Unexplained wrong answers shared by at least two students, the largest groups first."""
    clusters = []
    for key, group in _groups(line for line in lines if not line.mark.mistakes):
        students = tuple(sorted({line.student for line in group}))
        if len(students) < 2:
            continue
        answer = _commonest(group)
        clusters.append(Cluster(item=key, answer=answer, students=students, known_wrong=known_wrong_line(answer)))
    return tuple(sorted(clusters, key=lambda c: (-len(c.students), c.item, c.answer)))


def known_wrong_line(answer: str) -> str:
    """What to paste below the item in the rubric; a JSON string is a TOML basic string, too."""
    return f'known_wrong = [{{ answer = {toml_string(answer)}, share = 0.0, comment = "" }}]'


def toml_string(text: str) -> str:
    """Quote a text for TOML (v1.0, basic strings)."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _groups(lines: Iterable[Line]) -> Iterator[tuple[str, list[Line]]]:
    """Wrong answers of one item that say the same: by value, or by their text where they have none."""
    valued: dict[str, list[tuple[float, Line]]] = defaultdict(list)
    worded: dict[tuple[str, str], list[Line]] = defaultdict(list)
    for line in lines:
        if not is_wrong(line.mark):
            continue
        if line.mark.reading_value is not None:
            valued[line.key].append((line.mark.reading_value, line))
        else:
            text = "".join((line.mark.reading or line.mark.answer).split())
            worded[line.key, text].append(line)
    for key, pairs in valued.items():
        pairs.sort(key=lambda pair: pair[0])
        start = 0
        for end in range(1, len(pairs) + 1):
            if end == len(pairs) or not _same(pairs[start][0], pairs[end][0]):
                yield key, [line for _, line in pairs[start:end]]
                start = end
    for (key, _), group in worded.items():
        yield key, group


def _same(one: float, other: float) -> bool:
    return abs(other - one) <= SAME * max(abs(one), abs(other))


def _commonest(group: Iterable[Line]) -> str:
    counts = Counter(line.mark.answer.strip() for line in group)
    return min(counts, key=lambda answer: (-counts[answer], len(answer), answer))


def shared_of(lines: Sequence[Line], class_size: int) -> tuple[Shared, ...]:
    """Groups of a few students with at least two identical rare wrong answers.

    An answer that a mistake explains is no sign of anything: many arrive at it.  The same holds for 0 and for
    values of a single digit.
    """
    answers: dict[tuple[str, ...], list[tuple[str, str]]] = defaultdict(list)
    few = min(RARE_STUDENTS, max(2, int(RARE_SHARE * class_size)))
    for key, group in _groups(line for line in lines if not line.mark.mistakes):
        students = tuple(sorted({line.student for line in group}))
        answer = _commonest(group)
        if 2 <= len(students) <= few and sum(character.isdigit() for character in answer.strip("0.")) > 1:
            answers[students].append((key, answer))
    rows = [Shared(students, tuple(sorted(same))) for students, same in answers.items() if len(same) > 1]
    return tuple(sorted(rows, key=lambda row: (-len(row.answers), row.students)))


def elsewhere_of(lines: Iterable[Line]) -> tuple[Elsewhere, ...]:
    """Wrong answers that marking found to be right with other personal values."""
    return tuple(
        Elsewhere(line.student, line.key, line.mark.answer.strip(), note)
        for line in lines
        for note in line.mark.notes
        if line.personal and note.startswith(TO_EVERY_DIGIT)
    )
