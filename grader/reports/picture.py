"""A drawing as a picture, for files that take no vectors; its labels in fonts of our own, so that it is the same everywhere."""

from functools import lru_cache
from pathlib import Path

from grader.reports.workbook import INK

FONTS = tuple(str(file) for file in sorted((Path(__file__).parent / "fonts").glob("labels-*.otf")))
FAMILY = "Board Labels"

ZOOM = 2
"""Pixels for each of the drawing's own: sharp on paper and on dense screens."""


@lru_cache(maxsize=64)
def picture(svg: str) -> bytes | None:
    """A drawing as PNG, `ZOOM` times its size; None on a machine for which the renderer is not built."""
    try:
        from resvg_py import svg_to_bytes
    except ImportError:
        return None
    inked = svg.replace("currentColor", INK).replace("Helvetica, Arial, sans-serif", FAMILY)
    return bytes(
        svg_to_bytes(
            svg_string=inked, background="#ffffff", zoom=ZOOM, skip_system_fonts=True, font_files=list(FONTS),
            font_family=FAMILY, sans_serif_family=FAMILY,
        )
    )  # fmt: skip


def height(png: bytes) -> int:
    """The height of a picture in the drawing's own pixels (PNG, header chunk)."""
    return int.from_bytes(png[20:24]) // ZOOM
