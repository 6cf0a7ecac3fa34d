"""The server over a real socket, with a clock that the test moves: what arrives when is decided here, byte by byte."""

import re
import socket
import threading
import time
from urllib.parse import urlencode

from grader.web.app import build_app
from grader.web.serving import server_for
from tests.web.conftest import SHEET

BOUNDARY = "edge-of-a-part"


class Listening:
    """A site that listens on a free port of this machine, in a thread of this process."""

    def __init__(self, site, proxy=""):
        self.site = site
        self._socket = socket.create_server(("127.0.0.1", 0), backlog=1024)
        self.port = self._socket.getsockname()[1]
        self._server = server_for(build_app(site), proxy)
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [self._socket]}, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)

    @property
    def connections(self):
        return len(self._server.server_state.connections)

    def close(self):
        self._server.should_exit = True
        self._thread.join(30)
        self._socket.close()

    def open(self):
        return Line(self.port)

    def ask(self, *words, **options):
        """One request on a connection of its own."""
        line = self.open()
        answer = line.ask(*words, **options)
        line.close()
        return answer

    def entered(self, code):
        """The headers of a browser that has entered: its cookie, and the token of its forms."""
        page = self.ask("GET", "/enter")
        sent = self.ask("POST", "/enter", urlencode({"token": page.token, "code": code}), cookie=page.cookie)
        assert sent.status == 303, sent.text
        sheet = self.ask("GET", f"/sheets/{SHEET}", cookie=sent.cookie)
        return sent.cookie, sheet.token


class Answer:
    """A response: status, headers, text."""

    def __init__(self, raw):
        head, _, body = raw.partition(b"\r\n\r\n")
        first, *lines = head.decode("latin-1").split("\r\n")
        self.status = int(first.split()[1])
        self.headers = {name.lower(): value.strip() for name, _, value in (line.partition(":") for line in lines)}
        self.text = body.decode("utf-8", "replace")

    @property
    def token(self):
        return re.search(r'name="token" value="(\w+)"', self.text)[1]

    @property
    def cookie(self):
        return self.headers["set-cookie"].partition(";")[0]


class Line:
    """One connection."""

    def __init__(self, port):
        self._socket = socket.create_connection(("127.0.0.1", port), timeout=20)

    def send(self, data):
        self._socket.sendall(data if isinstance(data, bytes) else data.encode())

    def close(self):
        self._socket.close()

    def settimeout(self, seconds):
        self._socket.settimeout(seconds)

    def ask(self, method, path, body="", cookie=None, kind="application/x-www-form-urlencoded"):
        self.send(head(method, path, cookie, kind, length=len(body.encode())) + body)
        return self.hear()

    def may_send_body(self):
        """Wait until the server reads the body."""
        assert self.refusal() is None, "the body is not wanted"

    def refusal(self):
        """What is said of a head that waits: None where the body is wanted, else the whole answer."""
        raw = self._until(b"\r\n\r\n")
        return None if raw.startswith(b"HTTP/1.1 100") else self._whole(raw)

    def hear(self):
        """One response, by the length it announces."""
        return self._whole(self._until(b"\r\n\r\n"))

    def _whole(self, raw):
        answer = Answer(raw)
        raw += self._exactly(int(answer.headers.get("content-length", 0)))
        return Answer(raw)

    def closed(self):
        """Whether the other side closes, having said nothing more."""
        try:
            return self._socket.recv(1) == b""
        except ConnectionResetError:
            return True

    def rest(self):
        """Everything until the other side closes."""
        found = b""
        try:
            while piece := self._socket.recv(65536):
                found += piece
        except ConnectionResetError:
            pass
        return found

    def _until(self, mark):
        found = b""
        while not found.endswith(mark):
            found += self._exactly(1)
        return found

    def _exactly(self, count):
        found = b""
        while len(found) < count:
            piece = self._socket.recv(count - len(found))
            if not piece:
                raise EOFError(found)
            found += piece
        return found


def head(
    method, path, cookie=None, kind="application/x-www-form-urlencoded", *, length=None, chunked=False, waits=False
):
    lines = [f"{method} {path} HTTP/1.1", "Host: lock.test", f"Content-Type: {kind}"]
    lines += [f"Cookie: {cookie}"] if cookie else []
    lines += [f"Content-Length: {length}"] if length is not None else []
    lines += ["Transfer-Encoding: chunked"] if chunked else []
    lines += ["Expect: 100-continue"] if waits else []
    return "\r\n".join(lines) + "\r\n\r\n"


def multipart(fields, file):
    """The body of a form with a file, and its type."""
    parts = [
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{text}\r\n'
        for name, text in fields.items()
    ]
    parts.append(f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="file"; filename="mine.csv"\r\n\r\n')
    return "".join(
        parts
    ).encode() + file + f"\r\n--{BOUNDARY}--\r\n".encode(), f"multipart/form-data; boundary={BOUNDARY}"


class Slow:
    """An attempt of which the body comes in two halves; when this is made the server waits for the first, or refused it.

    `refused` is its answer to the head alone, not one byte of the body having been sent; None where it waits.
    """

    def __init__(self, listening, cookie, token, *, form="one", chunked=False, file=None, tau="10 ms"):
        fields = {"token": token, "form": form, "do": "submit"}
        if file is None:
            path, kind = f"/sheets/{SHEET}", "application/x-www-form-urlencoded"
            body = urlencode({**fields, "answer:gate.tau": tau}).encode()
        else:
            path = f"/sheets/{SHEET}/file"
            body, kind = multipart(fields, file)
        self._chunked, self._second = chunked, body[len(body) // 2 :]
        self._line = listening.open()
        self._line.send(
            head("POST", path, cookie, kind, length=None if chunked else len(body), chunked=chunked, waits=True)
        )
        self.refused = self._line.refusal()
        if self.refused is None:
            self._piece(body[: len(body) // 2])

    def _piece(self, data):
        self._line.send(f"{len(data):x}\r\n".encode() + data + b"\r\n" if self._chunked else data)

    def end(self):
        answer = self.refused
        if answer is None:
            self._piece(self._second)
            if self._chunked:
                self._line.send("0\r\n\r\n")
            answer = self._line.hear()
        self._line.close()
        return answer
