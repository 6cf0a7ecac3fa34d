"""What may stand on the command line: the commands of ``commands.toml``, declared without any of their tools."""

import argparse
import tomllib
from datetime import datetime
from pathlib import Path
from typing import Any

from grader import __version__

_DECLARED = tomllib.loads(Path(__file__).with_name("commands.toml").read_text(encoding="utf-8"))
_SHARED = _DECLARED.pop("shared")

COMMANDS = tuple(_DECLARED)
"""Every command, in the order an instructor meets them."""


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


_TYPES = {"path": Path, "whole": int, "time": _time, "port": _port, "positive": _positive, "seconds": _seconds}


def _declare(parser: argparse.ArgumentParser, argument: dict[str, Any]) -> None:
    settings: dict[str, Any] = {
        key: _TYPES[value] if key == "type" else value for key, value in argument.items() if key != "names"
    }
    parser.add_argument(*argument["names"].split(), **settings)


def build_parser() -> argparse.ArgumentParser:
    """The whole command line."""
    parser = argparse.ArgumentParser(
        prog="grader", description="Grades students' answers to transient-circuit problems."
    )
    parser.add_argument("--version", action="version", version=f"grader {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, declared in _DECLARED.items():
        about = declared["summary"]
        command = commands.add_parser(name, help=about, description=about, epilog=declared.get("epilog"))
        for argument in declared["arguments"]:
            _declare(command, _SHARED[argument] if isinstance(argument, str) else argument)
    return parser
