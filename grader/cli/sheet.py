"""``grader sheet``: the blank answer sheet of a rubric."""

from __future__ import annotations

import argparse
from pathlib import Path

SUMMARY = "Write the blank answer sheet for students: workbook, table, plain text, or a page to print."


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric and where to write."""
    parser.add_argument("rubric", metavar="RUBRIC", type=Path, help="rubric file (TOML)")
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        required=True,
        help="the sheet; its ending chooses the form: .xlsx, .csv, .txt, or .html with the schematics",
    )


def run(options: argparse.Namespace) -> int:
    """Write the sheet and say where it is."""
    from grader.reports.paper import paper
    from grader.reports.sheet import write_sheet
    from grader.rubric.files import load_rubric

    write_sheet(paper(load_rubric(options.rubric)), options.output)
    print(options.output)
    if options.output.suffix.lower() != ".html":
        print(f"The schematics are in the page: grader sheet {options.rubric} -o {options.output.with_suffix('.html')}")
    return 0
