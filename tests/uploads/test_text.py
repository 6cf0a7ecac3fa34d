"""Delimited tables and lines of text, in the encodings and dialects that programs write."""

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.uploads.content.items import known_items
from grader.uploads.content.lines import answers_in_lines
from tests.uploads.building import texts, upload, uploads


def _in_doubt(found):
    """The items that one remark on the file says were not plainly answered."""
    (fault,) = (fault for fault in found.faults if fault.startswith("No line begins with the item's name"))
    return re.findall(r"'([\w.+-]+)' \(line", fault)


TABLE = "problem{0}item{0}answer{0}unit\r\nvalve{0}tau{0}2,4 ·10⁻³{0}s\r\nvalve{0}current{0}5 µA{0}\r\n"


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_delimiters_and_encodings(delimiter, encoding):
    found = upload("S0012.csv", TABLE.format(delimiter).encode(encoding))
    assert texts(found) == {"valve.tau": "2,4 ·10⁻³", "valve.current": "5 µA"}
    assert found.faults == ()
    assert [answer.where for answer in found.answers] == ["C2", "C3"]


def test_commas_with_quotes_and_line_breaks():
    found = upload("S0012.csv", 'item,answer\n"valve.tau","2,4\nms"\ncurrent,"5 ""A"""\n')
    assert texts(found) == {"valve.tau": "2,4\nms", "valve.current": '5 "A"'}


@pytest.mark.parametrize("encoding", ["cp1252", "mac_roman"])
def test_an_encoding_that_must_be_guessed_is_said(encoding):
    text = "item;answer\nvalve.tau;3 µs ± 1 % für die Spule\nvalve.current;5 A, größer als vorher\n"
    found = upload("S0012.csv", text.encode(encoding))
    assert "3 µs" in found.answers[0].text
    assert "does not say its encoding" in found.answers[0].notes[0]


def test_a_mark_that_names_the_delimiter():
    assert texts(upload("S0012.csv", "sep=;\nitem;answer\nvalve.tau;2,4 ms\n")) == {"valve.tau": "2,4 ms"}


def test_an_unclosed_quotation_mark_loses_nothing():
    found = upload("S0012.csv", 'item,answer\nvalve.tau,"2 ms\ncurrent,5 A\n')
    assert texts(found) == {"valve.tau": '"2 ms', "valve.current": "5 A"}
    assert "quotation mark" in found.faults[0]


def test_dates_and_forced_text_in_a_delimited_file():
    found = upload("S0012.csv", 'item,answer\nvalve.tau,1-Feb\ncurrent,"=""0.5"""\nrelay.tau,01. Mär\n')
    assert [(answer.text, answer.alternatives) for answer in found.answers] == [
        ("1/2", ("2/1", "1.2")), ("0.5", ()), ("1/3", ("3/1", "1.3")),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "name", ["relay.v0-", "relay.v0−", "relay.v0–", "RELAY.V0⁻", "ｒｅｌａｙ．ｖ０－", "rel\u00aday.v0"]
)
def test_an_item_in_other_letters_and_signs_that_mean_the_same(name):
    assert texts(upload("S0012.txt", f"{name}: 2 V\n")) == {"relay.v0-": "2 V"}


@pytest.mark.parametrize("word", ["für", "Mühe", "Übung", "Jörg", "Zoë", "naïve façade"])
def test_a_word_with_few_letters_beyond_ascii_is_read_as_most_programs_write_it(word):
    found = upload("S0012.csv", f"item;answer\nvalve.tau;2 ms {word}\n".encode("cp1252"))
    assert texts(found) == {"valve.tau": f"2 ms {word}"}


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\x85", "\u2028", "\u2029"])
def test_a_line_ends_however_its_end_is_written(end):
    found = upload("S0012.txt", f"valve.tau: 2 ms{end}relay.tau: 3 ms{end}{end}relay.v0+: 1 V")
    assert texts(found) == {"valve.tau": "2 ms", "relay.tau": "3 ms", "relay.v0+": "1 V"}
    assert found.faults == ()


def test_a_line_of_a_table_goes_on_behind_what_ends_a_line_elsewhere():
    found = upload("S0012.csv", "item,answer\nvalve.tau,2\u2028ms\nrelay.tau,3 ms\n")
    assert [*texts(found)] == ["valve.tau", "relay.tau"]


def test_lines_with_names_separators_and_markup():
    text = """# Harbour Lock, homework
    student: S0012

    - **valve.tau**: 2 ms
    * current = i(t) = 5(1-e^(-500t)) A
    1) relay.v0- : 0
    relay
    tau: 3 s
    > horn.choice： b
    """
    found = upload("answers.md", text)
    assert found.student == "S0012"
    assert found.faults == ()
    assert texts(found) == {
        "valve.tau": "2 ms",
        "valve.current": "i(t) = 5(1-e^(-500t)) A",
        "relay.v0-": "0",
        "relay.tau": "3 s",
        "horn.choice": "b",
    }
    assert found.answers[0].where == "line 4"


def test_lines_below_an_answer_belong_to_it_and_unknown_items_are_listed_and_told():
    found = upload("S0012.txt", "valve.tau: 2 ms\nR = 3k + 1k = 4k\nvalve.tua: 4\nvx: 5 V\nName: Ada\n")
    assert found.answers[0].text == "2 ms\nR = 3k + 1k = 4k"
    assert len(found.faults) == 2
    assert "'valve.tua' is no item" in found.faults[0]
    assert "'5 V'" in found.faults[1]
    assert [note.endswith("was not marked.") for note in found.answers[0].notes] == [True, True]


def test_an_unknown_item_of_a_table_is_told_beside_the_answer_above_it():
    found = upload("S0012.csv", "item,answer\nvalve.tau,2 ms\ncurrent,5 A\nvx,7 V\nrelay.tau,1 s\n")
    assert [len(answer.notes) for answer in found.answers] == [0, 1, 0]
    assert "'7 V', which was not marked" in found.answers[1].notes[0]


@pytest.mark.parametrize("below", ["Name: Ada", "| of the coil, in seconds", "valve.current: 5 A", "relay", "vx: 5 V"])
def test_what_is_no_answer_is_none_on_the_line_below_a_name(below):
    assert "valve.tau" not in texts(upload("S0012.txt", f"valve.tau:\n{below}\n"))


def test_a_table_drawn_with_bars():
    text = "Answers of S0013\n\n| problem | item | answer |\n|:---|---|---|\n| valve | tau | 2 ms |\n"
    found = upload("x.md", text)
    assert (texts(found), found.faults) == ({"valve.tau": "2 ms"}, ())
    two = upload("S0013.md", "| item | answer |\n| --- | --- |\n| valve.tau | - |\n| valve.current | -2 A |\n")
    assert (texts(two), two.faults) == ({"valve.tau": "-", "valve.current": "-2 A"}, ())


def test_rows_drawn_with_bars_without_a_heading_and_words_behind_a_bar():
    text = "| Write your answers below: tau is in seconds\nvalve.tau:\n| valve.current | 5 A |\n| relay | tau | 2 s |\n| gate: 7\n"
    found = upload("S0012.txt", text)
    assert texts(found) == {"valve.current": "5 A", "relay.tau": "2 s"}
    assert found.faults == ()


def test_a_sheet_left_blank_is_read_and_blank():
    found = upload("S0012.txt", "valve.tau:\nvalve.current: \n")
    assert (found.answers, found.faults) == ((), ())


def test_a_wide_table_of_text():
    first, second = uploads("class.tsv", "id\tvalve.tau\tcurrent\nS0012\t2 ms\t\nS0013\t\t5 A\n", table=True)
    assert (first.student, texts(first)) == ("S0012", {"valve.tau": "2 ms"})
    assert (second.student, second.file) == ("S0013", "class.tsv, row 3")


@pytest.mark.parametrize(
    "head",
    [
        "valve.tau Time constant",
        "Time constant τ (valve.tau)",
        "3. Time constant [valve.tau]",
        "valve.tau (time constant)",
    ],
)
def test_a_heading_that_names_an_item_in_full_among_its_words(head):
    (found,) = uploads(
        "class.csv", f"id,{head},Points of valve.tau,Voltage of relay.v0- (V)\nS0012,2 ms,1,3\n", table=True
    )
    assert {".".join(one.place): one.as_written for one in found.answers} == {"valve.tau": "2 ms", "relay.v0-": "3 V"}


def class_table(*heads, rows=("2 ms,3", "4 ms,5")):
    lines = [f"S001{at},{row}" for at, row in enumerate(rows, 2)]
    return uploads("class.csv", "\n".join([",".join(("id", *heads)), *lines, ""]), table=True)


ABOUT = (
    "How sure are you about valve.tau?",
    "Explain how you got valve.tau from R",
    "valve.tau (sure)",
    "valve.tau (1-5)",
    "valve.tau (how sure in percent) now",
)


@pytest.mark.parametrize("about", ABOUT)
@pytest.mark.parametrize("own", ["valve.tau", "valve tau", "valve.tau (ms)", "valve.tau [in ms]"])
def test_a_question_about_an_item_is_not_its_answer(own, about):
    for heads, rows, where in (((own, about), ("2 ms,3", "4 ms,5"), "C1"), ((about, own), ("3,2 ms", "5,4 ms"), "B1")):
        first, second = class_table(*heads, rows=rows)
        assert (texts(first), texts(second)) == ({"valve.tau": "2 ms"}, {"valve.tau": "4 ms"})
        assert first.faults == (f"{where}: '{about}' names the item that '{own}' answers, so it was not read.",)
        assert second.faults == ()


@pytest.mark.parametrize("about", ABOUT)
def test_of_two_columns_that_both_name_an_item_among_words_none_is_guessed(about):
    first, second = class_table("Time constant (valve.tau)", about)
    assert texts(first) == texts(second) == {}
    assert first.faults == (
        f"B1: 'Time constant (valve.tau)' and '{about}' name the same item, so none of them was read; "
        "head the one with the answers 'valve.tau'.",
    )
    assert second.faults == ()


@pytest.mark.parametrize(
    "head",
    ["Mark how it goes - valve.current please", "Is valve.current or valve.tau slow", "valve.current and valve.tau"],
)
def test_a_heading_with_a_full_id_that_is_not_read_is_told_once(head):
    first, second = class_table("relay.tau", head)
    assert (texts(first), texts(second)) == ({"relay.tau": "2 ms"}, {"relay.tau": "4 ms"})
    (fault,) = first.faults
    assert fault.startswith(f"C1: '{head}' ")
    assert second.faults == ()


@pytest.mark.parametrize(
    ("head", "unit"),
    [
        ("Current (valve.current in A)", "A"),
        ("valve.current: the current (answer in mA)", "mA"),
        ("valve.current (in mA please)", "mA"),
        ("Current valve.current [in V/s, three digits]", "V/s"),
        ("Current (in the coil) valve.current (A)", "A"),
        ("Current (valve.current)", ""),
        ("valve.current: which hold (several)", ""),
        ("valve.current (more than one)", ""),
        ("valve.current (rad/s)", "rad/s"),
        ("valve.current (\u00b5A)", "\u00b5A"),
        ("valve.current (\u03bcA)", "\u03bcA"),
        ("valve.current (in \u00b5s, 3 digits)", "\u00b5s"),
        ("valve.current (A\u00b2)", "A\u00b2"),
        ("valve.current (A^2)", "A^2"),
        ("valve.current (k\u2126)", "k\u2126"),
        ("valve.current (a)", ""),
        ("valve.current [1/ms]", "1/ms"),
        ("valve.current (milliseconds)", "milliseconds"),
        ("valve.current (V per s)", "V per s"),
    ],
)
def test_a_unit_in_the_brackets_of_a_heading_is_the_column_s(head, unit):
    (found,) = uploads("class.tsv", f"id\t{head}\nS0012\t2\n", table=True)
    assert [(one.text, one.unit) for one in found.answers] == [("2", unit)]


def test_a_table_under_another_ending_is_still_read():
    assert texts(upload("S0012.txt", "item,answer\nvalve.tau,2 ms\n")) == {"valve.tau": "2 ms"}
    assert texts(upload("S0012.csv", "valve.tau: 2 ms\n")) == {"valve.tau": "2 ms"}
    assert texts(upload("S0012", "valve.tau: 2 ms\n")) == {"valve.tau": "2 ms"}


ANSWER = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp")), min_size=1, max_size=30
).map(str.strip).filter(lambda text: text and text[0] not in "\"'`*" and text[-1] not in "*`" and not text.isspace())  # fmt: skip


@given(ANSWER)
def test_whatever_is_written_after_the_name_comes_back_untouched(answer):
    (written,) = upload("S0012.txt", f"valve.tau: {answer}").answers
    assert answer in (written.text, *written.alternatives) or written.notes


@pytest.mark.parametrize(
    "line",
    [
        "valve tau: 2 ms", "Valve-tau: 2 ms", "valve/tau = 2 ms", "valve.tau\t2 ms", "valve.tau; 2 ms", "valve.tau -> 2 ms", "valve.tau => 2 ms",
        "valve.tau → 2 ms", "Q9 valve.tau: 2 ms", "question 3) valve.tau: 2 ms", '"valve.tau": 2 ms', "(valve.tau): 2 ms",
        "valve.tau:\n2 ms", "valve.tau:\n\n  2 ms\n",
    ],
)  # fmt: skip
def test_a_name_and_its_answer_however_they_are_set_apart(line):
    found = upload("S0012.txt", f"relay.tau: 3 s\n{line}\ncurrent: 5 A\n")
    assert texts(found) == {"relay.tau": "3 s", "valve.tau": "2 ms", "valve.current": "5 A"}
    assert found.faults == ()


@pytest.mark.parametrize(
    ("line", "text"),
    [
        ("current - 3.44 mA", "3.44 mA"), ("current 4 kohm", "4 kohm"), ("(current) 8 V", "8 V"), ("current is 5 A", "5 A"),
        ("current no idea", "no idea"), ("current -5 A", "-5 A"),
    ],
)  # fmt: skip
def test_a_name_with_nothing_between_it_and_its_answer_is_read_and_said(line, text):
    for lines in (f"valve.tau: 2 ms\n{line}\n", f"{line}\nvalve.tau: 2 ms\n"):
        found = upload("S0012.txt", lines)
        assert texts(found) == {"valve.tau": "2 ms", "valve.current": text}
        assert _in_doubt(found) == ["valve.current"]


def test_a_name_that_several_problems_have_is_of_the_problem_answered_above_it():
    for below in ("tau: 3 ms", "tau = 3 ms", "tau 3 ms"):
        found = upload("S0012.txt", f"valve.current: 5 A\n{below}\n")
        assert texts(found) == {"valve.current": "5 A", "valve.tau": "3 ms"}
        assert _in_doubt(found) == ["valve.tau"]
        plainly = upload("S0012.txt", f"valve.current: 5 A\n{below}\nvalve.tau: 2 ms\n")
        assert texts(plainly) == {"valve.current": "5 A", "valve.tau": "2 ms"}
        first = upload("S0012.txt", f"{below}\nvalve.current: 5 A\n")
        assert texts(first) == {"valve.current": "5 A"}
        assert "several problems have it: valve.tau, relay.tau" in first.faults[0]


def test_an_item_named_in_full_behind_a_few_words_is_no_working():
    found = upload("S0012.txt", "I forgot: valve.tau is 2 ms\nvalve.current: 5 A\n")
    assert texts(found) == {"valve.tau": "is 2 ms", "valve.current": "5 A"}
    assert _in_doubt(found) == ["valve.tau"]
    below = upload("S0012.txt", "valve.current: 5 A\nI forgot valve.tau = 2 ms\n")
    assert texts(below) == {"valve.current": "5 A", "valve.tau": "2 ms"}


def test_working_that_begins_like_an_item_gives_way_to_the_line_that_names_it_plainly():
    found = upload("S0012.txt", "valve.tau: 2 ms\ncurrent 20/4\nvalve.current: 5 A\n")
    assert texts(found) == {"valve.tau": "2 ms\ncurrent 20/4", "valve.current": "5 A"}
    assert found.faults == ()


def test_a_second_item_on_the_line_of_the_first():
    found = upload("S0012.txt", "valve.tau: 2 ms current: 5 A\n")
    assert texts(found) == {"valve.tau": "2 ms", "valve.current": "5 A"}
    assert _in_doubt(found) == ["valve.current"]
    three = upload("S0012.txt", "valve.tau 2 ms ; current: 5 A ; relay.tau: 3 s\n")
    assert texts(three) == {"valve.tau": "2 ms", "valve.current": "5 A", "relay.tau": "3 s"}
    kept = upload("S0012.txt", "valve.current: 5 A\nvalve.tau: from current: 2 ms\n")
    assert texts(kept)["valve.tau"] == "from current: 2 ms"


@pytest.mark.parametrize(
    ("first", "below"),
    [
        ("8e^(-5t)cos(7t)", "+ 2e^(-5t)sin(7t) A"), ("8e^(-5t)cos(7t)", "- 2e^(-5t)sin(7t) A"), ("-100+j75;", "-100-j75"),
        ("6.25", "uJ"), ("3(1 -", "e^(-2t)) V"),
    ],
)  # fmt: skip
def test_a_line_below_that_goes_on_with_an_answer_stands_behind_it(first, below):
    (answer,) = upload("S0012.txt", f"valve.current: {first}\n{below}\n").answers
    assert (answer.text, answer.alternatives) == (f"{first} {below}", ())


@pytest.mark.parametrize("below", ["- 2 A", "+3 A", "/4"])
def test_a_line_below_that_may_go_on_with_an_answer_is_tried_both_ways(below):
    (answer,) = upload("S0012.txt", f"valve.current: 5 A\n{below}\nso it is\n").answers
    assert answer.text == f"5 A\n{below}\nso it is"
    assert answer.alternatives == (f"5 A {below}\nso it is",)


def test_a_name_without_an_answer_takes_no_label_and_no_heading_for_one():
    found = upload("S0012.txt", "valve.tau: 3 s\ncurrent:\nDate: 3.4.2026\n# Relay\n---\nrelay\ntau: 4 s\n")
    assert texts(found) == {"valve.tau": "3 s", "relay.tau": "4 s"}


def test_cells_beside_the_one_for_the_answer():
    found = upload("S0012.csv", "item,answer,unit,working\nvalve.tau,,6.25 ms,\ncurrent,,,20/4 = 5 A\nrelay.tau,,ms,\n")
    assert texts(found) == {"valve.tau": "6.25 ms", "valve.current": ""}
    assert found.answers[0].notes == ("It stood in the column of the unit.",)
    assert found.faults == ("Working stands beside valve.current, and no answer.",)


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ('"=10&"" ms"""', "10 ms"), ('"=""-"" & 2.5E-3 & "" A"""', "-2.5E-3 A"), ('"=""0.5"""', "0.5"), ("=10", "10"),
        ('"=10&A2"', "=10&A2"), ('"=""0"', '="0'), ('"=10+"" ms"""', '=10+" ms"'),
    ],
)  # fmt: skip
def test_a_formula_that_sets_texts_side_by_side_is_what_it_shows(cell, text):
    assert texts(upload("S0012.csv", f"item,answer\nvalve.tau,{cell}\n")) == {"valve.tau": text}


NUMBERED = known_items(tuple(("p", item) for item in ("q1", "q2", "no1", "nr3", "b", "3", "tau")))


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("q1: 2 ms\nq2: 10 V\ntau: 3 ms", {"q1": "2 ms", "q2": "10 V", "tau": "3 ms"}),
        ("Q1) 2 ms\nQ2 = 10 V", {"q1": "2 ms", "q2": "10 V"}),
        ("no1. 2 ms\nnr3 5 V", {"no1": "2 ms", "nr3": "5 V"}),
        ("(b) 2 ms\n3) 5 V", {"b": "2 ms", "3": "5 V"}),
        ("b) tau: 2 ms\nQ2: q1: 5 V", {"tau": "2 ms", "q1": "5 V"}),  # a number in front of another item's name
        ("1. tau: 2 ms\nquestion 7: q1: 5 V", {"tau": "2 ms", "q1": "5 V"}),
        ("- q1: -2 V\n> q2: 1 V", {"q1": "-2 V", "q2": "1 V"}),
    ],
)
def test_an_item_with_the_name_of_a_number_is_no_numbering(lines, said):
    found = answers_in_lines(tuple(lines.split("\n")), NUMBERED)
    assert {answer.item: answer.text for answer in found.answers} == said


FILES = tomllib.loads(Path(__file__).with_name("text_files.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("case", FILES, ids=[case["rule"] for case in FILES])
def test_which_lines_belong_to_which_item(case):
    found = upload("S0012.txt", case["file"])
    assert texts(found) == case["answers"]
    beside = {".".join(one.place): [unused.text for unused in one.unused if unused.told] for one in found.answers}
    assert {item: said for item, said in beside.items() if said} == case.get("beside", {})
    for item in case.get("doubtful", ()):
        assert item in _in_doubt(found)


@pytest.mark.parametrize(
    ("text", "waiting"),
    [
        ("relay.tau: R = 2k + 3k = 5 kohm\ncurrent = 5 A\n", ["relay.tau", "valve.current"]),
        ("relay.tau: R = 2k + 3k = 5 kohm\nvalve.current = 5 A\n", []),
        ("relay.tau: 2 ms\ncurrent = 5 A\n", []),
    ],
)
def test_a_line_that_may_be_another_item_or_the_end_of_the_answer_above_leaves_both_open(text, waiting):
    found = upload("S0012.txt", text)
    assert [".".join(one.place) for one in found.answers if one.undecided] == waiting


def test_a_dash_before_one_line_alone_is_a_mark_or_a_minus():
    (answer,) = upload("S0012.txt", "valve.current:\n- 5 A\n").answers
    assert (answer.text, answer.alternatives) == ("5 A", ("- 5 A",))


def test_working_longer_than_can_be_read_at_once_leaves_its_end_and_its_beginning():
    working = "\n".join(f"   step {number}: R = {number} k" for number in range(40))
    (answer,) = upload("S0012.txt", f"valve.tau: 3 ms\n{working}\n   so 2 ms\n").answers
    end, beginning = answer.alternatives
    assert end.endswith("so 2 ms")
    assert len(end) < len(answer.text)
    assert beginning == "3 ms"


def test_what_stands_below_a_blank_line_is_left_out_once_more_without_a_word():
    (answer,) = upload("S0012.txt", "valve.tau: 2 ms\n  R = 4k\n\nThat took 3 hours\n").answers
    assert answer.text == "2 ms\nR = 4k\nThat took 3 hours"
    assert [(one.text, one.told) for one in answer.unused] == [("2 ms\nR = 4k", False)]


def test_answers_without_a_colon_are_told_in_one_remark_on_the_file():
    found = upload("S0012.txt", "valve.tau 2 ms\nvalve.current 5 A\nhorn.choice: b\n")
    assert _in_doubt(found) == ["valve.tau", "valve.current"]
    assert "(line 1: '2 ms')" in found.faults[0]
    assert "No line begins with 'valve.tau:'" in found.answers[1].notes[0]
