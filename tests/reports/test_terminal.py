"""Feedback in the terminal: what was read and how it stands, in words; no colour needed, no reference answer."""

import io

from msgspec.structs import replace
from rich.console import Console

from grader.reports.terminal import print_feedback
from tests.reports.report_samples import marked, rubric


def printed(faults=()):
    out = io.StringIO()
    print_feedback(Console(file=out, width=200, highlight=False), rubric(), marked(), faults)
    return out.getvalue()


def test_what_was_read_and_how_it_stands():
    text = printed()
    for expected in (
        "Solenoid valve\n",
        "✓ i0  Initial value: current in L1 just after switching  Right, 1 of 1\n",
        "    you wrote 4/80mH, read as 50 1/s\n",
        "✗ tau  Time constant τ  Not yet, 0 of 2\n",
        "    ? Work out the unit of your expression: is it seconds?\n",
        "    ✓ time constant: right, following your earlier answer, 2 of 2\n",
        "? v0  Initial value: voltage across C1 just after switching  Could not be read, 0 of 1\n",
        "    A person will still look at this answer.\n",
        "– heat  Where does the energy go?  No answer, 0 of 1\n",
        "4 of 9 points\n",
    ):
        assert expected in text
    assert "For the instructor alone" not in text


def test_faults_of_the_file_come_first():
    assert printed(("A hidden sheet was left out.",)).startswith("! A hidden sheet was left out.\n")


def test_square_brackets_of_students_are_no_markup():
    out = io.StringIO()

    marks = replace(marked(), marks=(replace(marked().marks[0], answer="[bold]2[/bold] \x1b[31m A"),))
    print_feedback(Console(file=out, width=200), rubric(), marks)
    assert "[bold]2[/bold] ‹U+001B›[31m A" in out.getvalue()
