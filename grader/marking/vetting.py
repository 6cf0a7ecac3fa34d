"""What `vet` asks of the marking: whether the hand-worked key is right, and which mistakes an item cannot show.

Every key is read and judged as a student's answer is.
"""

from collections.abc import Iterator

from grader.ideas.catalogue import facet_of, facets, ideas
from grader.jobs.helper import Overran
from grader.marking.against import judge_answer
from grader.marking.interpretation import Interpretation, Unreadable
from grader.marking.itemkey import KEY_IS_ANSWER, ItemKey
from grader.marking.judgement import Judgement, Size, UnitVerdict
from grader.marking.key import Key
from grader.marking.understand import understand
from grader.mistakes.catalogue import catalogue
from grader.mistakes.numeric_form import NumericForm
from grader.mistakes.records import REPORTED
from grader.problem import Item
from grader.quantities import Answer
from grader.rubric.soundness import Remark
from grader.uploads.upload import Written
from grader.values.comparison import FractionComparison
from grader.values.scalar import to_float
from grader.values.text import listed, number_text
from grader.values.waveform import Waveform, number_of

EXACT = 0.005
"""A key this near (as a share) counts as the same value rounded to three significant digits."""


def check_keys(key: Key) -> tuple[Remark, ...]:
    """A remark for every key that differs from the solver's answer, saying how."""
    return tuple(
        Remark(where=f"problem '{problem.id}', item '{item.id}'", sentence=sentence, wrong=wrong)
        for problem in key.rubric.problems
        for item in problem.items
        if item.key is not None and item.find not in KEY_IS_ANSWER
        for wrong, sentence in _on_key(key, item, key.item(problem.id, item.id))
    )


def hidden_mistakes(key: Key) -> tuple[Remark, ...]:
    """A remark for every item whose right answer a mistake that is often reported leads to as well."""
    return tuple(
        Remark(where=f"{problem.id}.{item.id}", sentence=f"{'; '.join(titles)}.")
        for problem in key.rubric.problems
        for item in problem.items
        if (titles := _hidden(key, problem.id, item.id))
    )


def _hidden(key: Key, problem: str, item: str) -> list[str]:
    found = [catalogue()[id] for id in key.diagnoser.hidden(problem, item)]
    return [mistake.title for mistake in found if mistake.prior >= REPORTED]


def ideas_not_told_apart(key: Key) -> tuple[Remark, ...]:
    """A remark for every two ideas that lead to the same wrong answers in all items: nobody's sheet can tell them apart."""
    leads_to: dict[int, set[tuple[str, str, NumericForm]]] = {}
    for (problem, item), table in sorted(key.diagnoser.tables.items()):
        for row in table.rows:
            if row.id in facet_of():
                leads_to.setdefault(facet_of()[row.id], set()).add((problem, item, row.form))
    alike: dict[frozenset[tuple[str, str, NumericForm]], dict[str, None]] = {}
    for place in sorted(leads_to):
        alike.setdefault(frozenset(leads_to[place]), {}).setdefault(ideas()[facets()[place].idea].title)
    return tuple(
        Remark(where=key.rubric.title, sentence=f"No item tells these apart: {'; '.join(titles)}.")
        for titles in alike.values()
        if len(titles) > 1
    )


def reading_of(key: Key, problem: str, item: Item) -> Answer | None:
    """What an item's own key says with the values of the problem; None where it cannot be read."""
    try:
        understood = _understood(key.item(problem, item.id), item)
    except Overran:
        return None
    return None if understood is None or isinstance(understood, Unreadable) else understood[0].answer


def _understood(entry: ItemKey, item: Item) -> tuple[Interpretation, ...] | Unreadable | None:
    found = understand(entry, Written(problem=entry.problem, item=entry.id, text=item.key or ""), {})
    return tuple(found) if isinstance(found, Iterator) else found


def _on_key(key: Key, item: Item, entry: ItemKey) -> Iterator[tuple[bool, str]]:
    right = entry.reference.text
    try:
        understood = _understood(entry, item)
    except Overran:
        yield True, f"the key '{item.key}' takes too long to work out; write it as a sum of terms."
        return
    if understood is None or isinstance(understood, Unreadable):
        reason = "nothing is written there" if understood is None else understood.sentence.rstrip(".")
        yield True, f"the key '{item.key}' cannot be read ({reason}); the solver finds {right}."
        return
    judged = [(taken, judge_answer(entry, taken, entry.reference.answer, EXACT)) for taken in understood]
    taken, judgement = max(judged, key=lambda pair: (pair[1].merit, -pair[0].rank))
    if judgement.size is Size.RIGHT:
        if judgement.unit is UnitVerdict.MISSING and entry.marking.units == "required":
            yield _without_unit(item, entry, taken)
        if judgement.unit is UnitVerdict.OTHER:
            yield True, f"the key '{item.key}' has a unit of another kind; the solver finds {right}."
        return
    tolerated = judge_answer(entry, taken, entry.reference.answer, entry.marking.tolerance).size is Size.RIGHT
    sentence = f"the key says '{item.key}', the solver finds {right}: {_difference(judgement, taken, entry)}"
    if tolerated:
        yield False, f"{sentence} (within the tolerance; rounded on the way?)."
    else:
        yield True, f"{sentence}.{_explained(key, entry, taken)}"


def _without_unit(item: Item, entry: ItemKey, taken: Interpretation) -> tuple[bool, str]:
    """A key whose unit is to be guessed: as it stands it may be another value."""
    values = [x for x in (taken.answer, entry.reference.answer) if isinstance(x, Waveform) and not x.is_symbolic]
    if len(values) == 2 and all(value.is_constant and value.terms for value in values):
        written, right = (to_float(number_of(value)) for value in values)
        if abs(written / right - 1) > entry.marking.tolerance:
            alone = f"{item.key} {entry.reference.unit}"
            return (
                True,
                f"the key '{item.key}' has no unit and would be {alone}; the solver finds {entry.reference.text}.",
            )
    return False, f"the key '{item.key}' has no unit; the solver finds {entry.reference.text}."


def _difference(judgement: Judgement, taken: Interpretation, entry: ItemKey) -> str:
    """Where and by how much they differ, in a few words."""
    if judgement.size is Size.SIGN:
        return "the sign is the other one"
    if judgement.size is Size.POWER_OF_TEN:
        return f"a factor of 10^{judgement.exponent}"
    comparison = judgement.comparison
    if comparison is None:
        return _off_by(taken.answer, entry.reference.answer)
    if isinstance(comparison, FractionComparison):
        wrong = [name for name, agrees in comparison._asdict().items() if not agrees]
        return f"the {listed(wrong)} {'differs' if wrong == ['gain'] else 'differ'}"
    right = entry.reference.answer
    settles = not isinstance(right, Waveform) or right.limit() is not None
    held = {
        "initial value": comparison.initial,
        ("final value" if settles else "forced part"): comparison.final,
        "time constant": comparison.rates,
        "form": comparison.form,
    }
    if isinstance(right, Waveform) and any(t.frequency for t in right.terms):
        held["frequency"] = comparison.frequencies
    wrong = [name for name, agrees in held.items() if not agrees]
    if not wrong:
        return "the constants differ"
    return f"the {listed(wrong)} {'differs' if len(wrong) == 1 else 'differ'}"


def _off_by(given: Answer, right: Answer) -> str:
    numbers = [
        to_float(number_of(one))
        for one in (given, right)
        if isinstance(one, Waveform) and one.is_constant and not one.is_symbolic
    ]
    if len(numbers) < 2:
        return "they differ"
    if not numbers[1]:
        return "it is not zero"
    ratio = numbers[0] / numbers[1]
    if not 0 <= ratio <= 2:
        return f"{number_text(ratio, 3)} times as large"
    return f"{abs(ratio - 1):.2%} {'more' if ratio > 1 else 'less'}"


def _explained(key: Key, entry: ItemKey, taken: Interpretation) -> str:
    """The mistake that would lead to the key, if one does."""
    diagnosis = key.diagnoser.diagnose(entry.problem, entry.id, taken.answer, digits=taken.digits)
    titles = [
        catalogue()[id].title for candidate in diagnosis.candidates[: max(diagnosis.tied, 1)] for id in candidate.ids
    ]
    return f" This would come from: {' or '.join(dict.fromkeys(titles))}." if titles else ""
