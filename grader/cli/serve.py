"""``grader serve``: instant feedback in a browser."""

import argparse
import logging
import socket
from collections.abc import Iterator

from grader.errors import UsageError
from grader.web.app import build_app
from grader.web.data.folder import PASSPHRASE_FILE, held
from grader.web.rules import Rules
from grader.web.serving import server_for
from grader.web.start import Started, start

LOOPBACK = ("127.0.0.1", "::1", "localhost")


def run(options: argparse.Namespace) -> int:
    """Start, say where, and serve until stopped."""
    with _listen(options.host, options.port) as listening, held(options.data):
        print("Starting: the rubrics are solved, and what is here is looked through …", flush=True)
        rules = Rules(due=options.due, attempts=options.attempts, keep=options.keep, wait=options.wait)
        started = start(
            options.rubrics,
            options.roster,
            options.data,
            database=options.database,
            rules=rules,
            tls=bool(options.proxy),
            named=options.secret,
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
    else:
        yield f"Passphrase: as set; if it is lost, delete {PASSPHRASE_FILE} in the data folder and start again"
    yield f"Data:       {options.data.resolve()}"
    if started.values:
        yield f"Values:     personal, drawn from {started.values}; name it with --secret wherever else they are needed"
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
