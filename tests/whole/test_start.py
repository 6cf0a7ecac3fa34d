"""What a command loads before it has anything to do."""

import subprocess
import sys

HEAVY = ("flint", "lark", "sympy", "numpy", "openpyxl", "jinja2", "starlette", "sqlalchemy", "rich")


def test_help_loads_nothing_heavy():
    """Help appears at once because no command imports its tools before it runs."""
    code = (
        "import sys\nfrom grader.cli.main import build_parser\nbuild_parser().format_help()\n"
        f"print(*[name for name in {HEAVY!r} if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.split() == []
