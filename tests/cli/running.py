"""Runs one command as the command line does, without starting a process."""

from __future__ import annotations

import argparse
import importlib

from grader.errors import GraderError


def run(name: str, *words: str, capsys) -> tuple[int, str, str]:
    """Exit status, standard output and what went to the error output."""
    module = importlib.import_module(f"grader.cli.{name}")
    parser = argparse.ArgumentParser()
    module.arguments(parser)
    try:
        status = module.run(parser.parse_args(words))
        told = ""
    except GraderError as error:
        status, told = 2, str(error)
    written = capsys.readouterr()
    return status, written.out, written.err + told
