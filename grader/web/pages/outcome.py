"""Attempts and rules in the words of the pages; decides nothing."""

from collections.abc import Callable, Sequence
from datetime import datetime

from grader.marking.marks import Marked
from grader.reports.wording import out_of
from grader.web.data.records import Attempt
from grader.web.rules import Rules, counting, span
from grader.web.site import Result


def result_text(marked: Marked) -> str:
    """How much was earned: ``"7.5 of 12 points"``."""
    return out_of(marked.total, marked.possible)


def history(rules: Rules, results: Sequence[Result]) -> list[dict[str, object]]:
    """A line for each attempt, oldest first."""
    kept = counting(rules, results)
    return [
        {
            "id": result.attempt.id, "number": result.attempt.number, "at": result.at,
            "result": result_text(result.marked), "counts": result is kept,
            "decided": sum(bool(mark.decision) for mark in result.marked.marks),
        }
        for result in results
    ]  # fmt: skip


def decided_text(results: Sequence[Result]) -> str:
    """How many answers the instructor decided, over all attempts at a sheet; "" where none."""
    count = len({mark.place for result in results for mark in result.marked.marks if mark.decision})
    return f"Your instructor decided {'one answer' if count == 1 else f'{count} answers'}." if count else ""


def changes(marked: Marked, before: Marked) -> dict[tuple[str, str], float]:
    """Points won or lost by item since an earlier attempt, where they are not the same."""
    earlier = {mark.place: mark.awarded for mark in before.marks}
    found = {mark.place: mark.awarded - earlier.get(mark.place, 0.0) for mark in marked.marks}
    return {place: points for place, points in found.items() if points}


def counts_text(attempt: Attempt, kept: Attempt | None) -> str:
    """Which attempt counts now, said on the page of one."""
    if kept is None:
        return ""
    if kept.id == attempt.id:
        return "This attempt counts."
    return f"Attempt {kept.number} counts."


def rules_text(rules: Rules, local_time: Callable[[datetime], str]) -> str:
    """The rules of attempts in a few sentences."""
    sentences = []
    if rules.due is not None:
        sentences.append(f"Due {local_time(rules.due)}.")
    if rules.attempts is None:
        sentences.append("Any number of attempts.")
    else:
        sentences.append(f"{_count(rules.attempts, 'attempt')} in all.")
    if rules.attempts != 1:
        sentences.append("The best one counts." if rules.keep == "best" else "The last one counts.")
    if rules.wait:
        sentences.append(f"Between two attempts {span(rules.wait)} must pass.")
    return " ".join(sentences)


def made_text(rules: Rules, made: int, *, over: bool = False) -> str:
    """How many attempts were made, and how many are left, unless it is over."""
    done = "You have made no attempt yet." if made == 0 else f"You have made {_count(made, 'attempt')}."
    if rules.attempts is None or over:
        return done
    left = max(0, rules.attempts - made)
    return f"{done} {left or 'None'} left." if made else done


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
