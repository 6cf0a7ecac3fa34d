"""What may stand on the command line: every command with its arguments, declared without any of its tools."""

import argparse
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from grader import __version__


def _rubric(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("rubric", metavar="RUBRIC", type=Path, help="rubric file (TOML)")


def _secret(parser: argparse.ArgumentParser, more: str = "") -> None:
    means = f"the secret file from which personal values are drawn{more}"
    parser.add_argument("--secret", metavar="FILE", type=Path, help=means)


def _watch(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--watch",
        action="store_true",
        help="with --html: write the page anew at every save of the rubric, and show it at an address of this machine",
    )


def _data(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--data", metavar="DIR", type=Path, default=Path("grader-data"), help="data folder (default: %(default)s)"
    )


def explain(parser: argparse.ArgumentParser) -> None:
    """Declare the word."""
    parser.add_argument(
        "word",
        metavar="WORD",
        nargs="*",
        help="a name as it stands in a rubric (time to reach), a topic, or a group (finds); without it all names",
    )


def vary(parser: argparse.ArgumentParser) -> None:
    """Declare the problem, the ranges, how many, and where to write."""
    _rubric(parser)
    parser.add_argument("problem", metavar="PROBLEM", help="id of the problem")
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=Path, required=True, help="the rubric to be written (.toml)"
    )
    parser.add_argument(
        "--range",
        metavar="NAME=RANGE",
        action="append",
        default=[],
        help='values that an element may take, as in "R1=1 kohm … 10 kohm, E6" or "Vs=12 V … 48 V, step 4 V"; '
        "preferred values from half to twice its own unless given; may be repeated",
    )
    parser.add_argument(
        "--count",
        metavar="N",
        type=int,
        choices=range(1, 21),
        default=3,
        help="how many proposals (default: %(default)s)",
    )
    parser.add_argument("--seed", metavar="N", type=int, default=0, help="another number gives other proposals")


def solve(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric and the forms of output."""
    _rubric(parser)
    parser.add_argument("--problem", metavar="ID", help="this problem only")
    parser.add_argument("--html", metavar="FILE", type=Path, help="write answers and worked solution as a page, too")
    _watch(parser)
    parser.add_argument("--student", metavar="ID", help="with the personal values of this student of the roster")
    _secret(parser)
    parser.add_argument("--json", action="store_true", help="print the answers as JSON, in SI base units")


def vet(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric."""
    _rubric(parser)
    parser.add_argument("--mistakes", action="store_true", help="list the mistakes that lead to a right answer, too")
    parser.add_argument("--html", metavar="FILE", type=Path, help="write the remarks as a page with the drawings, too")
    _watch(parser)
    parser.add_argument("--strict", action="store_true", help="end with status 1 where something is worth a look")


def sheet(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric, where to write, and for whom."""
    _rubric(parser)
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        required=True,
        help="the sheet; its ending chooses the form: .xlsx, .csv, .txt, or .html with the schematics; "
        "with --roster the folder for the students' sheets",
    )
    parser.add_argument(
        "--key",
        action="store_true",
        help="the key in place of the sheet (.html or .txt): answers with points by part, likely wrong answers with what they earn",
    )
    parser.add_argument(
        "--roster", metavar="FILE", type=Path, help="write a sheet for every student, with the id on it"
    )
    _secret(parser, "; made if it is not there")


def grade(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric, the uploads, the results folder and the options."""
    _rubric(parser)
    parser.add_argument(
        "uploads", metavar="UPLOADS", type=Path, help="folder or zip of uploads, or one table with a row per student"
    )
    parser.add_argument("-o", "--output", metavar="RESULTS", type=Path, required=True, help="folder for the results")
    parser.add_argument("--roster", metavar="FILE", type=Path, help="table of students: id, name, section")
    parser.add_argument(
        "--table",
        metavar="FILE",
        type=Path,
        help="a table of the class, a row per student, among the uploads or elsewhere",
    )
    parser.add_argument("--decisions", metavar="FILE", type=Path, help="review list with decisions filled in")
    _secret(parser)
    parser.add_argument("--workers", metavar="N", type=int, help="worker processes (default: one per processor)")
    parser.add_argument(
        "--pages-only", action="store_true", help="give students a page each and no workbook: quicker, fewer files"
    )
    parser.add_argument(
        "--into",
        metavar="TABLE",
        type=Path,
        help="fill points into a copy of this table (.csv or .xlsx), which has the students' ids in a column; with --column",
    )
    parser.add_argument(
        "--column",
        metavar="HEADING[=ITEM]",
        action="append",
        default=[],
        help="the column to be filled with totals, or with the points of an item (problem.item); may be repeated",
    )
    parser.add_argument("--strict", action="store_true", help="end with status 1 when something needs review")
    parser.add_argument("--cluster", metavar="ADDRESS", default="", help="mark on a cluster with this scheduler")


def try_(parser: argparse.ArgumentParser) -> None:
    """Declare the rubric, the file, and whether to go on."""
    _rubric(parser)
    parser.add_argument("file", metavar="FILE", type=Path, help="the answers: a filled sheet or a text file")
    _secret(parser)
    parser.add_argument("--student", metavar="ID", help="whose personal values, where the file does not tell")
    parser.add_argument("--watch", action="store_true", help="look again at every save, until Ctrl-C")


PORT = 8118


LOOPBACK = ("127.0.0.1", "::1", "localhost")


PROXY_HELP = """\
The server speaks plain http and listens on this machine alone. To let a class in, put a reverse proxy that does TLS
in front of it: let the proxy hand on the Host header and set X-Forwarded-For and X-Forwarded-Proto itself, and name
its address with --proxy (127.0.0.1 where it runs on this machine). Cookies are then sent over https alone, and limits
count the visitors' own addresses. The instructor's passphrase is taken from GRADER_PASSPHRASE at the first start, or
made and printed once."""


def _time(text: str) -> datetime:
    try:
        time = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is no time; write it as in 2026-03-02T17:00") from None
    return time.astimezone()  # without an offset it is local time


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) > 65535:
        raise argparse.ArgumentTypeError(f"'{text}' must be a whole number from 0 to 65535")
    return int(text)


def _positive(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"'{text}' must be a whole number from 1 on")
    return int(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = -1.0
    if not 0 <= seconds <= 30 * 86400:
        raise argparse.ArgumentTypeError(f"'{text}' must be a number of seconds, zero or greater")
    return seconds


def serve(parser: argparse.ArgumentParser) -> None:
    """Declare what is served, to whom, and by which rules."""
    parser.epilog = PROXY_HELP
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("rubrics", metavar="RUBRIC", nargs="+", type=Path, help="rubric files (TOML), a sheet each")
    parser.add_argument("--roster", metavar="FILE", type=Path, required=True, help="the students, with their ids")
    _data(parser)
    parser.add_argument(
        "--port", metavar="N", type=_port, default=PORT, help="port (default: %(default)s; 0: any free one)"
    )
    parser.add_argument(
        "--host", metavar="ADDRESS", default=LOOPBACK[0], help="address to listen on (default: %(default)s)"
    )
    parser.add_argument("--proxy", metavar="ADDRESS", help="address of the reverse proxy that does TLS (see below)")
    parser.add_argument("--database", metavar="URL", help="database (default: an SQLite file in the data folder)")
    parser.add_argument(
        "--due", metavar="TIME", type=_time, help="no attempts from then on, as in 2026-03-02T17:00 (local time)"
    )
    parser.add_argument(
        "--attempts", metavar="N", type=_positive, help="most attempts of a student at a sheet (default: any number)"
    )
    parser.add_argument(
        "--keep", choices=("best", "last"), default="best", help="which attempt counts (default: %(default)s)"
    )
    parser.add_argument("--wait", metavar="SECONDS", type=_seconds, default=0.0, help="least time between two attempts")


def codes(parser: argparse.ArgumentParser) -> None:
    """Declare the roster, where to write, and whose codes to replace."""
    parser.epilog = (
        "Only hashes of the codes are kept in the data folder: a code that is lost can be replaced, never shown again. "
        "Who has a code already keeps it. A running server takes new codes at once."
    )
    parser.add_argument("roster", metavar="ROSTER", type=Path, help="the students, with their ids")
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=Path, required=True, help="the table of new codes (.csv)"
    )
    _data(parser)
    parser.add_argument(
        "--renew", metavar="ID", action="append", default=[], help="replace this student's code; may be repeated"
    )


def audit(parser: argparse.ArgumentParser) -> None:
    """Declare the results folders and where to write."""
    parser.add_argument("results", metavar="RESULTS", nargs="+", type=Path, help="folder that 'grader grade' wrote")
    parser.add_argument(
        "-o", "--output", metavar="FOLDER", type=Path, help="where to write (default: the last results folder)"
    )


COMMANDS: dict[str, tuple[Callable[[argparse.ArgumentParser], None], str]] = {
    "explain": (
        explain,
        "Explain what a rubric may hold: element kinds, finds, keys, settings, mistakes; with examples.",
    ),
    "vary": (
        vary,
        "Propose other values for a problem, with clean answers, and mistakes further apart than the tolerance; written as a rubric.",
    ),
    "solve": (solve, "Solve a rubric's circuits: reference answers and worked solution."),
    "vet": (vet, "Check a rubric: every fault in it, and the hand-worked key against the solver."),
    "sheet": (
        sheet,
        "Write the blank answer sheet (workbook, table, plain text, or a page to print), or a sheet for every student.",
    ),
    "grade": (grade, "Mark all uploads of a section; write gradebook, feedback, review list and audit."),
    "try": (try_, "Give instant feedback on one file of answers."),
    "serve": (serve, "Give instant feedback in a browser, from a server on this machine."),
    "codes": (codes, "Make personal access codes for a roster, to be handed out to the students."),
    "audit": (audit, "Audit what a class got wrong, and how: audit.html and audit.xlsx."),
}
"""What declares each command's arguments, and what it is for; in the order an instructor meets them."""


def build_parser() -> argparse.ArgumentParser:
    """The whole command line."""
    parser = argparse.ArgumentParser(
        prog="grader", description="Grades students' answers to transient-circuit problems."
    )
    parser.add_argument("--version", action="version", version=f"grader {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, (declare, summary) in COMMANDS.items():
        declare(commands.add_parser(name, help=summary, description=summary))
    return parser
