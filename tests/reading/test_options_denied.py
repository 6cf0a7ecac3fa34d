"""Options that deny, options that are letters or ordinals, and words that turn what stands beside them."""

import re

import pytest

from grader.reading.meaning import things_in
from grader.reading.refusals import CannotRead
from grader.reading.several import choose_all
from grader.reading.words import choose

HEATER = ("the heater is not warm", "the heater is warm", "the relay is shut")
FLUX = ("the flux can vanish", "the flux cannot vanish", "the field cannot vanish")
BELL = ("the bell rings", "the bell does not ring", "the horn rings")
LAMPS = ("lamp C", "lamp B", "lamp A")
TAPS = ("D", "B", "A", "C")
ORDERS = ("second", "third", "first")
BOTH = ("true", "false")
TURNS = ("clockwise", "counterclockwise")
WORKED = ("R7", "R8", "R7 + R8", "R7/R8")


@pytest.mark.parametrize("dress", ["{}", "I think {}", "Answer: {}.", "so {}", "it is said that {}, as R is small"])
@pytest.mark.parametrize("options", [HEATER, FLUX, BELL])
def test_an_option_in_other_words_around_it_is_that_option(dress, options):
    """One that denies is never turned round by what stands around it."""
    for option in options:
        assert choose(dress.format(option), options).choice.option == option


@pytest.mark.parametrize("option", [HEATER[0], BELL[1]])
def test_a_denial_holds_behind_a_stop(option):
    """An end that says nothing does not say again what is denied without its denial."""
    assert choose(f"{option}; that is it", HEATER if option in HEATER else BELL).choice.option == option


@pytest.mark.parametrize("dress", ["{}", "I think {}", "Answer: {}.", "It is {}.", "{} because of R"])
@pytest.mark.parametrize("options", [TAPS, ORDERS, LAMPS])
def test_a_letter_or_ordinal_that_is_an_option_is_no_place(dress, options):
    """Where options are letters or ordinals, or told apart by letters, these count no places."""
    for option in options:
        assert choose(dress.format(option.removeprefix("lamp ")), options).choice.option == option


@pytest.mark.parametrize(
    "text, options",
    [
        ("2", ("K2", "K1")), ("the opposite is true", BOTH), ("true no current", BOTH), ("no doubt true", BOTH),
        ("not really true", BOTH), ("sometimes true", BOTH), ("against clockwise", TURNS), ("twice 3 ms", ("3 ms", "6 ms")),
        ("5 A, negative", ("5 A", "-5 A")), ("5 A, pointing up (negative)", ("5 A", "-5 A")), ("not only the flux but also the field", ("the flux", "the field", "both")),
        ("(b) D", TAPS), ("p1 != p2", ("p1 > p2", "p1 < p2", "p1 = p2")),
    ],
)  # fmt: skip
def test_what_is_turned_weakened_or_named_twice_is_not_decided(text, options):
    """A person looks."""
    with pytest.raises(CannotRead):
        choose(text, options)


@pytest.mark.parametrize(
    "text, option", [("it is not true", "false"), ("this isn't true", "false"), ("true, there is no jump", "true")]
)
def test_a_denial_that_touches_turns_the_truth(text, option):
    """One that stands elsewhere does not."""
    assert choose(text, BOTH).choice.option == option


@pytest.mark.parametrize("text", ["yes it can vanish", "no, it does not vanish"])
def test_a_yes_with_further_words_to_a_statement_that_denies_is_not_decided(text):
    """By itself it is, and so is true or false."""
    asked = things_in("The flux of a coil cannot vanish at once.")
    assert [choose(one, BOTH, frozenset(asked)).choice.option for one in ("yes", "No.", "false")] == [
        "true",
        "false",
        "false",
    ]
    with pytest.raises(CannotRead):
        choose(text, BOTH, frozenset(asked))


@pytest.mark.parametrize("text", ["not 7 V", "H/Ω", "doubles twice"])
def test_what_denies_an_option_or_works_with_one_names_none(text):
    """Nor does a factor that is said twice."""
    with pytest.raises(CannotRead):
        choose(
            text, ("7 V", "2 V") if "V" in text else ("ohm", "henry", "second") if "Ω" in text else ("doubles", "stays")
        )


SEVERAL = ("the flux is continuous", "the flux vanishes", "the lamp stays lit")


@pytest.mark.parametrize("text", ["b is false", "not a", "a, b, c false", "a yes, a no", "a or b", "neither b nor c"])
def test_verdicts_that_are_not_clear_or_uphold_nothing_are_not_decided(text):
    """Where several may hold."""
    with pytest.raises(CannotRead):
        choose_all(text, SEVERAL)


@pytest.mark.parametrize("text", ["neither R nor L", "not R, not L", "R or L", "R? L?"])
def test_options_that_are_denied_or_left_open_beside_others_are_not_decided(text):
    """Where several may hold, and are told by their words."""
    options = ("R", "L", "C", "the lamp")
    assert choose_all("R and L, as nothing is lost", options).option == "R; L"
    assert choose_all("R, L; not the lamp", options).option == "R; L"
    assert choose_all("R, not L", options).option == "R"
    with pytest.raises(CannotRead):
        choose_all(text, options)


@pytest.mark.parametrize("text, letters", [("p, not q", "p"), ("all but r", "pq"), ("the flux + the field", "fg")])
def test_a_denial_adds_no_option(text, letters):
    """Nor does it choose what it denies."""
    named = {"p": "a", "q": "b", "r": "c", "f": "the flux", "g": "the field"}
    options = ("the flux", "the field", "the lamp") if "flux" in text else ("a", "b", "c")
    for sign in "pqr" if "flux" not in text else "":
        text = re.sub(rf"\b{sign}\b", named[sign], text)
    assert choose_all(text, options).option.split("; ") == [named[letter] for letter in letters]


HUMS = ("the current rises", "the current falls", "the current stays")
LEAPS = ("the voltage jumps", "the charge jumps", "both jump", "neither jumps")
SWINGS = ("climbs to a final value", "falls to zero", "swings", "stays constant")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("the current rises rather than the current falls", 0), ("the current falls instead of the current rises", 1),
        ("the current stays statt the current falls", 2),
    ],
)  # fmt: skip
def test_what_stands_in_place_of_another_denies_that_one(text, place):
    """Never what stands before it."""
    assert choose(text, HUMS).choice.option == HUMS[place]


@pytest.mark.parametrize(
    ("text", "options"),
    [
        ("not neither jumps", LEAPS), ("the bell does not ring cannot be", BELL), ("the flux cannot vanish is not right", FLUX),
        ("not the flux cannot vanish", FLUX), ("neither swings nor falls", SWINGS), ("neither swings nor stays constant", SWINGS),
    ],
)  # fmt: skip
def test_a_denial_of_a_denial_chooses_nothing(text, options):
    """Nor does *neither* choose the word before its *nor*."""
    with pytest.raises(CannotRead):
        choose(text, options)


@pytest.mark.parametrize(
    "text",
    ["the voltage jumps. The charge flows on.", "~~the charge jumps~~ the voltage jumps"],
)  # fmt: skip
def test_an_option_that_stands_whole_is_not_overruled_by_another(text):
    """Where both are named, both are meant."""
    assert choose("the voltage jumps and the charge jumps", LEAPS).choice.option == LEAPS[2]
    assert choose("neither the voltage nor the charge jumps", LEAPS).choice.option == LEAPS[3]
    assert choose(text, LEAPS).choice.option == LEAPS[0]


@pytest.mark.parametrize(
    "dress", ["not {}", "never {}", "{} is wrong", "{} cannot be", "{} would be wrong", "{}?? no idea"]
)
def test_what_denies_an_option_that_is_worked_with_chooses_none(dress):
    """Nor does it where others are worked with."""
    for option in WORKED[:3]:
        with pytest.raises(CannotRead):
            choose(dress.format(option), WORKED)


@pytest.mark.parametrize(
    "dress",
    [
        "{}",
        "it is {}",
        "only {}",
        "{}, as L7 is not charged",
        "{} (not measured)",
        "{}, it cannot leap",
        "it does not leap, {}",
        "{}, and 3 is no such value, not that",
        "L9 - sorry, {}",
    ],
)
def test_what_stands_beside_an_option_that_is_worked_with_says_nothing(dress):
    """A denial in a reason or an aside is none of the option."""
    for option in WORKED:
        assert choose(dress.format(option), WORKED).choice.option == option


@pytest.mark.parametrize("text", ["=> 1/(R7 C7)", "1/(R7 C7) - that is it"])
def test_an_option_inside_of_another_is_not_that_one(text):
    """Where the longer one stands behind a sign."""
    assert choose(text, ("R7 C7", "1/(R7 C7)", "R7")).choice.option == "1/(R7 C7)"


@pytest.mark.parametrize(
    ("text", "place"),
    [("S7 is wrong, none of them is right", 2), ("S8; S7 is wrong", 1), ("S7 (crossed out) S8", 1), ("~~S8~~ S7", 0),
     ("if R were larger S7, here S8", 1), ("my neighbour says S8, I would say S7", 0), ("first I thought S7, but it is S8", 1)],
)  # fmt: skip
def test_what_is_taken_back_or_only_supposed_is_not_claimed(text, place):
    """What stands beside it is."""
    options = ("S7", "S8", "none of them")
    assert choose(text, options).choice.option == options[place]


PARTS = ("only L4", "only C4", "both L4 and C4", "neither")


@pytest.mark.parametrize(
    ("text", "options", "place"),
    [
        ("L4, not C4", PARTS, 0), ("C4 but not L4", PARTS, 1), ("not C4, only L4", PARTS, 0),
        ("the voltage jumps, not the charge", LEAPS, 0), ("the charge jumps but the voltage does not", LEAPS, 1),
        ("the charge does not jump, the voltage jumps", LEAPS, 0),
    ],
)  # fmt: skip
def test_of_two_the_one_that_is_not_denied_is_meant_alone(text, options, place):
    """Beside options of both and of neither."""
    assert choose(text, options).choice.option == options[place]


@pytest.mark.parametrize(
    ("text", "place"), [("both L4 and C4 rather than neither", 2), ("not both L4 and C4: only L4", 0)]
)
def test_an_option_of_both_that_stands_whole_is_not_cut_to_one(text, place):
    """Whatever is denied beside it."""
    assert choose(text, PARTS).choice.option == PARTS[place]


def test_a_way_that_is_denied_is_said_to_be():
    """What is left are two options, and the answer names none of these."""
    with pytest.raises(CannotRead) as told:
        choose("not from p to q", ("from p to q", "from q to p", "no current flows"))
    assert told.value.kind == "choice-negated"


@pytest.mark.parametrize("text", ["the current rises (not: the current falls)", "the current rises (wrong: it falls)"])
def test_a_denial_with_a_colon_is_of_what_follows_it(text):
    """Also where nothing stands before it."""
    assert choose(text, HUMS).choice.option == HUMS[0]
    with pytest.raises(CannotRead):
        choose("false: the current rises", HUMS)


@pytest.mark.parametrize(
    ("text", "place"), [("it would rise", 0), ("a), because it cannot jump", 0), ("b. The coil lets it", 1)]
)
def test_a_label_is_explained_by_what_else_is_said(text, place):
    """What would be counts where nothing else is claimed; an option that would be something does not."""
    assert choose(text, HUMS).choice.option == HUMS[place]
    with pytest.raises(CannotRead):
        choose("the current rises would be odd", HUMS)
