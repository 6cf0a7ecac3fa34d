"""What the class audit counts and says first, from marks.jsonl.  All students and answers are invented."""

import json
import tomllib

import pytest

from grader.marking.marks import BLANK, CORRECT, FOLLOWED, FOR_A_PERSON, INCORRECT, PARTLY, UNREADABLE
from grader.reports import audit_ideas
from grader.reports.audit import audit, audit_html, kept_rubrics
from tests.reports.audit_lines import HOSTILE, class_of, folder, line, unexplained


def explained(path, *ideas, testable=("time-constant-of",), among=12):
    """What the run says of a class: (idea, others, how many of the first students hold it, in which item)."""
    lines = []
    for n in range(among):
        held = [
            {"id": id, "others": list(others), "probability": 0.99 if n else 0.6, "shown": [item], "refuted": []}
            for id, others, count, item in ideas
            if n < count
        ]
        lines.append(
            {"student": f"S{n:03d}", "ideas": held, "slips": [], "unexplained": [], "testable": list(testable)}
        )
    path.joinpath("explained.jsonl").write_text("".join(json.dumps(one) + "\n" for one in lines), encoding="utf-8")
    return path


TAU_IDEA = ("time-constant-of", (), 4, "valve.tau")


def test_the_next_class_starts_with_the_costliest_idea(tmp_path):
    """Four of twelve, 8 points; the 95 % interval of 4 in 12 is 14 to 61 % (Wilson's formula, worked by hand)."""
    lines = class_of(12)
    lines += [line("S011", "current", PARTLY, 1.0, 4.0, answer="2e^(100t)", mistakes=["growing-power"])]
    of_class = audit([explained(folder(tmp_path / "r", lines), TAU_IDEA)]).classes[0]
    (idea,) = of_class.ideas
    assert (idea.id, idea.lost, len(idea.students), idea.unsure) == ("time-constant-of", 8.0, 4, 1)
    assert (idea.rate.held, idea.rate.of, round(idea.rate.low, 2), round(idea.rate.high, 2)) == (4, 12, 0.14, 0.61)
    assert idea.items == (("valve.tau", 4),)
    assert [(e.item, e.answer, e.students) for e in idea.examples] == [("valve.tau", "100", 4)]
    assert (of_class.lost.ideas, of_class.lost.slips, of_class.lost.total) == (8.0, 3.0, 11.0)
    assert next((pair.holder, pair.partner) for pair in of_class.pairs) == ("S000", "S004")


def test_the_page_opens_with_where_the_points_went(tmp_path):
    lines = [*class_of(12), *(line(f"S{n:03d}", "current", BLANK, answer="") for n in range(12))]
    page = audit_html(audit([explained(folder(tmp_path / "r", lines), TAU_IDEA)]))
    assert "Of 72 points 32 were lost: 75 % to blank answers and 25 % to ideas." in page
    assert "Left blank most often: valve.current by 12." in page
    assert "4 of 12" in page
    assert page.index("What to say in the next class") < page.index("The class as a whole")


def at_first(path, students, *lines, ideas=()):
    """The titles that a class of so many begins with; who is not named in a line has all of it right."""
    right = [line(f"S{n:03d}", "start", CORRECT, 2.0, answer="1 A") for n in range(students)]
    made = [
        line(f"S{n:03d}", item, verdict, got, **more) for item, verdict, got, count, more in lines for n in range(count)
    ]
    return [
        topic.title for topic in audit([explained(folder(path, right + made), *ideas, among=students)]).classes[0].cards
    ]


UNIT = {"answer": "2", "reasons": ["The unit is missing, which costs 25 % of the points."]}
FIGURES = {
    "answer": "2 A",
    "reasons": ["It is given to 1 significant figure; 3 are expected, which costs 25 % of the points."],
}


def test_the_class_is_told_first_what_cost_most_of_it_most_of_whatever_kind(tmp_path):
    """By hand, points times students: of 20, nine hold R/L (18 points: 162), fifteen leave two units out (15: 225)."""
    tau = ("tau", INCORRECT, 0.0, 9, {"answer": "100", "mistakes": ["rl-time-constant-inverted"]})
    units = [(item, PARTLY, 1.5, 15, UNIT) for item in ("i30", "final")]
    held = ("time-constant-of", (), 9, "valve.tau")
    assert at_first(tmp_path / "a", 20, tau, *units, ideas=[held]) == [
        "Right but for its unit",
        "What a time constant is made of",
    ]
    # One unit of each only: 7.5 points, 112.
    assert at_first(tmp_path / "b", 20, tau, units[0], ideas=[held])[0] == "What a time constant is made of"
    # Fourteen turn a sign once (14 points: 196), three hold the idea (6: 18), five give too few figures (2.5: 12).
    sign = ("kick", PARTLY, 1.0, 14, {"answer": "-3 V", "mistakes": ["sign-turned"]})
    figures = ("energy", PARTLY, 1.5, 5, FIGURES)
    three = (("tau", INCORRECT, 0.0, 3, tau[-1]), sign, figures)
    assert at_first(tmp_path / "c", 20, *three, ideas=[("time-constant-of", (), 3, "valve.tau")]) == [
        "Sign turned", "What a time constant is made of", "Right but for its figures",
    ]  # fmt: skip
    # Six of eight get one item wrong, each otherwise (12 points: 72); it has no title but its own question.
    odd = [line(f"S{n:03d}", "heat", answer=f"{n}7 J", reading_value=10.0 * n + 7) for n in range(6)]
    right = [line(f"S{n:03d}", "start", CORRECT, 2.0, answer="1 A") for n in range(8)]
    found = audit([folder(tmp_path / "d", [*right, *odd])])
    assert [(topic.title, topic.id) for topic in found.classes[0].cards] == [("", "valve.heat")]
    assert "First: <strong>Wrong answers to “valve.heat”</strong> (6 of 8 students, 12 points)." in audit_html(found)


def test_a_tie_counts_with_the_idea_that_more_of_the_class_hold_beyond_doubt(tmp_path):
    """Two fit both ideas, four hold the first beyond doubt: one card of four (the first two are among them)."""
    tied = ("time-constant-of", ("rate-for-time",), 2, "valve.tau")
    (idea,) = audit([explained(folder(tmp_path / "r", class_of(12)), TAU_IDEA, tied)]).classes[0].ideas
    assert (idea.title, idea.rate.held, idea.lost) == ("What a time constant is made of", 4, 8.0)


def test_ideas_that_cannot_be_told_apart_are_one_card(tmp_path):
    both = ("time-constant-of", ("rate-for-time",), 4, "valve.tau")
    (idea,) = audit([explained(folder(tmp_path / "r", class_of(12)), both)]).classes[0].ideas
    assert idea.title == "What a time constant is made of, or: A rate given for a time"
    assert idea.lost == 8.0


def test_tied_mistakes_share_the_points_and_are_called_unsure(tmp_path):
    lines = [line("A", "tau", mistakes=["one", "two", "three"], tied=2), line("B", "tau", mistakes=["one"])]
    found = {m.id: m for m in audit([folder(tmp_path / "r", lines)]).classes[0].mistakes}
    assert (found["one"].lost, len(found["one"].students), found["one"].unsure) == (pytest.approx(2 + 4 / 3), 2, 1)
    assert (found["two"].lost, found["two"].unsure) == (pytest.approx(2 / 3), 1)
    assert "three" not in found


def test_two_mistakes_at_once_count_for_both(tmp_path):
    lines = [line("A", "tau", mistakes=["one + prefix-slip"])]
    found = audit([folder(tmp_path / "r", lines)]).classes[0].mistakes
    assert [(m.id, m.lost) for m in found] == [("one", 1.0), ("prefix-slip", 1.0)]


def test_a_lost_unit_is_no_mistake_but_counted(tmp_path):
    """A value that is partly correct without any mistake lacks its unit; so does an expression all of whose parts hold."""
    held = [{"name": "form", "awarded": 1.0, "possible": 1.0, "verdict": CORRECT}]
    lost = [{"name": "form", "awarded": 0.0, "possible": 1.0, "verdict": INCORRECT}]
    lines = [
        line("A", "tau", PARTLY, 1.5, answer="10", reading_value=10.0),
        line("B", "tau", PARTLY, 1.5, answer="10", reading_value=10.0),
        line("A", "current", PARTLY, 0.75, 1.0, answer="2", parts=held),
        line("B", "current", PARTLY, 0.5, 1.0, answer="2", parts=lost),
    ]
    found = audit([folder(tmp_path / "r", lines)])
    unit, *_ = (m for m in found.classes[0].mistakes if m.title == "Right but for its unit")
    assert unit.lost == found.classes[0].lost.unit_and_sign == pytest.approx(1.25)
    assert found.classes[0].clusters == ()
    assert [item.wrong for item in found.classes[0].items] == [0, 1]


def test_what_following_leaves_waits_for_nobody(tmp_path):
    """2 points at a follow-through of 0.75 leave 0.5; one unreadable answer leaves its 2 to a person."""
    lines = [line("A", "tau", FOLLOWED, 1.5), line("B", "tau", UNREADABLE, answer="??", review=True)]
    found = audit([folder(tmp_path / "r", lines)])
    lost = found.classes[0].lost
    assert (lost.following, lost.unread, lost.total) == (0.5, 2.0, 2.5)
    assert "80 % to answers that wait for a person and 20 % to what following an earlier slip leaves" in audit_html(
        found
    )


@pytest.mark.parametrize(("verdict", "awarded"), [(INCORRECT, 0.0), (PARTLY, 0.5)])
def test_an_answer_that_a_person_must_look_at_is_no_wrong_one_yet(tmp_path, verdict, awarded):
    """Of two students with the same answer one waits: one wrong answer, and 2 points less what it earned open."""
    lines = [
        line("A", "tau", verdict, awarded, mistakes=("nearest-resistor-only",)),
        line("B", "tau", verdict, awarded, mistakes=("nearest-resistor-only",), review=True),
    ]
    found = audit([folder(tmp_path / "r", lines)]).classes[0]
    assert (found.lost.unread, found.items[0].wrong, found.items[0].review) == (2 - awarded, 1, 1)
    assert [len(one.students) for one in found.mistakes] == [1]


def test_right_answers_are_never_counted_as_mistakes(tmp_path):
    lines = [line(who, "tau", verdict, 2.0, mistakes=["one"]) for who, verdict in (("A", CORRECT), ("D", FOLLOWED))]
    lines += [line("B", "tau", BLANK, answer=""), line("C", "tau", UNREADABLE, answer="??", review=True)]
    found = audit([folder(tmp_path / "r", lines)])
    assert found.classes[0].mistakes == ()
    assert found.classes[0].lost.blank == 2.0
    assert dict(found.classes[0].items[0].verdicts)[BLANK] == 1
    assert found.classes[0].items[0].review == 1


def test_an_item_without_a_line_is_blank(tmp_path):
    lines = [line("A", "tau", CORRECT, 2.0), line("A", "final", CORRECT, 2.0), line("B", "tau", CORRECT, 2.0)]
    final = audit([folder(tmp_path / "r", lines)]).classes[0].items[1]
    assert dict(final.verdicts)[BLANK] == 1
    assert final.difficulty.value == 0.5


def test_what_nobody_has_marked_yet_is_left_out(tmp_path):
    """Two of four have 2 and 1 of 2 points, two wait: 3 of 4, not of 8; in section A one of its two waits."""
    lines = [
        line("A", "tau", CORRECT, 2.0, section="A"),
        line("B", "tau", PARTLY, 1.0, section="B"),
        line("C", "tau", UNREADABLE, 0.0, section="A", review=True),
        line("D", "tau", FOR_A_PERSON, 0.0, section="B", review=True),
    ]
    of_class = audit([folder(tmp_path / "r", lines)]).classes[0]
    (tau,) = of_class.items
    assert (tau.mean.value, tau.difficulty.value) == (1.5, 0.75)
    assert [section.share.value for section in of_class.sections] == [1.0, 0.5]
    assert "2 answers that nobody has marked yet" in audit_html(audit([tmp_path / "r"]))
    waiting = audit([folder(tmp_path / "s", lines[2:])]).classes[0]
    assert waiting.items[0].difficulty.value is None
    assert waiting.sections[0].share.value is None


def test_small_class_shows_counts_only(tmp_path):
    of_class = audit([folder(tmp_path / "r", class_of(9))]).classes[0]
    assert of_class.alpha_items.value is None
    assert of_class.items[0].discrimination.reason == "fewer than 10 students"
    assert of_class.items[1].difficulty.value == pytest.approx(5 / 9)
    assert "fewer than 10 students" in audit_html(audit([tmp_path / "r"]))


@pytest.mark.parametrize(("students", "headings"), [(1, 1), (20, 3)])
def test_columns_of_dashes_are_left_out(tmp_path, students, headings):
    """Of one student only the difficulty has a meaning; of two items, one right for all, there is no rest to compare with."""
    page = audit_html(audit([folder(tmp_path / "r", class_of(students, wrong=1))]))
    table = page[page.index("Points and statistics of every item") :]
    figures = ("Diffi&shy;culty", "Discrimi&shy;nation", "Point-<br>biserial", "Item-<br>rest", "Alpha<br>without")
    assert sum(heading in table for heading in figures) == headings
    assert ("Standard deviation" in page) == (students > 1)
    assert "<dd>–" not in page


def test_item_everybody_got_right_has_no_correlation(tmp_path):
    final, tau = audit([folder(tmp_path / "r", class_of(12))]).classes[0].items
    assert final.point_biserial.reason == "everybody has the same points on the item"
    assert tau.point_biserial.value == pytest.approx(1.0)


def test_unexplained_answers_are_grouped_by_value(tmp_path):
    lines = unexplained(
        ("A", "7.1 ms", 7.1e-3), ("B", "0.0071 s", 7.1e-3), ("C", "7.12 ms", 7.12e-3), ("D", "9 ms", 9e-3)
    )
    (cluster,) = audit([folder(tmp_path / "r", lines)]).classes[0].clusters
    assert cluster.students == ("A", "B", "C")
    assert cluster.answer == "7.1 ms"


def test_unexplained_zeros_form_a_group(tmp_path):
    (cluster,) = audit([folder(tmp_path / "r", unexplained(("A", "0", 0.0), ("B", "0 s", 0.0)))]).classes[0].clusters
    assert cluster.students == ("A", "B")


def test_unexplained_texts_are_grouped_by_what_was_read(tmp_path):
    lines = [
        line("A", "current", answer="2 e^(-3t)", reading="2·e^(−3·t)"),
        line("B", "current", answer="2exp(-3t)", reading="2·e^(−3·t)"),
    ]
    (cluster,) = audit([folder(tmp_path / "r", lines)]).classes[0].clusters
    assert cluster.students == ("A", "B")


@pytest.mark.parametrize("answer", ["7 ms", 'say "7"', "a\\b", "µ − Ω", HOSTILE])
def test_line_for_the_rubric_is_toml(tmp_path, answer):
    lines = unexplained(("A", answer, 1.0), ("B", answer, 1.0))
    (cluster,) = audit([folder(tmp_path / "r", lines)]).classes[0].clusters
    assert tomllib.loads(cluster.known_wrong)["known_wrong"] == [{"answer": answer, "share": 0.0, "comment": ""}]


def test_identical_rare_answers_are_listed_with_the_caution(tmp_path):
    lines = class_of(20, wrong=0)
    lines = [record for record in lines if record["student"] not in ("S001", "S002")]
    for student in ("S001", "S002"):
        lines += unexplained((student, "7.13 ms", 7.13e-3))
        lines += unexplained((student, "1.91 A", 1.91), item="final")
    found = audit([folder(tmp_path / "r", lines)])
    (shared,) = found.classes[0].shared
    assert shared.students == ("S001", "S002")
    assert shared.answers == (("valve.final", "1.91 A"), ("valve.tau", "7.13 ms"))
    assert "proves nothing" in audit_html(found)


def test_zeros_and_explained_answers_are_no_coincidence(tmp_path):
    lines = []
    for student in "AB":
        lines += unexplained((student, "0", 0.0)) + unexplained((student, "0.0", 0.0), item="final")
        lines += [line(student, "x", mistakes=["one"]), line(student, "y", mistakes=["one"])]
    assert audit([folder(tmp_path / "r", lines)]).classes[0].shared == ()


def test_items_name_their_mistakes_in_words(tmp_path):
    """As everywhere on the page; an id that the catalogue does not know stays."""
    lines = [line("A", "tau", mistakes=["rl-time-constant-inverted"]), line("B", "tau", mistakes=["one"])]
    (item,) = audit([folder(tmp_path / "r", lines)]).classes[0].items
    assert item.mistakes == (("R/L for L/R", 1), ("one", 1))


def test_sections(tmp_path):
    first, second = audit([folder(tmp_path / "r", class_of(12, wrong=3))]).classes[0].sections
    assert (first.name, first.students, first.share.value) == ("A", 6, pytest.approx(1 - 2 * 2 / 24))
    assert second.mistakes[0][1] == 1
    no_sections = audit([folder(tmp_path / "s", unexplained(("A", "1", 1.0)))])
    assert no_sections.classes[0].sections == ()


def test_points_that_a_person_decided_are_no_unit_and_no_mystery(tmp_path):
    lines = [
        line("A", "tau", PARTLY, 0.5, decision="half seen"),
        line("B", "tau", INCORRECT, 0.0, decision="says nothing"),
        line("C", "tau", INCORRECT, 0.0, mistakes=["rl-time-constant-inverted"], decision="no"),
        line("D", "tau", PARTLY, 1.5),
    ]
    (found,) = audit([folder(tmp_path / "r", lines)]).classes
    assert (found.lost.decided, found.lost.slips, found.lost.unit_and_sign) == (3.5, 2.0, 0.5)
    assert (found.lost.unexplained, found.lost.following, found.lost.total) == (0.0, 0.0, 6.0)
    assert [(one.id, one.students) for one in found.mistakes if "unit" in one.id] == [("unit-alone", ("D",))]
    assert "what a person decided: 3.5" in audit_html(audit([tmp_path / "r"]))


LAMP = """
title = "Lamp"
[[problem]]
id = "lamp"
title = "Lamp circuit"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "2 uF"},
]
item = [
  {id = "tau", find = "time constant", points = 2},
  {id = "start", find = "initial value", current = "R1", points = 2},
]
"""


@pytest.mark.parametrize(("item", "framed"), [("tau", "C1"), ("start", "R1")])
def test_the_circuit_stands_beside_the_idea_with_its_place_framed(tmp_path, item, framed):
    """From the copy of the rubric that lies beside the marks: its title, its question, a frame and which element."""
    lines = [line(f"S{n:03d}", item, INCORRECT, 0.0, mistakes=["wrong-combination"], problem="lamp") for n in range(4)]
    results = explained(folder(tmp_path / "r", lines), ("time-constant-of", (), 4, f"lamp.{item}"))
    assert "<svg xmlns" not in audit_html(audit([results]), kept_rubrics([results]))
    results.joinpath("rubric_as_marked.toml").write_text(LAMP)
    page = audit_html(audit([results]), kept_rubrics([results]))
    assert page.count('class="frame"') == 1
    assert f"Framed: {framed}, which most of these answers are about." in page
    assert "(Lamp circuit)" in page


def test_a_copy_that_is_no_rubric_any_more_is_none(tmp_path):
    for content in ("no toml [", "title = 3", ""):
        tmp_path.joinpath("rubric_as_marked.toml").write_text(content)
        assert kept_rubrics([tmp_path]) == {}


@pytest.mark.parametrize(("students", "on_a_card"), [(12, False), (9, True)])
def test_what_one_student_alone_believes_is_nothing_for_a_large_class(tmp_path, students, on_a_card):
    (of_class,) = audit(
        [explained(folder(tmp_path / "r", class_of(students, wrong=1)), (TAU_IDEA[0], (), 1, "valve.tau"))]
    ).classes
    assert (len(of_class.cards), len(of_class.further)) == ((1, 0) if on_a_card else (0, 1))
    page = audit_html(audit([tmp_path / "r"]))
    assert ("No idea is held, and no mistake was made, by more than one student." in page) is not on_a_card


def test_a_mistake_counts_with_the_idea_behind_it_that_others_hold(tmp_path):
    """One holds the idea, three more made its mistake: four of twelve, 8 points, told as one."""
    of_class = audit([explained(folder(tmp_path / "r", class_of(12)), (TAU_IDEA[0], (), 1, "valve.tau"))]).classes[0]
    (topic,) = of_class.cards
    assert (topic.id, topic.lost, topic.all, topic.also) == ("time-constant-of", 8.0, 4, ("S001", "S002", "S003"))
    assert of_class.ideas[0].lost == 2.0


def test_a_mistake_that_is_not_known_any_more_is_no_wrong_answer_that_nothing_explains(tmp_path):
    lines = [line(f"S{n}", "tau", answer="7 ms", mistakes=["long-gone"]) for n in range(3)]
    lines += [line(f"S{n}", "final", answer="5 A") for n in range(3)]
    (of_class,) = audit([folder(tmp_path / "r", lines)]).classes
    told = {topic.id: (topic.title, topic.belief) for topic in of_class.topics}
    assert told["long-gone"] == ("long-gone", audit_ideas.NOT_KNOWN)
    assert told["valve.final"] == ("", audit_ideas.UNEXPLAINED)
