"""One alphabet: look-alikes, LaTeX, superscripts; places lead back to what was typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.reading.text.glyphs import normalize


@pytest.mark.parametrize(
    "typed, text",
    [
        ("2.4 mA", "2.4 mA"), ("−2·3", "-2*3"), ("2×10⁻³", "2*10^(-3)"), ("e⁻⁵⁰⁰ᵗ", "e^(-500t)"), ("v₀", "v_0"), ("5 µF", "5 \u03bcF"),
        ("5 \u2126", "5 \u03a9"), (r"\frac{1}{2}", "frac{1}{2}"), (r"\left( 2 \right)", " ( 2  )"), (r"2\,\text{mA}", "2  mA "),
        (r"\mathrm{e}^{-t}", "e^{-t}"), ("τ", "tau"), ("½", "(1/2)"), ("$x$", "x"), ("\u200b2\u00a0V", "2 V"), (r"22^\circ", "22°"),
        (r"\infty", "∞"), ("２．４", "2.4"), ("2Ϫ3", "2-3"), ("v′", "v'"), (r"30 \%", "30 %"),
    ],
)  # fmt: skip
def test_plain(typed, text):
    """What each becomes."""
    assert normalize(typed).text == text


@given(st.text(alphabet="2.4eRt()−⁻⁵ᵗτµ½ $\\{}", max_size=30))
def test_places_lead_back(typed):
    """Places ascend, and a character that was kept is found where it stood."""
    line = normalize(typed)
    places = [line.original_place(place) for place in range(len(line.text))]
    assert places == sorted(places)
    assert all(0 <= place < len(typed) for place in places)
    for place, character in zip(places, line.text, strict=True):
        if character in "4R" and "\\" not in typed:
            assert typed[place] == character
