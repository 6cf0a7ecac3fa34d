"""Cut the fonts of pages and drawings down to the signs that are written.

``python -m tests.reports.make_font FOLDER`` (of Debian's package ``fonts-stix``, 1.1.1: ``stix`` and ``stix-word`` lie in it);
needs fonttools and brotli.  The licence asks a changed font to go by another name.
"""

import string
import sys
from pathlib import Path

FONTS = Path(__file__).parents[2] / "grader" / "reports" / "fonts"
FONT = FONTS / "mathematics.woff2"
NAME, LABELS = "Board Mathematics", "Board Labels"

UPRIGHT = set(string.printable.strip()) | set("\u00a0−±·×≤≥≈≠∥∞′√½∫°Ω\u2126μ\u00b5→")
GREEK = {chr(code) for code in range(ord("α"), ord("ω") + 1)} | set("ΔΛ")
SLANTED = {chr(code) for code in (*range(0x1D434, 0x1D468), *range(0x1D6FC, 0x1D715)) if code != 0x1D455} | {"ℎ"}
"""Mathematical italic letters, which one-letter names are drawn with (MathML Core, section 2.4)."""

SIGNS = UPRIGHT | GREEK | SLANTED

LETTERS = (
    UPRIGHT
    | GREEK
    | {chr(code) for first, last in ((0xC0, 0x17F), (0x386, 0x3CE), (0x410, 0x44F)) for code in range(first, last + 1)}
)
"""What labels of a drawing are written with: names may have letters of most European alphabets."""


def cut(source: Path, target: Path, name: str, signs: set[str]) -> None:
    """Write a subset; what a sign grows into (brackets, roots) comes along by the font's table of mathematics."""
    from fontTools import subset
    from fontTools.ttLib import TTFont

    font = TTFont(source)
    flavor = "woff2" if target.suffix == ".woff2" else None
    options = subset.Options(flavor=flavor, layout_features=[], name_IDs=[0, 2, 13], hinting=False, notdef_outline=True)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=map(ord, signs))
    cutter.subset(font)
    for number in (1, 4, 6):
        font["name"].setName(name.replace(" ", "") if number == 6 else name, number, 3, 1, 0x409)
    font["CFF "].cff.fontNames = [name.replace(" ", "")]
    top = font["CFF "].cff.topDictIndex[0]
    top.FullName = top.FamilyName = name
    subset.save_font(font, target, options)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    cut(folder / "stix-word" / "STIXMath-Regular.otf", FONT, NAME, SIGNS)
    for style in ("Regular", "Bold", "Italic"):
        cut(folder / "stix" / f"STIXGeneral-{style}.otf", FONTS / f"labels-{style.lower()}.otf", LABELS, LETTERS)
