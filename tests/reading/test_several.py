"""Answers where several options may hold: verdicts on letters, all but some, and clauses in words."""

import pytest

from grader.reading.refusals import CannotRead
from grader.reading.several import choose_all

FLUX = (
    "the flux of L3 is continuous",
    "the voltage across L3 is continuous",
    "the charge of C3 is continuous",
    "the current of R4 is zero",
)
RAMP = ("it starts at zero", "it never rings", "it ends at 3 A", "it overshoots", "its slope jumps")


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("a yes b no c yes", "ac"), ("a (no), b (yes), c (no)", "b"), ("a y b n c y d n", "ac"), ("a=n b=y, c=n", "b"), ("yes: a c, no: b d", "ac"), ("a: true, b: false, c: true, d: false", "ac"), ("(a) yes (b) no (c) no, it does leap (d) yes", "ad"),
        ("a, d; b is wrong", "ad"), ("a, c und d stimmen, b nicht", "acd"), ("a and c, not b", "ac"), ("true: a, d; false: b, c", "ad"),
        ("a \u2713 b \u2717 c \u2713", "ac"), ("a oui b non d oui", "ad"), ("b \u2014 no; c \u2014 yes", "c"), ("a (not b), d", "ad"), ("c is right\nd is wrong", "c"),
        ("all but b", "acd"), ("everything except a and d", "bc"), ("all but c, d", "ab"), ("all, except c, d", "ab"), ("alle au\u00dfer c", "abd"), ("tutte tranne la a", "bcd"), ("toutes sauf d", "abc"),
        ("the first two and the last", "abd"), ("the last two", "cd"), ("first and third", "ac"), ("all four", "abcd"), ("BD", "bd"), ("a c", "ac"),
        ("1 3", "13"), ("[b, d]", "bd"), ("a/c", "ac"), ("a/b/c/d", "abcd"), ("b/c", "bc"), ("none of them", ""), ("aucune", ""), ("a, c, as these are states", "ac"),
        ("a, b, c, sorry a, b, d", "abd"), ("a and c. oops: b, d", "bd"),
    ],
)  # fmt: skip
def test_verdicts_on_letters(text, letters):
    assert choose_all(text, FLUX).option == "; ".join(
        FLUX["abcd".find(one) if one.isalpha() else int(one) - 1] for one in letters
    )


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("everything except that the current of R4 is zero", "012"), ("the flux of L3 is continuous; d", "03"), ("flux of L3, charge of C3", "02"),
        ("die Spannung an L3 ist stetig; der Strom in R4 ist null", "13"), ("L3: flux continuous; C3: charge continuous", "02"),
    ],
)  # fmt: skip
def test_words_and_letters(text, places):
    assert choose_all(text, FLUX).option == "; ".join(FLUX[int(place)] for place in places)


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("1,2,5", "014"),
        ("a e b", "01"),
        ("A, B and E", "014"),
        ("a+b+e", "014"),
        ("A/B/E", "014"),
        ("A, B and E (not C, D)", "014"),
        ("e yes, a no", "4"),
        ("starts at zero and ends at 3 A", "02"),
        ("it overshoots, its slope jumps", "34"),
        ("e", "4"),
        ("a, e", "04"),
        ("never rings; it does not overshoot", "1"),
        ("a yes b no c yes d no e yes", "024"),
        ("a\u2713 b\u2717 c\u2713 d\u2717 e\u2713", "024"),
        ("a=y b=n c=y d=n e=y", "024"),
        ("a s\u00ec e b no", "0"),
    ],
)
def test_options_that_begin_with_it(text, places):
    """The pronoun may be left out, and no clause is passed over."""
    assert choose_all(text, RAMP).option == "; ".join(RAMP[int(place)] for place in places)


@pytest.mark.parametrize(
    "text",
    [
        "a to d",
        "not c, d",
        "1-3",
        "a, b, e",
        "a and d are free to leap",
        "a: leaps, d: leaps",
        "not: a, d",
        "all but sideways",
        "a; quite another thing of L3",
        "the flux of L3 is continuous; and the lamp glows",
        "a, b, sorry, also d",
        "a, c, wait, not c, but d",
    ],
)
def test_what_is_not_clear_is_told_of_several(text):
    """No range, no letter without an option, no words beside letters are passed over; the sentence asks for all."""
    with pytest.raises(CannotRead) as told:
        choose_all(text, FLUX)
    assert told.value.kind == "choices-unknown"


KEPT = ("the voltage", "the current", "the energy", "the charge")


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("a (true), b (true), c (false), d (false)", "01"), ("the voltage, since it matters, and the current", "01"), ("the voltage as well as the current", "01"),
        ("the voltage because it is given. The current because it is asked.", "01"), ("all except the energy, the charge", "01"),
        ("yes: the voltage, the current; no: the energy, the charge", "01"), ("- the voltage\n- the current", "01"), ("all", "0123"),
    ],
)  # fmt: skip
def test_words_stand_under_a_verdict_as_letters_do(text, places):
    """And a reason ends at its full stop."""
    assert choose_all(text, KEPT).option == "; ".join(KEPT[int(place)] for place in places)


@pytest.mark.parametrize(
    "text",
    [
        "wrong: the voltage, the current", "the energy and the charge, not the voltage and the current", "voltage and current yes, energy and charge no",
        "none is right", "not all", "all are wrong", "a, b right, c, d wrong", "a, not b, c and d", "a because it is asked and b because it is given",
    ],
)  # fmt: skip
def test_a_denial_that_may_reach_further_is_not_decided(text):
    """Nor is one of all."""
    with pytest.raises(CannotRead):
        choose_all(text, KEPT)


@pytest.mark.parametrize("text", ["a b e!", "a b e are right", "a b e because they keep it", "a b, e"])
def test_a_letter_that_joins_elsewhere_is_one_behind_others(text):
    """Between two of them it joins."""
    assert choose_all(text, RAMP).option == "; ".join(RAMP[place] for place in (0, 1, 4))
    assert choose_all("a e b", RAMP).option == "; ".join(RAMP[:2])


@pytest.mark.parametrize("text", ["all are wrong but c", "all false but c", "all untrue except c"])
def test_an_exception_from_what_is_wrong_is_the_one_that_holds(text):
    """All but c hold is another answer."""
    options = ("the flux jumps", "the voltage jumps", "the charge stays", "nothing flows")
    assert choose_all(text, options).option == "the charge stays"
    assert choose_all("all but c", options).option == "the flux jumps; the voltage jumps; nothing flows"
