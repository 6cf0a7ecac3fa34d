"""A file looked at again at every save, and a page that shows what came out, from an address of this machine alone."""

import argparse
import secrets
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from grader.errors import GraderError, UsageError
from grader.reports.pages import page
from grader.reports.vetted import faults_html
from grader.reports.workbook import save

PAUSE = 0.3
"""Seconds between two looks at the file: at once for a person, next to nothing for the machine."""

HOST = "127.0.0.1"


def saves(file: Path, pause: float = PAUSE) -> Iterator[int]:
    """Yield at once, then whenever the file's time or size has changed.

    An editor that saves by renaming leaves the file missing for a moment: that is waited out.
    """
    count = 0
    last: tuple[int, int] | None = None
    while True:
        now = last
        with suppress(OSError):
            status = file.stat()
            now = (status.st_mtime_ns, status.st_size)
        if now is not None and now != last:
            last = now
            yield count
            count += 1
        time.sleep(pause)


def watched(options: argparse.Namespace, page: Callable[[], str]) -> int:
    """Write a page at every save of the rubric, and show it at an address of this machine, until Ctrl-C.

    Where ``page`` cannot make it from the rubric as it is now, the faults stand in its place.
    """
    file: Path = options.rubric
    if options.html is None:
        raise UsageError("--watch shows a page; name its file, too: --html FILE --watch.")
    if not file.is_file():
        raise UsageError(f"{file}: there is no such file; name the rubric to be watched.")
    with shown(file.name) as server, suppress(KeyboardInterrupt):
        print(f"Open {server.address} in a browser: it follows {file} at every save; Ctrl-C ends.", flush=True)
        for _ in saves(file):
            try:
                server.content = page()
            except GraderError as error:
                server.content = faults_html(file.name, str(error).splitlines())
            save(server.content, options.html)
    print()
    return 0


@contextmanager
def shown(title: str) -> Iterator["PageServer"]:
    """Serve a page from this machine to this machine, and nothing else."""
    server = PageServer(title)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        server.server_close()


class PageServer(ThreadingHTTPServer):
    """Holds the page as it is now; the port is any free one."""

    daemon_threads = True

    def __init__(self, title: str) -> None:
        super().__init__((HOST, 0), _Reply)
        self._title = title
        self._content, self._version = "", 0
        self.nonce = secrets.token_urlsafe(16)

    @property
    def address(self) -> str:
        """Where the page is."""
        return f"http://{HOST}:{self.server_port}/"

    @property
    def content(self) -> str:
        """The page."""
        return self._content

    @content.setter
    def content(self, page: str) -> None:
        self._content = page
        self._version += 1

    def reply(self, path: str) -> tuple[str, str] | None:
        """The text at a path and its kind; None where there is nothing."""
        frame = page("watched.html", title=self._title, nonce=self.nonce, version=self._version)
        found = {"/": frame, "/page": self._content, "/version": str(self._version)}.get(path)
        return None if found is None else (found, "text/plain" if path == "/version" else "text/html")


class _Reply(BaseHTTPRequestHandler):
    """Answers a browser on this machine that names this machine; nobody else, and nothing but the page."""

    server: PageServer

    def do_GET(self) -> None:
        own = self.headers.get("Host", "") in (
            f"{HOST}:{self.server.server_port}",
            f"localhost:{self.server.server_port}",
        )
        found = self.server.reply(self.path) if own else None
        if found is None:
            self.send_error(404)
            return
        text, kind = found
        content = text.encode()
        self.send_response(200)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        if self.path == "/":
            nonce = f"'nonce-{self.server.nonce}'"
            policy = f"default-src 'none'; style-src {nonce}; script-src {nonce}; frame-src 'self'; connect-src 'self'"
            self.send_header("Content-Security-Policy", policy)
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""
