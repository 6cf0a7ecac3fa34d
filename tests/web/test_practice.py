"""Practice with other values: they are drawn anew, count nothing, and leave out what would give the sheet away."""

import re

from tests.web.conftest import SHEET


def test_practice_draws_other_values_shows_the_seed_and_counts_nothing(site, student):
    page = student.get("/sheets/lock-gate/practice/gate")
    seed = re.search(r"set=(\d+)", str(page.url))[1]
    assert f"<strong>{seed}</strong>" in page.text
    assert "80 mH" not in page.text
    again = student.get(f"/sheets/lock-gate/practice/gate?set={seed}")
    drawing = re.compile(r"<svg.*?</svg>", re.DOTALL)
    assert drawing.findall(again.text) == drawing.findall(page.text)
    assert drawing.findall(student.get("/sheets/lock-gate/practice/gate?set=1").text) != drawing.findall(
        student.get("/sheets/lock-gate/practice/gate?set=2").text
    )
    data = {"do": "try", "answer:gate.tau": "1 s", "answer:gate.end": "0.001 A"}
    page = student.send(f"/sheets/lock-gate/practice/gate?set={seed}", data)
    assert "Not yet" in page.text
    page = student.send(f"/sheets/lock-gate/practice/gate?set={seed}", {**data, "do": "check"})
    assert "Not yet" not in page.text
    assert "<math" in page.text
    assert site.store.all_attempts(SHEET) == ()


def test_practice_leaves_out_what_would_give_the_sheet_away(student):
    page = student.get("/sheets/lock-gate/practice/lamp?set=5")
    assert "answer:lamp.safe" not in page.text
    assert "answer:lamp.v0" not in page.text  # 0 V whatever the values
    assert "answer:lamp.tau" in page.text
    assert "Left out" in page.text


def test_a_right_practice_answer_is_right(site, student):
    from grader.rubric.variation import practice

    student.get("/sheets/lock-gate/practice/lamp?set=5")
    rubric = practice(site.sheets[SHEET].key.rubric, "lamp", 5).rubric
    values = {element.name: getattr(element, "value", None) for element in rubric.problems[0].circuit.elements}
    tau = float(values["R5"].p) / float(values["R5"].q) * float(values["C1"].p) / float(values["C1"].q)  # R C
    page = student.send("/sheets/lock-gate/practice/lamp?set=5", {"do": "try", "answer:lamp.tau": f"{tau} s"})
    assert "1 of 5 points" in page.text or "Right" in page.text


def test_new_practice_sets_have_their_own_pace(student):
    pages = [student.get(f"/sheets/lock-gate/practice/lamp?set={k}") for k in range(12)]
    assert [page.status_code for page in pages].count(429) == 2
    assert student.get("/sheets/lock-gate/practice/lamp?set=0").status_code == 200  # one that is known costs nothing


def test_practice_names_what_it_leaves_out_with_its_own_stop(student):
    said = student.get(f"/sheets/{SHEET}/practice/lamp?set=3").text
    assert "the sheet&#39;s own or does not follow the values: " in said
    assert "“What stays dangerous when the supply is off?”." in said
