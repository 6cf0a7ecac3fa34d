"""``grader serve``: instant feedback in a browser."""

from __future__ import annotations

import argparse
import socket
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from grader.web.start import Started

SUMMARY = "Give instant feedback in a browser, from a server on this machine."

PORT = 8118
LOOPBACK = ("127.0.0.1", "::1", "localhost")

PROXY_HELP = """\
The server speaks plain http and listens on this machine alone. To let a class in, put a reverse proxy that does TLS
in front of it: let the proxy hand on the Host header and set X-Forwarded-For and X-Forwarded-Proto itself, and name
its address with --proxy (127.0.0.1 where it runs on this machine). Cookies are then sent over https alone, and limits
count the visitors' own addresses. The instructor's passphrase is taken from GRADER_PASSPHRASE at the first start, or
made and printed once."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what is served, to whom, and by which rules."""
    parser.epilog = PROXY_HELP
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("rubrics", metavar="RUBRIC", nargs="+", type=Path, help="rubric files (TOML), a sheet each")
    parser.add_argument("--roster", metavar="FILE", type=Path, required=True, help="the students, with their ids")
    parser.add_argument(
        "--data", metavar="DIR", type=Path, default=Path("grader-data"), help="data folder (default: %(default)s)"
    )
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


def run(options: argparse.Namespace) -> int:
    """Start, say where, and serve until stopped."""
    import logging

    from grader.web.app import build_app
    from grader.web.data.folder import held
    from grader.web.rules import Rules
    from grader.web.serving import server_for
    from grader.web.start import start

    with _listen(options.host, options.port) as listening, held(options.data):
        rules = Rules(due=options.due, attempts=options.attempts, keep=options.keep, wait=options.wait)
        started = start(
            options.rubrics,
            options.roster,
            options.data,
            database=options.database,
            rules=rules,
            tls=bool(options.proxy),
        )
        print("\n".join(_lines(options, started, listening.getsockname()[:2])), flush=True)
        logging.basicConfig(level=logging.INFO, format="%(asctime)s %(message)s")
        server_for(build_app(started.site), options.proxy or "").run(sockets=[listening])
        started.site.store.close()
        started.site.workers.close()
    return 0


def _lines(options: argparse.Namespace, started: Started, place: tuple[str, int]) -> Iterator[str]:
    """What is said at the start: where, with what, and what to look at."""
    host, port = place
    address = f"http://{f'[{host}]' if ':' in host else host}:{port}"
    yield f"Students:   {address}/"
    yield f"Instructor: {address}/instructor"
    if started.passphrase:
        yield f"Passphrase: {started.passphrase}   (shown this once; write it down)"
    yield f"Data:       {options.data.resolve()}"
    if started.remarked:
        count = f"{started.remarked} attempt{'' if started.remarked == 1 else 's'}"
        yield f"Marked anew, because a rubric or the program has changed: {count}."
    if started.without_code:
        yield (
            f"Without an access code: {started.without_code} of the students. "
            f"Make codes: grader codes {options.roster} -o FILE --data {options.data}"
        )
    if options.host not in LOOPBACK and not options.proxy:
        yield "Caution: other machines can reach this, and without TLS anybody on the way can read codes and answers. See --help."
    yield "Ctrl-C stops it."


def _listen(host: str, port: int) -> socket.socket:
    """Take the port before anything slow is done."""
    from grader.errors import UsageError

    listening = None
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listening = socket.socket(family, kind, protocol)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(place)
        listening.listen()
    except OSError as error:
        if listening is not None:
            listening.close()
        raise UsageError(
            f"Cannot listen on {host}, port {port} ({error.strerror or error}); name another with --port or --host."
        ) from None
    return listening


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
