"""Runs one command as the command line does, without starting a process."""

import importlib

from grader.cli.parser import build_parser
from grader.errors import GraderError


def run(name: str, *words: str, capsys) -> tuple[int, str, str]:
    """Exit status, standard output and what went to the error output."""
    module = importlib.import_module(f"grader.cli.{name}")
    options = build_parser().parse_args([name.rstrip("_"), *words])
    try:
        status = module.run(options)
        told = ""
    except GraderError as error:
        status, told = 2, str(error)
    written = capsys.readouterr()
    return status, written.out, written.err + told
