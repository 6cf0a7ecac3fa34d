"""A student's way: read, check, submit, see what came out, try again within the rules, practise."""

import re
from datetime import timedelta
from pathlib import Path

import pytest

from grader.marking.key import build_key
from grader.mistakes.numeric_form import Value
from grader.reading.words import DAMPING
from grader.rubric.files import load_rubric, read_rubric
from grader.values.dimension import NUMBER, unit_symbol
from grader.web.pages import student as student_module
from tests.web.conftest import RIGHT, SHEET


def text_of(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page.text).split())


def test_the_sheet_shows_problems_figures_fields_and_their_units(student):
    page = student.get("/sheets/lock-gate").text
    assert "Solenoid of the lock gate" in page
    assert page.count("<svg") == 2
    assert "L1: inductor, 80 mH" in page  # the circuit in words
    assert "It was empty before." in page
    for name in RIGHT:
        assert f'name="answer:{name}"' in page
    assert "A time, with its unit (s)." in page
    assert 'type="radio"' in page


def test_every_field_has_a_label_a_described_hint_and_a_place_for_its_reading(student):
    page = student.get("/sheets/lock-gate").text
    ids = set(re.findall(r'\sid="([^"]+)"', page))
    assert len(ids) == len(re.findall(r'\sid="([^"]+)"', page)), "an id is used twice"
    for field in re.findall(r'<input [^>]*type="(?:text|file)"[^>]*>', page):
        name = re.search(r'id="([^"]+)"', field)[1]
        assert f'<label for="{name}">' in page
        for described in re.search(r'aria-describedby="([^"]+)"', field)[1].split():
            assert described in ids
    assert page.count('role="status"') >= 11


def test_the_first_button_of_the_form_only_checks_so_that_enter_costs_nothing(student):
    page = student.get("/sheets/lock-gate").text
    form = page[page.index('id="answers"') :]
    assert re.search(r'<button name="do" value="(\w+)"', form)[1] == "check"


def test_checking_shows_every_reading_as_mathml_and_counts_nothing(site, student):
    page = student.answer({"gate.tau": "1/2 s", "gate.i": "2-0.364e^-100t A"}, do="check")
    assert page.status_code == 200
    assert page.text.count("<math") >= 2
    assert 'value="2-0.364e^-100t A"' in page.text
    assert "Nothing was counted." in page.text
    assert site.store.all_attempts(SHEET) == ()


def test_two_possible_readings_are_both_shown(student):
    page = student.answer({"gate.rth": "8,125 ohm"}, do="check").text
    assert page.count("Read as") == 1
    assert "or as" in page


def test_a_submission_says_item_by_item_what_is_right_partly_right_and_not_yet(student):
    page = student.answer({**RIGHT, "gate.tau": "7 s", "gate.end": "2", "lamp.vend": ""})
    text = text_of(page)
    assert page.url.path.startswith("/attempts/")
    assert "Attempt 1" in text
    assert "Right 1 of 1" in text
    assert "Partly right 0.75 of 1" in text  # a unit is missing
    assert "Not yet 0 of 2" in text
    assert "No answer 0 of 1" in text
    assert "Think about it:" in text


def test_what_cannot_be_read_stops_a_submission_once_with_a_list_that_leads_to_the_fields(site, student):
    page = student.answer({"gate.tau": "((", "gate.end": "2 A"})
    assert page.status_code == 422
    assert 'role="alert"' in page.text
    assert '<a href="#f-gate.tau">Time constant' in page.text
    assert re.search(r'id="f-gate\.tau"[^>]* aria-invalid=true', page.text)
    assert "<title>Problem: " in page.text
    assert site.store.all_attempts(SHEET) == ()
    assert student.answer({"gate.tau": "((", "gate.end": "2 A"}, do="insist").url.path.startswith("/attempts/")
    assert "Could not be read" in student.seen[-1].text


def test_an_empty_sheet_is_no_attempt(site, student):
    assert student.answer({}).status_code == 422
    assert "No answer has been written yet." in student.seen[-1].text
    assert site.store.all_attempts(SHEET) == ()


def test_a_form_sent_twice_is_one_attempt_and_changed_answers_are_another(site, student):
    form = "fixed-form"
    first = student.answer({"gate.tau": "9 ms"}, form=form)
    assert student.answer({"gate.tau": "9 ms"}, form=form).url == first.url
    assert len(site.store.all_attempts(SHEET)) == 1
    student.answer({"gate.tau": "10 ms"}, form=form)
    assert len(site.store.all_attempts(SHEET)) == 2


def test_the_next_attempt_starts_from_the_last_answers(student):
    student.answer({"gate.tau": "9 ms", "lamp.safe": "the switch"})
    page = student.get("/sheets/lock-gate").text
    assert 'value="9 ms"' in page
    assert 'value="the switch" checked' in page
    assert "Submit attempt 2" in page


def test_history_names_each_attempt_and_the_one_that_counts(make_site, browser, codes, clock):
    own = browser(make_site(keep="best"), codes["S0001"])
    own.answer({"gate.tau": "10 ms"})
    clock.forward(60)
    own.answer({"gate.tau": "9 ms"})
    text = text_of(own.get("/sheets/lock-gate"))
    assert "Attempt 1 , Mon 2 Mar 2026" in text
    assert "2 of 18 points (counts)" in text
    assert "Attempt 2" in text
    assert text.count("(counts)") == 1
    assert "Attempt 1 counts." in text_of(own.seen[-2])


def test_the_last_attempt_counts_where_the_rules_say_so(make_site, browser, codes):
    own = browser(make_site(keep="last"), codes["S0001"])
    own.answer({"gate.tau": "10 ms"})
    own.answer({"gate.tau": "9 ms"})
    assert "0 of 18 points (counts)" in text_of(own.get("/sheets/lock-gate"))


def test_no_more_attempts_than_allowed(make_site, browser, codes):
    site = make_site(attempts=2)
    own = browser(site, codes["S0001"])
    assert "Submit attempt 1 of 2" in own.get("/sheets/lock-gate").text
    own.answer({"gate.tau": "1 ms"})
    page = own.answer({"gate.tau": "2 ms"})
    assert "All 2 attempts have been made." in page.text
    page = own.answer({"gate.tau": "3 ms"})
    assert page.status_code == 409
    assert 'value="3 ms"' in page.text  # nothing typed is lost
    assert 'value="submit"' not in page.text
    assert len(site.store.all_attempts(SHEET)) == 2


def test_between_two_attempts_the_waiting_time_must_pass(make_site, browser, codes, clock):
    own = browser(make_site(wait=60), codes["S0001"])
    own.answer({"gate.tau": "1 ms"})
    clock.forward(59)
    assert own.answer({"gate.tau": "2 ms"}).status_code == 409
    assert "in 1 second" in own.seen[-1].text
    clock.forward(1)
    assert own.answer({"gate.tau": "2 ms"}).url.path.startswith("/attempts/")


def test_no_attempt_from_the_due_time_on(make_site, browser, codes, clock):
    site = make_site(due=clock.now + timedelta(seconds=10))
    own = browser(site, codes["S0001"])
    assert "Due " in own.get("/sheets/lock-gate").text
    clock.forward(10)
    assert own.answer({"gate.tau": "1 ms"}).status_code == 409
    assert "The due time has passed." in own.seen[-1].text
    assert site.store.all_attempts(SHEET) == ()
    assert own.answer({"gate.tau": "1 ms"}, do="check").status_code == 200  # reading may still be looked at


def test_submitting_too_fast_keeps_what_was_typed(student):
    pages = [student.answer({"gate.tau": f"{k} ms"}) for k in range(8)]
    assert [page.status_code for page in pages].count(429) == 2
    assert 'value="7 ms"' in pages[-1].text


def test_an_answer_that_marking_fails_on_is_kept_for_a_person(site, student, instructor, monkeypatch):
    def broken(*_):
        raise RuntimeError

    monkeypatch.setattr("grader.web.work.mark_upload", broken)
    page = student.answer({"gate.tau": "10 ms"})
    assert page.status_code == 200
    assert "A person will look at it." in page.text
    assert "10 ms" in instructor(site).get("/instructor/sheets/lock-gate/review").text


def test_the_live_reading_is_a_piece_of_a_page(student):
    token = student.token("/sheets/lock-gate")
    piece = student.post("/sheets/lock-gate/reading", data={"token": token, "answer:gate.tau": "2 ms"})
    assert piece.status_code == 200
    assert "<math" in piece.text
    assert "<html" not in piece.text
    assert student.post("/sheets/lock-gate/reading", data={"token": token, "answer:gate.none": "2"}).status_code == 404
    assert student.post("/sheets/lock-gate/reading", data={"token": token, "answer:gate.tau": ""}).text.strip() == ""
    unsure = student.post("/sheets/lock-gate/reading", data={"token": token, "answer:gate.tau": "not sure"})
    assert "No answer was read here" in unsure.text


def test_the_live_reading_has_its_own_pace(student):
    token = student.token("/sheets/lock-gate")
    send = [student.post("/sheets/lock-gate/reading", data={"token": token, "answer:gate.tau": "2"}) for _ in range(62)]
    assert [one.status_code for one in send].count(429) == 2


def test_with_several_sheets_there_is_a_list(make_site, browser, codes, key):
    own = browser(make_site(keys={"first": key, "second": key}), codes["S0001"])
    page = own.get("/")
    assert page.url.path == "/"
    assert 'href="/sheets/first"' in page.text
    own.answer({"gate.tau": "10 ms"}, sheet="second")
    text = text_of(own.get("/"))
    assert "You have made 1 attempt." in text
    assert "You have made no attempt yet." in text
    assert "decided" not in text


REVEALING = [
    "1.636",
    "1.64 ",
    "18/11",
    "1636",
    "4/11",
    "0.3636",
    "0.364",
    "191.5",
    "9/47",
    "1.034",
    "517/500",
    "0.1915",
]
"""What the reference answers of the sheet look like, as far as it cannot stand in its text."""


def wrong_sheets(key):
    """Wrong answers of every kind, those of the catalogued mistakes among them, each with its nudge and reasons."""
    yield dict.fromkeys(RIGHT, "12345 V")
    yield dict.fromkeys(RIGHT, "e^(-t/(7 ms))")
    yield {
        "gate.before": "-2 A",
        "gate.start": "3 A",
        "gate.tau": "12.5",
        "gate.i": "3-2e^(-80t) A",
        "gate.rth": "22 ohm",
    }
    yield {"gate.before": "1 A", "gate.start": "1 A", "gate.end": "2", "gate.tau": "10", "gate.i": "2 - e^(-100t)"}
    yield {
        "lamp.v0": "9 V",
        "lamp.vend": "0 V",
        "lamp.tau": "47000/22e-6 s",
        "lamp.v": "9e^(-t/tau) V",
        "lamp.i0": "0 A",
    }
    yield {
        "lamp.v0": "0",
        "lamp.vend": "9",
        "lamp.tau": "R5/C1",
        "lamp.v": "v(inf)(1-e^(-t*tau))",
        "lamp.safe": "the switch",
    }
    for (problem, item), table in key.diagnoser.tables.items():
        unit = unit_symbol(key.item(problem, item).reference.dimension or NUMBER)
        for row in table.rows:
            text = f"{getattr(row.form, 'value', 0):.4g} {unit}"
            if isinstance(row.form, Value) and not any(piece in text for piece in REVEALING):
                yield {f"{problem}.{item}": text}


def test_no_answer_of_the_server_gives_a_reference_answer_away(student, key, clock):
    for answers in wrong_sheets(key):
        for do in ("check", "insist"):
            student.answer(answers, do=do)
            clock.forward(30)
    assert any("Think about it:" in page.text for page in student.seen)
    student.get("/sheets/lock-gate")
    student.get("/sheets/lock-gate/answers")
    assert len(student.seen) > 20
    for page in student.seen:
        body = text_of(page) + page.text
        for piece in REVEALING:
            assert piece not in body


def test_the_pages_know_no_rules():
    """The thin layer: a student's pages import nothing that solves, reads or marks."""
    assert not any(name in vars(student_module) for name in ("mark_upload", "read", "solve", "build_key"))


@pytest.mark.parametrize("path", ["/", "/sheets/lock-gate", "/enter", "/sheets/lock-gate/practice/gate?set=3"])
def test_every_page_has_one_heading_a_skip_link_a_language_and_a_title(student, path):
    page = student.get(path).text
    assert page.count("<h1>") == 1
    assert '<a class="skip" href="#main">' in page
    assert '<main id="main"' in page
    assert '<html lang="en">' in page
    assert re.search(r"<title>[^<]{5,}</title>", page)
    assert 'name="viewport" content="width=device-width, initial-scale=1"' in page


PERSONAL = """
title = "Harbour Lock, everybody's own lamp"
[[problem]]
id = "lamp"
title = "Lamp"
ground = "g"
element = [
  {name = "Vb", kind = "voltage source", between = ["a", "g"], value = "6 V … 48 V, step 1 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "10 kohm … 100 kohm, E24"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "10 uF"},
]
item = [{id = "end", find = "final value", voltage = "C1", points = 1}]
"""


def test_everybody_has_values_of_their_own_and_is_marked_by_them(make_site, browser, codes, instructor):
    own_key = build_key(read_rubric(PERSONAL.encode(), "own.toml"))
    site = make_site(keys={"own": own_key})
    seen = set()
    for student in ("S0001", "S0002"):
        one = browser(site, codes[student])
        page = one.get("/sheets/own").text
        volts = re.search(r"Vb: voltage source, (\d+) V,", page)[1]
        seen.add((volts, re.search(r"R1: resistor, ([\d.]+ kΩ)", page)[1]))
        assert "1 of 1 point" in one.answer({"lamp.end": f"{volts} V"}, sheet="own").text
        assert "0 of 1 point" in one.answer({"lamp.end": f"{int(volts) + 20} V"}, sheet="own").text
    assert len(seen) == 2
    assert "1 of 1 point" in instructor(site).get("/instructor/sheets/own/students/S0001").text


def test_what_follows_is_explained_by_the_earlier_items_question_and_right_answers_take_a_line(student):
    page = student.answer({**RIGHT, "gate.rth": "4 ohm", "gate.tau": "20 ms", "gate.i": "2 - 4/11 e^(-50t) A"})
    text = text_of(page)
    assert "Right, following your earlier answer" in text
    assert "It goes on from your answer to “Resistance that the solenoid sees after switching”" in text
    assert "This is right" not in text
    assert "Look at this first: Resistance that the solenoid sees after switching" in text
    again = text_of(student.answer(RIGHT))
    assert "Since attempt 1: 1 better, 0 worse." in again


def test_nothing_is_said_to_be_left_once_it_is_over(make_site, browser, codes, clock):
    site = make_site(attempts=5, due=clock() + timedelta(seconds=60))
    visitor = browser(site, codes["S0001"])
    address = visitor.answer({"gate.tau": "10 ms"}).url.path
    assert "4 left." in visitor.get(address).text
    clock.forward(60)
    for path in (address, f"/sheets/{SHEET}"):
        page = visitor.get(path).text
        assert "due time has passed" in page
        assert "left." not in page


PAGE = {"Accept": "text/html,*/*"}


def test_what_a_form_is_answered_with_has_an_address_of_its_own(site, student, browser, codes):
    student.http.headers.update(PAGE)
    checked = student.answer({"gate.tau": "10 ms"}, do="check")
    assert [one.status_code for one in checked.history] == [303]
    assert checked.url.path == f"/sheets/{SHEET}"
    assert checked.status_code == 200
    assert 'value="10 ms"' in checked.text
    again = student.get(str(checked.url))  # loaded again, or come back to
    assert again.text == checked.text
    assert site.store.all_attempts(SHEET) == ()
    other = browser(site, codes["S0002"])
    assert 'value="10 ms"' not in other.get(str(checked.url)).text
    refused = student.answer({"gate.tau": "(("})
    assert refused.status_code == 422
    assert student.get(str(refused.url)).text == refused.text
    gone = student.get(f"/sheets/{SHEET}?answered=unknown")
    assert gone.status_code == 200
    assert "Nothing was counted" not in gone.text


def test_nobody_sees_what_answered_a_form_after_leaving(student):
    student.http.headers.update(PAGE)
    checked = student.answer({"gate.tau": "10 ms"}, do="check")
    student.send("/leave", page=f"/sheets/{SHEET}")
    assert student.get(str(checked.url)).url.path == "/enter"


def test_a_wrong_code_is_told_at_an_address_of_its_own(site, browser):
    stranger = browser(site)
    stranger.http.headers.update(PAGE)
    page = stranger.enter("2222-2222-2222-2222")
    assert page.status_code == 403
    assert page.url.path == "/enter"
    assert stranger.get(str(page.url)).text == page.text
    assert "not known here" not in stranger.get("/enter").text


def test_the_damping_type_is_chosen_and_what_a_file_says_in_other_words_stays(make_site, browser, codes):
    rubric = load_rubric(Path(__file__).parents[2] / "rubrics" / "gate_damping.toml")
    site = make_site(keys={"damping": build_key(rubric)})
    student, problem = browser(site, codes["S0001"]), rubric.problems[0].id
    page = student.get("/sheets/damping").text
    name = f'name="answer:{problem}.type"'
    assert [word for word in DAMPING if f'{name} value="{word}"' in page] == [*DAMPING]
    data = {"token": student.token("/sheets/damping"), "do": "submit"}
    content = f"{problem}.type: it rings, so under-damped\n".encode()
    student.post("/sheets/damping/file", data=data, files={"file": ("a.txt", content)})
    assert "Right" in student.seen[-1].text
    assert f'{name} value="it rings, so under-damped" checked' in student.get("/sheets/damping").text
