"""Ideas inferred from whole uploads: students who are known, in classes that were not looked at when it was written."""

import random
from collections import Counter
from functools import cache

import pytest

from grader.ideas.catalogue import ideas
from grader.ideas.evidence import visible_of
from grader.ideas.explain import explained, explained_alone
from grader.ideas.records import FOLLOWED, RIGHT, WRONG, Observation, Prediction
from grader.marking.beliefs import observations_of, predictions_of, with_explanation
from grader.marking.key import build_key
from grader.marking.mark import mark_upload
from grader.rubric.files import read_rubric
from grader.uploads.upload import Upload, Written

from .students import IDEAS, section, upload

IN_THE_CATALOGUE = {
    "storage-dc": "dc-roles", "starts-empty": "starts-empty", "state-jumps": "state-jumps",
    "nothing-jumps": "what-is-held", "switch-backwards": "switch-backwards", "old-circuit": "old-circuit",
    "all-added": "series-parallel", "all-parallel": "series-parallel", "source-opened": "sources-off",
    "tau-inverted": "time-constant-of", "rate-for-time": "rate-for-time", "five-tau": "time-constant-means",
    "dies-to-zero": "dies-to-zero", "ends-exchanged": "general-form", "grows": "exponent", "energy-half": "energy",
}  # fmt: skip
"""What the ideas of the invented students are called in the catalogue."""


@cache
def marked_class(seed, size):
    _, rubric, students = section(seed, size)
    key = build_key(rubric)
    return students, {one.id: mark_upload(key, upload(one)) for one in students}, predictions_of(key)


@cache
def class_explained(seed, size):
    _, marked, predictions = marked_class(seed, size)
    return explained(marked, lambda one: observations_of(marked[one].marks), predictions)


def planted(student):
    """Ideas that show in two or more answers."""
    return {IN_THE_CATALOGUE[idea] for idea in student.ideas if len(student.shown[idea]) >= 2}


def figures(seed, size):
    """Ideas named first, ideas planted, students falsely accused, students without an idea, and the confusion."""
    students, _, _ = marked_class(seed, size)
    found = class_explained(seed, size)
    first, there, accused, innocent = 0, 0, 0, 0
    confusion = Counter()
    for one in students:
        lasting, named = planted(one), [idea.id for idea in found[one.id].ideas]
        there += len(lasting)
        ahead = set(named[: len(lasting)])
        first += len(lasting & ahead)
        confusion += Counter((idea, " + ".join(named) or "nothing") for idea in lasting - ahead)
        innocent += not one.ideas
        accused += not one.ideas and bool(named)
    return first, there, accused, innocent, confusion


def off(seed, size):
    """By how much the audit's counts of students differ from what was planted, over all ideas, as a share."""
    students, _, _ = marked_class(seed, size)
    there = Counter(idea for one in students for idea in planted(one))
    counted = Counter(idea.id for one in class_explained(seed, size).values() for idea in one.ideas)
    return sum(abs(there[id] - counted[id]) for id in there | counted) / there.total()


def test_a_class_is_explained():
    """Held-out: the seed was used for nothing else."""
    first, there, accused, innocent, confusion = figures(901, 120)
    print(f"first {first} of {there}; accused {accused} of {innocent}; counts off by {off(901, 120):.1%}")
    print(*confusion.most_common(), sep="\n")
    assert first >= 0.9 * there
    assert accused <= 0.02 * innocent
    assert off(901, 120) <= 0.12


@pytest.mark.nightly
def test_large_classes_are_explained_and_the_probabilities_hold():
    """Over several held-out classes: named first, nobody accused, counts right, calibration (printed as a table)."""
    first = there = accused = innocent = 0
    confusion, said = Counter(), []
    worst = 0.0
    for seed in (921, 922, 923, 924):
        one = figures(seed, 200)
        first, there, accused, innocent = first + one[0], there + one[1], accused + one[2], innocent + one[3]
        confusion += one[4]
        worst = max(worst, off(seed, 200))
        students, _, _ = marked_class(seed, 200)
        for student in students:
            own = {IN_THE_CATALOGUE[idea] for idea in student.ideas}
            said += [
                (idea.probability, bool({idea.id, *idea.others} & own))
                for idea in class_explained(seed, 200)[student.id].ideas
            ]
    print(f"first {first} of {there} ({first / there:.1%}); accused {accused} of {innocent}; worst count {worst:.1%}")
    print(*confusion.most_common(), sep="\n")
    for low, high in ((0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 0.99), (0.99, 1.01)):
        held = [is_there for probability, is_there in said if low <= probability < high]
        print(f"{low:.2f} to {high:.2f}: {sum(held)} of {len(held)} {'#' * round(40 * sum(held) / max(len(held), 1))}")
    assert first >= 0.95 * there
    assert accused <= 0.01 * innocent
    assert worst <= 0.10
    near = [is_there for probability, is_there in said if 0.85 <= probability < 0.95]
    assert 0.85 <= sum(near) / len(near) <= 1.0


def test_the_order_of_students_and_of_predictions_changes_nothing():
    students, marked, predictions = marked_class(901, 120)
    rng = random.Random(5)
    shuffled = rng.sample(students, len(students))
    evidence = {one.id: observations_of(marked[one.id].marks) for one in shuffled}
    again = {item: dict(rng.sample(sorted(own.items()), len(own))) for item, own in predictions.items()}
    assert explained(evidence, evidence.__getitem__, again) == class_explained(901, 120)


def test_points_do_not_move_and_mistakes_of_the_idea_stand_first():
    students, marked, _ = marked_class(901, 120)
    touched = 0
    for one in students:
        explanation = class_explained(901, 120)[one.id]
        after = with_explanation(marked[one.id], explanation)
        for old, new in zip(marked[one.id].marks, after.marks, strict=True):
            assert (old.awarded, old.verdict, sorted(old.mistakes)) == (new.awarded, new.verdict, sorted(new.mistakes))
            touched += old.mistakes != new.mistakes
        asked = Counter((mark.problem, question) for mark in after.marks for question in mark.nudges)
        own = {ideas()[idea.id].nudge for idea in explanation.ideas}
        assert all(count <= 1 for (_, question), count in asked.items() if question in own)
    assert touched > 0


# -- one student, by hand ------------------------------------------------------------------------------

TAU, SEEN, START = ("p", "tau"), ("p", "seen"), ("p", "start")
ONE = Prediction(1, ruled=True)


def wrong(item, *mistakes, tied=1):
    return Observation(item, WRONG, mistakes, tied, exact=True)


def alone(*observations, **predictions):
    table = {("p", item): dict.fromkeys(ids, ONE) for item, ids in predictions.items()}
    return explained_alone("S", observations, visible_of(table))


BACKWARDS, OLD = "switch-read-backwards", "resistance-before-switching"


def test_right_answers_refute_the_idea_that_would_have_changed_them():
    """A wrong resistance fits a reversed switch and the old circuit alike; the right start value decides."""
    shows = {"seen": (BACKWARDS, OLD), "start": (BACKWARDS,)}
    tie = wrong(SEEN, BACKWARDS, OLD, tied=2)
    undecided = alone(tie, **shows)
    assert {undecided.ideas[0].id, *undecided.ideas[0].others} == {"switch-backwards", "old-circuit"}
    decided = alone(tie, Observation(START, RIGHT), **shows)
    assert (decided.ideas[0].id, decided.ideas[0].others, decided.ideas[0].shown) == ("old-circuit", (), (SEEN,))


def test_an_item_where_the_idea_changes_nothing_is_no_evidence():
    tie = wrong(SEEN, BACKWARDS, OLD, tied=2)
    assert alone(tie, Observation(START, RIGHT), seen=(BACKWARDS, OLD)) == alone(tie, seen=(BACKWARDS, OLD))


def test_what_follows_from_a_wrong_answer_does_not_speak_against_its_cause():
    followed = Observation(TAU, FOLLOWED, follows=("seen",))
    (idea,) = alone(wrong(SEEN, OLD), followed, seen=(OLD,), tau=(OLD,)).ideas
    assert (idea.id, idea.refuted) == ("old-circuit", ())


def test_a_rate_carried_into_the_exponent_is_no_second_idea():
    """Who gives the rate for the time constant puts it into the exponent as it is: that is not e^(−τt) believed."""
    rate, upside_down = "rate-instead-of-time", "power-upside-down"
    table = {"tau": (rate,), "whole": (upside_down,)}
    whole = wrong(("p", "whole"), upside_down)
    (idea,) = alone(wrong(TAU, rate), whole, **table).ideas
    assert (idea.id, idea.shown) == ("rate-for-time", (TAU, ("p", "whole")))
    (without,) = alone(Observation(TAU, RIGHT), whole, **table).ideas
    assert without.id == "exponent"


def test_a_lost_j_is_no_wrong_formula_of_a_rate():
    """α and ωd are right, the roots lack their j: the question is about the square root."""
    roots = ("p", "roots")
    found = alone(wrong(roots, "imaginary-unit-lost"), roots=("imaginary-unit-lost",))
    assert [idea.id for idea in found.ideas] == ["roots-taken-as-real"]
    assert "square root" in ideas()["roots-taken-as-real"].nudge


def test_slips_are_no_ideas():
    found = alone(wrong(SEEN, "prefix-slip"), wrong(TAU), seen=(OLD,), tau=(OLD,))
    assert (found.ideas, found.slips, found.unexplained) == ((), ((SEEN, "prefix-slip"),), (TAU,))


def test_nothing_written_is_nothing_believed():
    assert alone(seen=(OLD,)).ideas == ()
    assert set(IN_THE_CATALOGUE) == set(IDEAS)


NAMED = """
title = "Named"
[[problem]]
id = "p"
title = "Long after"
[[problem.item]]
id = "c"
find = "choice"
options = ["open", "short"]
key = "open"
points = 1
known_wrong = [{answer = "short", mistake = "storage-roles-swapped-after"}]
[[problem.item]]
id = "l"
find = "choice"
options = ["open", "short"]
key = "short"
points = 1
known_wrong = [{answer = "open", mistake = "storage-roles-swapped-after"}]
"""


@pytest.mark.parametrize(("second", "held"), [("open", ["dc-roles"]), ("short", [])])
def test_a_choice_shows_the_mistake_that_the_rubric_names_for_its_option(second, held):
    """Both options of one who exchanges the roles are an idea; a right second choice speaks against it."""
    key = build_key(read_rubric(NAMED.encode(), "named.toml"))
    written = (Written(problem="p", item="c", text="short"), Written(problem="p", item="l", text=second))
    marked = mark_upload(key, Upload(file="u", digest="", student="S1", answers=written))
    assert marked.marks[0].mistakes == ("storage-roles-swapped-after",)
    found = explained_alone("S1", observations_of(marked.marks), visible_of(predictions_of(key)))
    assert [idea.id for idea in found.ideas] == held
