"""The command ``grader``: finds the command named, runs it, turns errors into one sentence.

Every command is one module of this package with ``run(options)``, loaded when it is called, so that help appears at once;
its arguments are declared in ``commands.toml``.
"""

# ruff: noqa: E402
# No import from __future__ here: it, too, would be looked for where the path still leads.
from grader.jobs.safe_path import secure

secure()  # before anything else is imported

import argparse
import errno
import importlib
import io
import os
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path

from grader.cli.parser import build_parser
from grader.errors import GraderError, UsageError
from grader.jobs import bounds

DONE, WRONG_CALL, OWN_FAULT = 0, 2, 3


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; the exit status is 0 done, 1 needs review (with --strict), 2 wrong rubric or call.

    A fault of the program itself ends with status 3 and one sentence that says where; with ``GRADER_TRACE`` in the
    environment Python's own trace is shown instead.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a terminal that has no τ shows a question mark
            stream.reconfigure(errors="replace")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # threads for a class's statistics would take memory alone
    try:
        options = build_parser().parse_args(words)
        secure(*_folders(options))
        bounds.require_memory()
        command = "try_" if options.command == "try" else options.command  # try is a keyword of Python
        return int(importlib.import_module(f"grader.cli.{command}").run(options))
    except GraderError as error:
        print(error, file=sys.stderr)
        return WRONG_CALL
    except BrokenPipeError:
        sys.stderr.close()  # whoever read our output has gone; say nothing at exit either
        return DONE
    except KeyboardInterrupt:
        print("Stopped; what was finished is kept.", file=sys.stderr)
        return WRONG_CALL
    except MemoryError:
        print("There is not enough memory; close other programs. What was finished is kept.", file=sys.stderr)
        return WRONG_CALL
    except ImportError as error:  # also what a library says that finds no room
        print(
            f"A part of the program cannot be loaded ({error}): there is not enough memory, or it is not installed "
            "whole. Close other programs, or install it again. What was finished is kept.",
            file=sys.stderr,
        )
        return WRONG_CALL
    except Exception as error:  # the last line of defence: no trace reaches a user
        if os.environ.get("GRADER_TRACE"):
            raise
        print(_own_fault(error), file=sys.stderr)
        return OWN_FAULT


def _folders(options: argparse.Namespace) -> set[str]:
    """Every folder that a call names, and those of the files that it names; no name is too long or leads in a circle."""
    given = [value if isinstance(value, list) else [value] for value in vars(options).values()]
    paths = [path for values in given for path in values if isinstance(path, Path)]
    for path in paths:
        try:
            path.stat()
        except OSError as error:  # of any other each command says what it needs
            if error.errno in {errno.ELOOP, errno.ENAMETOOLONG}:
                raise UsageError(f"{path}: {error.strerror}; name another file or folder.") from None
    return {str(folder) for path in paths for folder in (path, path.parent)}


def _own_fault(error: Exception) -> str:
    last = traceback.extract_tb(error.__traceback__)[-1]
    where = f"{Path(last.filename).name}, line {last.lineno}"
    return (
        f"A fault of the program itself ({type(error).__name__} in {where}); nothing of yours is lost. "
        "Please report it with the command you gave; GRADER_TRACE=1 shows more."
    )


if __name__ == "__main__":
    sys.exit(main())
