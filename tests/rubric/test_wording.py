"""Values that texts name: said anew in practice, and told by vet where they cannot follow.  All circuits are invented."""

from flint import fmpq
from msgspec.structs import replace

from grader.rubric.files import read_rubric
from grader.rubric.personal import with_values
from grader.rubric.soundness import soundness
from grader.rubric.variation import varied
from grader.rubric.wording import named, reworded, stuck, unsaid
from grader.values.dimension import RESISTANCE, TIME, VOLTAGE

SIREN = """
title = "Drill: a siren"
[[problem]]
id = "siren"
title = "Siren on 12 V"
text = "TEXT"
ground = "g"
element = [
  {name = "Vs", kind = "voltage source", between = ["a", "g"], step = {before = "0 V", after = "12 V"}},
  {name = "R1", kind = "resistor", between = ["a", "b"], value = "RANGE"},
  {name = "R2", kind = "resistor", between = ["b", "c"], value = "3 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
]
item = [ITEMS]
"""
FINAL = '{id = "end", find = "final value", voltage = "C1", points = 1}'
TEXT = "The input steps from 0 to 12 V behind 2.0 kΩ and 3000 ohm; 12 Volunteers watch at t = 2 ms."


def siren(*items, text=TEXT, value="2 kohm"):
    toml = SIREN.replace("ITEMS", ", ".join(items or (FINAL,))).replace("TEXT", text).replace("RANGE", value)
    return read_rubric(toml.encode(), "siren.toml").problems[0]


def reach(level, **more):
    keys = "".join(f', {key} = "{text}"' for key, text in {"level": level, **more}.items())
    return f'{{id = "half", find = "time to reach", voltage = "C1", points = 1{keys}}}'


def test_a_text_names_values_in_any_notation_and_no_words():
    found = dict(named(TEXT))
    assert found == {
        (VOLTAGE, 12): "12 V",
        (RESISTANCE, 2000): "2.0 kΩ",
        (RESISTANCE, 3000): "3000 ohm",
        (TIME, fmpq(2, 1000)): "2 ms",
    }
    assert dict(named("as 5/9 V beside 4k7"))[VOLTAGE, fmpq(5, 9)] == "5/9 V"


def test_texts_name_the_new_values():
    problem = siren()
    changed = reworded(with_values(problem, {"Vs": fmpq(6), "R1": fmpq(1500)}), problem)
    assert changed.title == "Siren on 6 V"
    assert changed.text == "The input steps from 0 to 6 V behind 1.5 kΩ and 3000 ohm; 12 Volunteers watch at t = 2 ms."


def test_what_an_item_asks_for_stays():
    """4 V, and 12 V where that is the level, whatever the source has."""
    problem = siren(reach("4 V", text="When does C1 reach 4 V of the 12 V?", hint="It ends at 12 V."))
    (item,) = reworded(with_values(problem, {"Vs": fmpq(24)}), problem).items
    assert (item.text, item.hint) == ("When does C1 reach 4 V of the 24 V?", "It ends at 24 V.")
    problem = siren(reach("12 V", until="5 s", text="When would C1 reach 12 V?"))
    (item,) = reworded(with_values(problem, {"Vs": fmpq(24)}), problem).items
    assert item.text == "When would C1 reach 12 V?"


def test_a_value_that_two_elements_have_stays_and_is_told():
    problem = siren(value="3 kohm", text="Behind 3 kohm.")
    assert reworded(with_values(problem, {"R1": fmpq(1500)}), problem).text == "Behind 3 kohm."
    (sentence,) = stuck(problem)
    assert sentence.startswith("its text names 3 kohm, which several elements have")
    assert not [*stuck(siren())]


def test_a_level_that_no_text_names_is_told_and_not_practised():
    """As large as that of the resistors, which is 6 V here, is another voltage with other values."""
    words = "When is the voltage across C1 as large as that across both resistors?"
    problem = siren(FINAL, reach("6 V", text=words))
    assert unsaid(problem, problem.items[1]) == ("level",)
    (sentence,) = stuck(problem)
    assert sentence.startswith("'level' of 'half' is a value that its text does not name")
    assert [item.id for item in varied(problem, 1).items] == ["end"]
    for right in (reach("Vs/2", text=words), reach("6 V"), reach("6 V", text="When does it reach 6 V?")):
        problem = siren(FINAL, right)
        assert not [*stuck(problem)]
        assert [item.id for item in varied(problem, 1).items] == ["end", "half"]


def test_an_instant_of_the_circuits_own_needs_no_naming():
    now = '{id = "x", find = "value at", voltage = "C1", points = 1, at = "AT", text = "After one time constant"}'
    problem = siren(now.replace("AT", "5 ms"), FINAL)
    assert unsaid(problem, problem.items[0]) == ("at",)
    assert not unsaid(siren(now.replace("AT", "(R1+R2)*C1")), siren(now.replace("AT", "(R1+R2)*C1")).items[0])
    assert not unsaid(siren(now.replace("AT", "2 ms")), siren(now.replace("AT", "2 ms")).items[0])


def test_what_is_the_same_for_everybody_is_told_where_values_are_not():
    ranged = "1 kohm … 10 kohm, E6"
    (sentence,) = stuck(siren(reach("4 V"), value=ranged))
    assert sentence.startswith("the level of 'half' is the same for everybody")
    (sentence,) = stuck(siren(value=ranged, text="Behind 2.2 kohm and 3 kohm."))
    assert sentence == "its text names 2.2 kohm, but students have a value of R1 of their own."
    assert not [*stuck(siren(reach("Vs/3"), value=ranged))]


def test_instants_of_a_list_with_one_text_are_told_to_leave_it_out():
    rubric = read_rubric(
        SIREN.replace("TEXT", "")
        .replace("RANGE", "2 kohm")
        .replace(
            "ITEMS",
            '{id = "v", find = "value at", voltage = "C1", points = 2, at = ["1 ms", "2 ms"], text = "Across C1, 1 ms and 2 ms"}',
        )
        .encode(),
        "siren.toml",
    )
    assert any("leave 'text' out, and each says its instant" in remark.sentence for remark in soundness(rubric))


def test_answers_with_these_values_alone_are_told():
    """Practice keeps what the instructor accepts as a formula, and goes without what is a plain value: `vet` says so."""
    problem = siren()
    first = problem.items[0]
    plain, formula = replace(first, accept=("3 V",)), replace(first, accept=("Vs/2",))
    (sentence,) = stuck(replace(problem, items=(plain,)))
    assert sentence.startswith(f"'accept' of '{first.id}' holds an answer with these values alone")
    assert not [*stuck(replace(problem, items=(formula,)))]
