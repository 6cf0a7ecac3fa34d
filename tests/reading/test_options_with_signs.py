"""Options told apart by a sign, a comparison, an operator or a decimal point."""

import pytest

from grader.reading.reader import Refusal, read

FAMILIES = (
    ("-4 V", "4 V", "0 V"),
    ("-6 V high", "+6 V high"),
    ("tau > 7 ms", "tau < 7 ms", "tau = 7 ms"),
    ("> 3 A", "< 3 A", "= 3 A"),
    ("α > ω0", "α < ω0", "α ≠ ω0", "α = ω0"),
    ("R1 + R2", "R1 - R2", "R1 R2", "R1/R2", "R1"),
    ("(R1 + R2)*C", "R1 + R2*C"),
    ("2.5 V", "25 V", "-2.5 V"),
    ("1/2 of it", "12 of it"),
    ("e^(-t/τ)", "e^(t/τ)"),
    ("a pulse, -8 V high", "a pulse, 8 V high", "a ramp"),
)


@pytest.mark.parametrize("expects", ["choice", "choices"])
@pytest.mark.parametrize(("options", "option"), [(family, one) for family in FAMILIES for one in family])
def test_an_option_to_the_letter_is_that_option(options, option, expects):
    for typed in (option, f" {option.upper()} ", option.replace("-", "−")):
        found = read(typed, expects=expects, options=options)
        assert not isinstance(found, Refusal), found.sentence
        assert found[0].tree.option == option


@pytest.mark.parametrize(
    ("text", "options", "option"),
    [
        ("+4V", FAMILIES[0], "4 V"),
        ("it is -4V", FAMILIES[0], "-4 V"),
        ("v = 4 V", FAMILIES[0], "4 V"),
        ("6 V high", FAMILIES[1], "+6 V high"),
        ("tau<7ms", FAMILIES[2], "tau < 7 ms"),
        ("R1-R2", FAMILIES[5], "R1 - R2"),
        ("I take R1 - R2", FAMILIES[5], "R1 - R2"),
        ("(R1+R2) * C", FAMILIES[6], "(R1 + R2)*C"),
        ("2,5 V", FAMILIES[7], "2.5 V"),
        ("25V", FAMILIES[7], "25 V"),
        ("ramp", FAMILIES[10], "a ramp"),
        ("a pulse, -8V high", FAMILIES[10], "a pulse, -8 V high"),
        ("rectangular", ("rectangular, -3 V high", "a sine"), "rectangular, -3 V high"),
        ("a short - circuit", ("an open circuit", "a short circuit"), "a short circuit"),
        ("b", FAMILIES[0], "4 V"),
        ("2", ("4 V", "2 V"), "2 V"),
    ],
)  # fmt: skip
def test_what_is_written_loosely(text, options, option):
    found = read(text, expects="choice", options=options)
    assert not isinstance(found, Refusal), found.sentence
    assert found[0].tree.option == option


@pytest.mark.parametrize(
    ("text", "options"),
    [
        ("rectangular, 3 V high", ("rectangular, -3 V high", "a sine")),
        ("-4 V", ("4 V", "0 V")),
        ("0.4 V", ("4 V", "0 V")),
        ("25V", ("2.5 V", "-2.5 V")),
        ("R1 - R2", ("R1 + R2", "R1")),
        ("R1 + R2", ("R1 + R2 + R3", "R1*R2")),
        ("tau > 7 ms", ("tau < 7 ms", "7 ms")),
        ("R1 + R2C", ("(R1 + R2)C", "R1/C")),
        ("-2", ("2 V", "4 V")),
        ("2", ("25 V", "2.5 V")),
        ("falls to 3 V", ("falls to -3 V", "rises to 5 V")),
    ],
)
def test_what_has_another_sign_is_no_option(text, options):
    assert isinstance(read(text, expects="choice", options=options), Refusal)


def test_options_with_commas_are_listed_apart():
    found = read("sideways", expects="choice", options=FAMILIES[10])
    assert "; ".join(FAMILIES[10]) in found.sentence
