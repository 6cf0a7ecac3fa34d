"""Wrong answers that several students share: what no mistake of the catalogue explains, and what is rare."""

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from grader.reports.audit_records import Answer, Cluster, Shared

SAME = 0.005
"""Values this close (as a share) count as one answer: three digits, rounded or cut off."""

RARE_STUDENTS = 3
"""At most so many students share an answer that is called rare..."""

RARE_SHARE = 0.1
"""...and at most this share of the class (both: common practice, no source)."""


def clusters_of(answers: Iterable[Answer]) -> tuple[Cluster, ...]:
    """Of unexplained wrong answers those shared by at least two students, the largest groups first."""
    clusters = []
    for key, group in same_answers(answers):
        students = tuple(sorted({answer.student for answer in group}))
        if len(students) < 2:
            continue
        answer = commonest(group)
        clusters.append(Cluster(item=key, answer=answer, students=students, known_wrong=known_wrong_line(answer)))
    return tuple(sorted(clusters, key=lambda c: (-len(c.students), c.item, c.answer)))


def known_wrong_line(answer: str) -> str:
    """What to paste below the item in the rubric; a JSON string is a TOML basic string, too."""
    return f'known_wrong = [{{ answer = {toml_string(answer)}, share = 0.0, comment = "" }}]'


def toml_string(text: str) -> str:
    """Quote a text for TOML (v1.0, basic strings)."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def same_answers(answers: Iterable[Answer]) -> Iterator[tuple[str, Sequence[Answer]]]:
    """Answers to one item that say the same: by value, or by their text where they have none."""
    valued: dict[str, list[tuple[float, Answer]]] = defaultdict(list)
    worded: dict[tuple[str, str], list[Answer]] = defaultdict(list)
    for answer in answers:
        if answer.value is not None:
            valued[answer.key].append((answer.value, answer))
        else:
            worded[answer.key, answer.words].append(answer)
    for key, pairs in valued.items():
        pairs.sort(key=lambda pair: pair[0])
        start = 0
        for end in range(1, len(pairs) + 1):
            if end == len(pairs) or not _same(pairs[start][0], pairs[end][0]):
                yield key, [answer for _, answer in pairs[start:end]]
                start = end
    for (key, _), group in worded.items():
        yield key, group


def _same(one: float, other: float) -> bool:
    return abs(other - one) <= SAME * max(abs(one), abs(other))


def commonest(group: Iterable[Answer]) -> str:
    """The way of writing that most of a group chose."""
    counts = Counter(answer.text for answer in group)
    return min(counts, key=lambda text: (-counts[text], len(text), text))


def shared_of(answers: Iterable[Answer], class_size: int) -> tuple[Shared, ...]:
    """Groups of a few students with at least two identical rare wrong answers that no mistake explains.

    An answer that a mistake explains is no sign of anything: many arrive at it.  The same holds for 0 and for
    values of a single digit.
    """
    same: dict[tuple[str, ...], list[tuple[str, str]]] = defaultdict(list)
    few = min(RARE_STUDENTS, max(2, int(RARE_SHARE * class_size)))
    for key, group in same_answers(answers):
        students = tuple(sorted({answer.student for answer in group}))
        text = commonest(group)
        if 2 <= len(students) <= few and sum(character.isdigit() for character in text.strip("0.")) > 1:
            same[students].append((key, text))
    rows = [Shared(students, tuple(sorted(shared))) for students, shared in same.items() if len(shared) > 1]
    return tuple(sorted(rows, key=lambda row: (-len(row.answers), row.students)))
