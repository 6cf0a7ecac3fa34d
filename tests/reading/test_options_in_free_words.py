"""Options told apart in free words: pairs of subject and class, symbols, instants, elements, words that turn."""

import pytest

from grader.reading.option_formulas import chosen_by_worth
from grader.reading.refusals import CannotRead, Refusal
from grader.reading.words import choose

PAIRS = (
    "The flux keeps its value and the voltage jumps.", "The voltage keeps its value and the flux jumps.",
    "The flux jumps to its final value.", "Neither the flux nor the voltage jumps.",
)  # fmt: skip
SYMBOLS = (
    "the current rises and the voltage stays",
    "the current stays and the voltage rises",
    "both rise",
    "both stay",
)
INSTANTS = (
    "the power is larger before than after",
    "the power is larger after than before",
    "the power is as large as before",
)
ELEMENTS = ("the coil", "the capacitor", "the source")
PLACES = ("in C4", "in L4", "as heat in R4")
WAYS = ("from p to q", "from q to p", "no current flows")
ANY = ("node p", "node q", "none of them")
MORE = ("L6 is larger", "L7 is larger", "both are equal")


def chosen(text, options):
    """The place of the option that is chosen; None where a person looks."""
    try:
        return options.index(choose(text, options).choice.option)
    except CannotRead:
        return None


def decided(text, options):
    """The same, by value, unit or formula where that tells."""
    by_value = chosen_by_worth(text, "", options, {})
    if isinstance(by_value, Refusal):
        return None
    return chosen(text, options) if by_value is None else options.index(by_value.tree.option)


@pytest.mark.parametrize(
    ("text", "options", "place"),
    [
        ("Flux keeps its value and voltage jumps", PAIRS, 0), ("voltage keeps its value and flux jumps", PAIRS, 1),
        ("i rises, v doesn't", SYMBOLS, 0), ("v rises and i stays", SYMBOLS, 1), ("i: rises, v: stays", SYMBOLS, 0), ("neither rises", SYMBOLS, 3),
        ("nothing rises", SYMBOLS, 3), ("only the voltage rises", SYMBOLS, 1), ("the current rises, not the voltage", SYMBOLS, 0),
        ("p(0+) > p(0-)", INSTANTS, 1), ("nachher größer", INSTANTS, 1), ("es mayor antes", INSTANTS, 0), ("before it was larger", INSTANTS, 0),
        ("die Spule", ELEMENTS, 0), ("condensateur", ELEMENTS, 1), ("батарея", ELEMENTS, 2), ("en chaleur dans R4", PLACES, 2),
        ("keiner von beiden", ANY, 2), ("aucun", ANY, 2), ("none, both are held", ANY, 2), ("L7 and L6 are the same", MORE, 2), ("neither is larger", MORE, 2),
        ("200 microseconds", ("200 µs", "200 ms", "20 µs"), 0),
    ],
)  # fmt: skip
def test_what_is_said_of_each(text, options, place):
    assert choose(text, options).choice.option == options[place]


@pytest.mark.parametrize(
    ("text", "options"),
    [
        ("from x to q", WAYS), ("against the direction p to q", WAYS), ("it reverses, before it was p to q", WAYS), ("in C4, later as heat in R4", PLACES),
        ("L6 is not larger than L7", MORE), ("L6 is not larger", MORE), ("true only if R = 0", ("true", "false")),
        ("I do not believe this is false", ("true", "false")), ("less negative", ("rises", "falls")), ("non-negative", ("positive", "negative")), ("non-positive", ("positive", "negative")), ("5 or 7 V", ("5 V", "7 V")),
        ("0.5 V", ("0.5 A", "2 A")), *((one, ("true", "false")) for one in ("false is wrong", "it is false that it is false", "no, false is wrong", "false = no")),
        *((one, ("rises", "falls")) for one in ("stops rising", "fails to rise", "anything but rises", "rises: false", "rises ✗", "rises, not!", "all except rises")),
        ("immediately after it", ("before t = 0", "after a long time")), ("i = 3 A; KCL: v = -6 V", ("the voltage of L4 jumps", "the flux of L4 stays")),
    ],
)  # fmt: skip
def test_what_is_not_clear_is_not_decided(text, options):
    """A person looks."""
    with pytest.raises(CannotRead):
        choose(text, options)


@pytest.mark.parametrize(
    ("text", "type_"),
    [
        ("alpha equals omega0", "critically damped"),
        ("alpha is less than w0", "underdamped"),
        ("ω0 is larger than α", "underdamped"),
        ("ζ ist größer als 1", "overdamped"),
        ("overdamped (ζ = 1,3)", "overdamped"),
    ],
)
def test_a_comparison_in_words_tells_a_damping_type(text, type_):
    assert choose(text, ()).choice.option == type_


@pytest.mark.parametrize(("text", "place"), [("2", 1), ("current in L8", 1), ("about 3 tau", None)])
def test_a_figure_is_a_place_unless_options_are_told_apart_by_it(text, place):
    options = ("the voltage across L8", "the current through L8", "the power in R9") if place else ("τ", "2τ", "3τ")
    assert choose(text, options).choice.option == options[2 if place is None else place]


def test_what_is_said_of_another_signal_is_not_decided():
    options = ("rises", "stays", "falls")
    assert choose("the voltage rises", options, frozenset({"thevoltage"})).choice.option == "rises"
    with pytest.raises(CannotRead):
        choose("the current rises", options, frozenset({"thevoltage"}))


DECAYS = (
    "The current of L4 swings below zero and dies away.",
    "The current of L4 sinks to zero without ever going below it.",
    "The current of L4 keeps swinging without end.",
)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("sinks to zero without going below", 1), ("it sinks to 0 and never goes below it", 1), ("overdamped, it sinks to zero without going below it", 1),
        ("swings below zero, dies away", 0), ("swinging without end", 2),
        ("sinks to zero or swings below zero", None), ("sinks to zero and swings", None), ("wrong: sinks to zero without going below", None),
    ],
)  # fmt: skip
def test_a_part_of_an_option_in_its_own_words(text, place):
    """What one option says by itself, leaving out words; of what two say nobody knows which."""
    assert chosen(text, DECAYS) == place


TURNED = (
    "both keep their direction",
    "only the current turns round",
    "only the voltage turns round",
    "both turn round",
)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("the voltage reverses, the current stays", 2), ("v flips, i keeps its direction", 2), ("Strom bleibt, Spannung dreht sich um", 2),
        ("i is held by the coil, v changes its sign", 2), ("the direction of the current remains, that of the voltage reverses", 2), ("only v", 2),
        ("the current turns round, the voltage stays", 1), ("v does not turn round, i does", 1), ("neither turns round", 0), ("both stay", 0),
        ("i reverses and so does v", 3), ("v and i change sign", 3),
        ("the voltage stays", None), ("the current does not turn round", None), ("i", None),
    ],
)  # fmt: skip
def test_what_keeps_its_direction_and_what_turns_round(text, place):
    """An option that denies of a thing that it turns round is meant by who says that it stays."""
    assert chosen(text, TURNED) == place


AT_FIRST = (
    "like a short circuit",
    "like an open circuit",
    "like a 2 kΩ resistor",
    "like a source of its initial voltage",
)
HEAT = ("R4 gets more heat", "R6 gets more heat", "both get the same heat")
PEAK = ("immediately after closing", "after one time constant", "after a very long time", "never")
WHY = (
    "because the current in L4 cannot jump", "because the voltage on C4 cannot jump", "because R6 limits the current",
    "because the source is constant",
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "options", "place"),
    [
        ("as a short since it is empty", AT_FIRST, 0), ("acts as a short", AT_FIRST, 0), ("not open, it acts as a short circuit", AT_FIRST, 0),
        ("a source of the voltage it had", AT_FIRST, 3), ("like a wire", AT_FIRST, None),
        ("R4", HEAT, 0), ("R6, because it is larger", HEAT, 1), ("R4 and R6", HEAT, None), ("R8", HEAT, None), ("not R4", HEAT, None),
        ("immediately", PEAK, 0), ("in the end", PEAK, 2), ("at infinity", PEAK, 2), ("after tau", PEAK, 1),
        ("it was rising, now it falls", ("rises", "falls"), 1), ("was falling, is rising now", ("rises", "falls"), 0),
        ("vC4 cannot change abruptly", WHY, 1), ("i_L4 can't change instantly", WHY, 0), ("the current cannot jump", WHY, 0),
        ("the voltage does not jump", WHY, 1), ("i_L4 stays the same", WHY, None), ("R6 limits it", WHY, 2),
    ],
)  # fmt: skip
def test_symbols_and_sudden_changes_are_words_of_the_options(text, options, place):
    assert chosen(text, options) == place


FIRST = ("like a short circuit", "like an open circuit", "like a resistor of 2 kΩ")
WHEN = ("at t = 0+", "at t = tau", "for t -> infinity")
UNITS = ("ohm times farad", "henry per volt", "volt over ampere", "joule over coulomb")
HEATED = ("R4 dissipates more", "R6 dissipates more", "both dissipate the same")
MOVES = ("v4 rises, v6 falls", "v4 falls, v6 rises", "both rise", "both fall")
RINGS = ("it rings longer", "it rings shorter", "it no longer rings")
ROUND = ("only the voltage turns round", "only the current turns round", "both turn round")

WAYS_TO = (
    "rises to a constant value",
    "swings around zero with decreasing amplitude",
    "rises from zero to a maximum, then falls to zero",
)
KEPT = ("voltage of L4", "voltage of R6", "current of R6", "current of L4")
TAUS = ("L4/R4", "L4/R6", "L4/(R4 + R6)", "L4 (R4 + R6)", "(R4 + R6)/L4")
LETTERS = ("R C", "R/C", "C/R")
ORDERS = ("X, Y, Z", "Y, X, Z", "Y, Z, X", "Z, Y, X")
SCALES = ("doubles", "halves", "stays the same")
LONG = ("longer", "equally long", "shorter")
SIGN = ("positive", "zero", "negative")

CURVES = (
    "jumps to 9 V and stays there",
    "rises to 9 V without overshoot",
    "rises above 9 V and settles with decaying oscillations",
    "oscillates around 0 V",
)
FALLING = ("V0 exp(-t/(R4 C4))", "V0 exp(-t/(R6 C4))", "V0 (1 - exp(-t/(R6 C4)))", "none of these")


@pytest.mark.parametrize(
    ("text", "options", "place"),
    [
        ("L4", ("through R4", "through L4", "into C4", "half through R4, half through L4"), 1), ("from p to q and back", WAYS, None), ("p <-> q", WAYS, None), ("any but q", ANY, None), ("±5 V", ("5 V", "-5 V", "0 V"), None), ("5 kV", ("5 V", "-5 V", "0 V"), None), ("0.005 kV", ("5 V", "-5 V", "0 V"), 0), ("+5 V", ("5 V", "-5 V", "0 V"), 0), ("any except overdamped", ("overdamped", "underdamped", "undamped"), None),
        ("Kurzschluss", FIRST, 0), ("wie eine Unterbrechung", FIRST, 1), ("cortocircuito", FIRST, 0), ("circuit ouvert", FIRST, 1), ("no short, it is open", FIRST, 1),
        ("short at first, later open", FIRST, 0), ("neither short nor open", FIRST, 2),
        ("t = 0+", WHEN, 0), ("at the start", WHEN, 0), ("at once", WHEN, 0), ("t → ∞", WHEN, 2), ("∞", WHEN, None), ("in the end", WHEN, 2), ("t = 0-", WHEN, None),
        ("Ω·F", UNITS, 0), ("F*ohm", UNITS, 0), ("H/V", UNITS, 1), ("V/A", UNITS, 2), ("ohms", UNITS, 2), ("J/C", UNITS, 3), ("A/V", UNITS, None), ("V·A", UNITS, None),
        ("R6 dissipates less", HEATED, 0), ("R6 is smaller", HEATED, None), ("R6 has less resistance", HEATED, None), ("R4 has the smaller resistance and dissipates more", HEATED, None), ("R4 less", HEATED, 1), ("R4 less, R6 more", HEATED, 1), ("not R6 but R4", HEATED, 0), ("R4, not R6", HEATED, 0), ("not less in R4", HEATED, None),
        ("v4↑ v6↓", MOVES, 0), ("v4 falls v6 rises", MOVES, 1), ("v4 less", MOVES, None), ("v6 rises", MOVES, None),
        ("shorter ringing", RINGS, 1), ("it does not ring any more", RINGS, None), ("no longer", RINGS, 2),
        ("the voltage and also the current turn round", ROUND, 2), ("the voltage, and likewise the current", ROUND, None),
        ("it is zero at the end", WAYS_TO, None), ("0 → max → 0", WAYS_TO, None), ("2 (1 - e^(-5t)) A, up to its end", WAYS_TO, None),
        ("the coil's current", KEPT, 3), ("iL", KEPT, 3), ("the voltage across the coil", KEPT, 0), ("i(R6)", KEPT, 2),
        ("tau = L4/(R6+R4)", TAUS, 2), (r"$\frac{L_4}{R_4+R_6}$", TAUS, 2), ("L4·(R4+R6)^-1", TAUS, 2), ("L/(R4+R6)", TAUS, 2), ("1/(R4/L4 + R6/L4)", TAUS, 2),
        ("L4/R4 + L4/R6", TAUS, None), ("c", TAUS, 2), ("the third", TAUS, 2), ("C R", LETTERS, 0), ("R over C", LETTERS, 1), ("R·C²", LETTERS, None),
        ("first Y, then X, Z comes last", ORDERS, 1), ("Y < X < Z", ORDERS, 1), ("Y first", ORDERS, None), ("X after Y, Z last", ORDERS, None), ("not X, Y, Z", ORDERS, None),
        ("X, Y, Z, sorry: Y, X, Z", ORDERS, 1), ("Y, X, Z, as X needs time", ORDERS, 1), ("b", ORDERS, 1), ("Z > X > Y", ORDERS, None), ("a: Y is the largest", ORDERS, 0), ("Y least, X, Z most", ORDERS, None), ("Y = 2 W, X = 4 W, Z = 8 W", ORDERS, None), ("R4 > R6 > R8", ("R4 > R6 > R8", "R6 > R4 > R8"), 0), ("R8 < R6 < R4", ("R4 > R6 > R8", "R6 > R4 > R8"), None),
        ("(b) since R is twice as big", SCALES, 1), ("by a factor of 2", SCALES, None), ("by the factor 1/2", SCALES, 1), ("true [x] false [ ]", ("true", "false"), 0), ("[ ] true [x] false", ("true", "false"), 1), ("grows by a factor of 2", SCALES, 0),
        ("longer. C4 gets less current so it needs more time", LONG, 0), ("neither shorter nor equally long but longer", LONG, 0), ("minus / negative", SIGN, 2), ("plus / negative", SIGN, None),
        ("overshoot, then damped oscillation around 9 V", CURVES, 2), ("it rings around 9 V and ends there", CURVES, None), ("third curve", CURVES, 2),
        ("no overshoot", CURVES, 1), ("without overshoot it rises to 9 V", CURVES, 1), ("it rises, c and d are not stable", CURVES, 1),
        ("V0*e^(-t/(R6*C4))", FALLING, 1), ("V0 - V0 e^(-t/(R6 C4))", FALLING, 2), ("V0 exp(-t/(C4 (R4 + R6)))", FALLING, None), ("none of these", FALLING, 3),
    ],
)  # fmt: skip
def test_what_an_answer_in_free_words_decides(text, options, place):
    """Short and open circuits, instants, units, elements, formulas and orders; what has less, is left out or compared."""
    assert decided(text, options) == place


def test_what_is_compared_with_the_thing_asked_does_not_choose():
    """16 V is smaller than the voltage: the voltage is larger."""
    options = ("larger", "as large", "smaller")
    with pytest.raises(CannotRead):
        choose("the 16 V are smaller than the voltage across R6", options, frozenset({"thevoltage"}))
    assert choose("smaller than before", options, frozenset({"thevoltage"})).choice.option == "smaller"
