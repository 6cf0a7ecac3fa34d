"""Cut the mathematics font of the pages down to the signs that the renderers write.

``python -m tests.reports.make_font STIXMath-Regular.otf`` (Debian's package ``fonts-stix``, 1.1.1); needs fonttools and
brotli.  The licence asks a changed font to go by another name.
"""

from __future__ import annotations

import string
import sys
from pathlib import Path

FONT = Path(__file__).parents[2] / "grader" / "reports" / "fonts" / "mathematics.woff2"
NAME = "Board Mathematics"

UPRIGHT = set(string.printable.strip()) | set("\u00a0−±·×≤≥≈≠∥∞′√½∫°Ω\u2126μ\u00b5→")
GREEK = {chr(code) for code in range(ord("α"), ord("ω") + 1)}
SLANTED = {chr(code) for code in (*range(0x1D434, 0x1D468), *range(0x1D6FC, 0x1D715)) if code != 0x1D455} | {"ℎ"}
"""Mathematical italic letters, which one-letter names are drawn with (MathML Core, section 2.4)."""

SIGNS = UPRIGHT | GREEK | SLANTED


def cut(source: Path) -> None:
    """Write the subset; what a sign grows into (brackets, roots) comes along by the font's table of mathematics."""
    from fontTools import subset
    from fontTools.ttLib import TTFont

    font = TTFont(source)
    options = subset.Options(flavor="woff2", layout_features=[], name_IDs=[0, 13], hinting=False, notdef_outline=True)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=map(ord, SIGNS))
    cutter.subset(font)
    for number in (1, 4, 6):
        font["name"].setName(NAME.replace(" ", "") if number == 6 else NAME, number, 3, 1, 0x409)
    font["CFF "].cff.fontNames = [NAME.replace(" ", "")]
    top = font["CFF "].cff.topDictIndex[0]
    top.FullName = top.FamilyName = NAME
    subset.save_font(font, FONT, options)


if __name__ == "__main__":
    cut(Path(sys.argv[1]))
