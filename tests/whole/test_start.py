"""What a command loads before it has anything to do."""

import subprocess
import sys

HEAVY = ("flint", "sympy", "numpy", "openpyxl", "jinja2", "starlette", "sqlalchemy", "rich")


def loaded_by(code: str) -> set[str]:
    """The heavy libraries that a new interpreter has loaded after running that code."""
    code += f"\nimport sys\nprint(*[name for name in {HEAVY!r} if name in sys.modules])"
    return set(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split())


def test_help_loads_nothing_heavy():
    """Help appears at once because no command imports its tools before it runs."""
    assert loaded_by("from grader.cli.main import build_parser\nbuild_parser().format_help()") == set()


def test_a_run_loads_what_its_results_need_while_workers_mark():
    """What only the audit, the gradebook and the pages need must not keep the first upload waiting: exact algebra alone does."""
    assert loaded_by("import grader.run.grade, grader.marking.key, grader.rubric.files") == {"flint"}
