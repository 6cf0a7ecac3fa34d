"""The ideas of a class: who holds each, of how many whom it would have shown, what it cost, and whom to bring together."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from msgspec.structs import replace

from grader.ideas.catalogue import idea_of, ideas
from grader.ideas.records import Explanation, HeldIdea
from grader.marking.credit import percent
from grader.mistakes.records import TOGETHER
from grader.reports.audit_clusters import commonest, same_answers
from grader.reports.audit_records import Answer, ClassAudit, Example, IdeaCourse, IdeaFigures, Pair, Rate
from grader.reports.faults import described
from grader.reports.statistics import interval

EXAMPLES = 4
"""Answers that are shown of an idea."""

SURE = 0.95
"""Probability from which a student is not called unsure."""

PAIRS = 20
"""Pairs that are proposed for one idea."""

IdeaKey = tuple[str, ...]
"""An idea, and those that the class's answers cannot tell from it."""


def idea_title(key: IdeaKey) -> str:
    """The name of an idea; "A, or: B" where the answers fit both."""
    return ", or: ".join(ideas()[id].title for id in key if id in ideas())


class Held(NamedTuple):
    """Who holds each idea, and to which one the points of an answer go (by student and ``problem.item``)."""

    holders: Mapping[IdeaKey, Mapping[str, HeldIdea]]
    owners: Mapping[tuple[str, str], IdeaKey]


def held_by(explanations: Mapping[str, Explanation]) -> Held:
    """Who holds what; points go to one idea only, the surest that shows in the answer.

    Students whose answers fit two ideas are counted with the one that more of the class hold beyond doubt, where only
    one is such.
    """
    told = _told_apart(Counter((idea.id, *sorted(idea.others)) for one in explanations.values() for idea in one.ideas))
    holders: dict[IdeaKey, dict[str, HeldIdea]] = defaultdict(dict)
    owners: dict[tuple[str, str], IdeaKey] = {}
    for student, explanation in explanations.items():
        for idea in explanation.ideas:
            key = told[idea.id, *sorted(idea.others)]
            holders[key][student] = idea
            for problem, item in idea.shown:
                owners.setdefault((student, f"{problem}.{item}"), key)
    return Held(holders, owners)


def idea_figures(
    explanations: Mapping[str, Explanation], held: Held, answers: Iterable[Answer]
) -> tuple[IdeaFigures, ...]:
    """Every idea that somebody seems to hold, the costliest first."""
    shown: dict[IdeaKey, list[Answer]] = defaultdict(list)
    for answer in answers:
        place = held.owners.get((answer.student, answer.key))
        if place is not None and answer.wrong:
            shown[place].append(answer)
    figures = [_figures(key, own, shown[key], explanations) for key, own in held.holders.items()]
    return tuple(sorted(figures, key=lambda f: (-round(f.lost, 6), -len(f.students), f.id)))


def _told_apart(counts: Mapping[IdeaKey, int]) -> dict[IdeaKey, IdeaKey]:
    """What each idea, or two that look alike, is counted as, by how many hold it."""
    found = {}
    for key, count in counts.items():
        known = [id for id in key if counts.get((id,), 0) > count]
        found[key] = (known[0],) if len(key) > 1 and len(known) == 1 else key
    return found


def _figures(
    key: IdeaKey, held: Mapping[str, HeldIdea], answers: Sequence[Answer], explanations: Mapping[str, Explanation]
) -> IdeaFigures:
    testable = {student for student, one in explanations.items() if set(key) & {*one.testable}} | {*held}
    first = ideas().get(key[0])
    return _told_of(
        answers,
        id=key[0],
        title=idea_title(key),
        belief=first.belief if first is not None else "",
        say=first.say if first is not None else "",
        ask=first.ask if first is not None else "",
        students=tuple(sorted(held)),
        unsure=sum(idea.probability < SURE for idea in held.values()),
        rate=Rate(len(held), len(testable), *interval(len(held), len(testable))),
    )


def _told_of(answers: Sequence[Answer], **words: Any) -> IdeaFigures:
    by_item = Counter(answer.key for answer in answers)
    pooled = [
        Example(place, commonest(group), len({answer.student for answer in group}))
        for place, group in same_answers(answers)
    ]
    pooled.sort(key=lambda example: (-example.students, example.item, example.answer))
    return IdeaFigures(
        lost=sum(answer.lost for answer in answers),
        items=tuple(sorted(by_item.items(), key=lambda pair: (-pair[1], pair[0]))),
        examples=tuple(pooled[:EXAMPLES]),
        **words,
    )


def topics(
    figures: Sequence[IdeaFigures], held: Held, answers: Iterable[Answer], students: int
) -> tuple[IdeaFigures, ...]:
    """What could be told the class, what it has most of first: the ideas, and what else at least two lost points to.

    That is the same mistake, made by students without the idea behind it, a unit or figures alone, or an item whose wrong
    answers nothing explains.
    """
    known = {figure.id for figure in figures}
    others: dict[str, list[Answer]] = defaultdict(list)
    for answer in answers:
        if answer.fault:
            others[answer.fault].append(answer)
        elif (answer.student, answer.key) not in held.owners and not answer.decided:
            id = answer.mistakes[0].split(TOGETHER)[0] if answer.mistakes else answer.key
            others[idea if (idea := idea_of(id)) in known else id].append(answer)
    found = [_with_slips(figure, others.pop(figure.id, [])) for figure in figures]
    for id, group in others.items():
        who = tuple(sorted({answer.student for answer in group}))
        if len(who) > 1:
            said, rate = described(id), Rate(len(who), students, *interval(len(who), students))
            unknown = ("", UNEXPLAINED, "") if id == group[0].key else (id, NOT_KNOWN, "")
            words = unknown if said is None else (said.title, said.idea, said.nudge)
            texts = dict(zip(("title", "belief", "ask"), words, strict=True))
            found.append(_told_of(group, id=id, **texts, say="", students=who, unsure=0, rate=rate, tested=False))
    return tuple(sorted(found, key=lambda topic: (-round(topic.weight, 6), topic.id)))


def _with_slips(figure: IdeaFigures, slips: Sequence[Answer]) -> IdeaFigures:
    """An idea with what its mistakes cost those who made one without holding it."""
    also = {answer.student for answer in slips} - {*figure.students}
    return replace(figure, lost=figure.lost + sum(answer.lost for answer in slips), also=tuple(sorted(also)))


UNEXPLAINED = (
    "Wrong answers that no mistake explains: work it through on the board, or ask one of them how they went about it."
)
"""Of an item."""

NOT_KNOWN = "These marks name a mistake that is not known any more: mark the section again, and it is explained anew."


def pairs(explanations: Mapping[str, Explanation], figures: Sequence[IdeaFigures], most: int) -> tuple[Pair, ...]:
    """Holders of the costliest ideas, each beside a student who has shown not to hold it; everybody once."""
    taken: set[str] = set()
    found: list[Pair] = []
    for idea in figures[:most]:
        clear = [
            student
            for student, one in sorted(explanations.items())
            if idea.id in one.testable and student not in idea.students and not _touched(one, idea.id)
        ]
        for student in idea.students[:PAIRS]:
            partner = next((other for other in clear if other not in taken), None)
            if student not in taken and partner is not None:
                taken |= {student, partner}
                found.append(Pair(idea.title, student, partner))
    return tuple(found)


def _touched(explanation: Explanation, idea: str) -> bool:
    held = {id for one in explanation.ideas for id in (one.id, *one.others)}
    once = {idea_of(id) for _, double in explanation.slips for id in double.split(TOGETHER)}
    return idea in held | once


def how_sure(explanations: Mapping[str, Explanation]) -> str:
    """How far the names can be trusted, in a sentence that holds for this class; "" where none was named."""
    said = [idea.probability for one in explanations.values() for idea in one.ideas]
    if not said:
        return ""
    named = "An idea is named where a student's whole sheet, right answers included, makes it likelier than not: "
    if len(said) == 1:
        chance = percent(round(said[0], 2))
        return f"{named}once here, with a probability of {chance}. Ask the student before you say it."
    surely, wrong = sum(probability >= SURE for probability in said), round(sum(1 - p for p in said))
    mistaken = f"About {wrong if wrong > 1 else 'one'} of them will be wrong" if wrong else "Even these can be wrong"
    return (
        f"{named}{len(said)} times here, {surely} of them with a probability of at least {percent(SURE)}. "
        f"{mistaken}, so ask a student before you say it."
    )


def idea_courses(classes: Sequence[ClassAudit]) -> tuple[IdeaCourse, ...]:
    """Over several results folders: every idea with its rate in each among those who are in all, those that stayed first.

    Where nobody is in all of them each has its own students.
    """
    together = frozenset.intersection(*(of_class.ids for of_class in classes))
    names: dict[str, str] = {}
    rates: dict[str, list[Rate | None]] = {}
    for place, of_class in enumerate(classes):
        for figures in of_class.ideas:
            names[figures.id] = ideas()[figures.id].title
            own = rates.setdefault(figures.id, [None] * len(classes))
            before, rate = own[place], _among(figures.students, of_class, figures.id, together)
            own[place] = rate if before is None or (rate is not None and before.held < rate.held) else before
    for id, own in rates.items():
        for place, of_class in enumerate(classes):
            if own[place] is None:
                own[place] = _among((), of_class, id, together)
    held = {id: own for id, own in rates.items() if any(rate is not None and rate.held for rate in own)}
    rows = [IdeaCourse(id, names[id], tuple(own), _change(own)) for id, own in held.items()]
    order = {"stayed": 0, "new": 1, "gone": 2, "not asked": 3}
    return tuple(sorted(rows, key=lambda row: (order[row.change], -_last(row.rates), row.id)))


def _among(holders: Iterable[str], of_class: ClassAudit, id: str, together: frozenset[str]) -> Rate | None:
    """How many of some students hold an idea; None where it would have shown in none of them."""
    whom = together or of_class.ids
    held = whom.intersection(holders)
    of = len(whom & of_class.testable.get(id, frozenset()) | held)
    return Rate(len(held), of, *interval(len(held), of)) if of else None


def _change(rates: Sequence[Rate | None]) -> str:
    if rates[-1] is None:
        return "not asked"
    if not rates[-1].held:
        return "gone"
    return "new" if all(rate is None or not rate.held for rate in rates[:-1]) else "stayed"


def _last(rates: Sequence[Rate | None]) -> int:
    return next((rate.held for rate in reversed(rates) if rate is not None), 0)
