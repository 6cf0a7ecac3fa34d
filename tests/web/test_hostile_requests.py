"""Requests that no browser sends, byte for byte, each with what must come of it, written down before it was tried.

Four were foreseen otherwise (a 400 each, or a page after empty lines) and are harmless as they are: a later version gets
no page, empty lines are refused, parts without an end have no token, long headers have a status of their own.

After each the server still serves, nothing was kept, and neither a traceback nor the sender's host is in the answer.
"""

import re
import resource
import time
from urllib.parse import quote

from tests.web.conftest import SHEET
from tests.web.sockets import BOUNDARY, multipart

FORM = "application/x-www-form-urlencoded"
EVIL = "evil.example"


def raw(first, *headers, body=b"", host=True):
    """A request as bytes; it asks for the connection to be closed."""
    lines = [first, *(["Host: lock.test"] if host else []), "Connection: close", *headers]
    return b"\r\n".join(line if isinstance(line, bytes) else line.encode() for line in lines) + b"\r\n\r\n" + body


def get(path, *headers):
    return raw(f"GET {path} HTTP/1.1", *headers)


def post(path, body, *headers, kind=FORM):
    body = body if isinstance(body, bytes) else body.encode()
    return raw(f"POST {path} HTTP/1.1", f"Content-Type: {kind}", f"Content-Length: {len(body)}", *headers, body=body)


def lengths(*headers, body=b"0\r\n\r\n"):
    return raw("POST /enter HTTP/1.1", f"Content-Type: {FORM}", *headers, body=body)


CHUNKED = "Transfer-Encoding: chunked"

# What anybody can send.
STRANGER = {
    "no host": (raw("GET /enter HTTP/1.1", host=False), 400),
    "two hosts": (get("/enter", f"Host: {EVIL}"), 400),
    "a later version": (raw("PRI * HTTP/2.0", host=False), 404),
    "no version": (b"GET /enter\r\n\r\n", 400),
    "TLS to a plain port": (bytes.fromhex("1603010200010001fc0303") + b"\x00" * 40 + b"\r\n\r\n", 400),
    "any bytes": (bytes(range(256)) + b"\r\n\r\n", 400),
    "empty lines first": (b"\r\n\r\n" + get("/enter"), 400),
    "bare line feeds": (b"GET /enter HTTP/1.1\nHost: lock.test\nConnection: close\n\n", 200),
    "a method in small letters": (raw("get /enter HTTP/1.1"), 405),
    "a method of no use": (raw("BREW /enter HTTP/1.1"), 405),
    "TRACE": (raw("TRACE /enter HTTP/1.1"), 405),
    "CONNECT": (raw(f"CONNECT {EVIL}:443 HTTP/1.1"), 404),
    "DELETE": (raw("DELETE /enter HTTP/1.1"), 405),
    "OPTIONS of everything": (raw("OPTIONS * HTTP/1.1"), 404),
    "HEAD": (raw("HEAD /enter HTTP/1.1"), 200),
    "a whole address": (get(f"http://{EVIL}/enter"), 404),
    "two slashes": (get(f"//{EVIL}/enter"), 404),
    "a slash too many": (raw("GET /enter/ HTTP/1.1", f"X-Forwarded-Host: {EVIL}"), 404),
    "another host": (raw("GET /enter/ HTTP/1.1", f"Host: {EVIL}", host=False), 404),
    "NUL in the path": (get("/ent\x00er"), 400),
    "NUL in the path, encoded": (get("/attempts/%00"), 404),
    "a direction mark in the path": (get("/attempts/%E2%80%AE"), 404),
    "no UTF-8 in the path": (get("/attempts/%ff%fe"), 303),
    "up from static": (get("/static/../app.py"), 404),
    "up from static, encoded": (get("/static/%2e%2e/app.py"), 404),
    "up from static, slash encoded": (get("/static/..%2f..%2fsite.py"), 404),
    "up from static, backslash": (get("/static/..%5capp.py"), 404),
    "an absolute file": (get("/static//etc/passwd"), 404),
    "NUL in a file's name": (get("/static/pages.css%00.html"), 404),
    "a name of 5,000 letters": (get(f"/static/{'a' * 5000}"), 404),
    "an address of 20,000 letters": (get(f"/{'a' * 20_000}"), 414),
    "a query of 10,000 letters": (get(f"/enter?{'a' * 10_000}"), 200),
    "a header of 40,000 letters": (get("/enter", f"X: {'a' * 40_000}"), 431),
    "a thousand headers": (get("/enter", *(f"X-{number}: {'a' * 30}" for number in range(1000))), 431),
    "a blank before the colon": (get("/enter", "X : y"), 400),
    "a header without a name": (get("/enter", ": y"), 400),
    "NUL in a header": (get("/enter", "X: a\x00b"), 400),
    "a line end in a header": (get("/enter", "X: a\rb"), 400),
    "a length below zero": (lengths("Content-Length: -1"), 400),
    "a length with a sign": (lengths("Content-Length: +5"), 400),
    "a length in sixteens": (lengths("Content-Length: 0x5"), 400),
    "a length in other digits": (lengths("Content-Length: ٥".encode()), 400),
    "two lengths": (lengths("Content-Length: 5", "Content-Length: 6"), 400),
    "two lengths in one": (lengths("Content-Length: 5, 6"), 400),
    "a length of 30 digits": (lengths(f"Content-Length: {'9' * 30}"), 400),
    "length and chunks": (lengths("Content-Length: 5", CHUNKED), 400),
    "chunks and length": (lengths(CHUNKED, "Content-Length: 5"), 400),
    "length and chunks on a page": (raw("GET /enter HTTP/1.1", "Content-Length: 5", CHUNKED, body=b"0\r\n\r\n"), 400),
    "chunks twice": (lengths(CHUNKED, CHUNKED), 400),
    "chunks in gzip": (lengths("Transfer-Encoding: gzip, chunked"), 400),
    "chunks, nearly": (lengths("Transfer-Encoding: xchunked"), 400),
    "chunks with a blank": (lengths("Transfer-Encoding : chunked"), 400),
    "no chunk's size": (lengths(CHUNKED, body=b"zz\r\n"), 400),
    "a chunk of 30 digits": (lengths(CHUNKED, body=b"f" * 30 + b"\r\n"), 400),
    "a chunk longer than it says": (lengths(CHUNKED, body=b"1\r\nabc\r\n0\r\n\r\n"), 400),
    "chunks with a trailer": (lengths(CHUNKED, body=b"1\r\na\r\n0\r\nX: y\r\n\r\n"), 403),
    "a page with a body": (raw("GET /enter HTTP/1.1", "Content-Length: 5", body=b"abcde"), 200),
    "a change to WebSocket": (get("/enter", "Connection: Upgrade", "Upgrade: websocket"), 200),
    "a change to HTTP/2": (get("/enter", "Connection: Upgrade, HTTP2-Settings", "Upgrade: h2c"), 200),
    "another method within": (get("/leave", "X-HTTP-Method-Override: POST"), 405),
    "a cookie of rubbish": (get("/enter", f"Cookie: visit={'x' * 8000}"), 200),
    "a cookie of signs": (get("/enter", 'Cookie: visit="\\";;;=;,visit=,'), 200),
    "no form's type": (post("/enter", "code=x", kind=""), 415),
    "JSON": (post("/enter", "{}", kind="application/json"), 415),
    "parts without a boundary": (post("/enter", "--x", kind="multipart/form-data"), 400),
    "a boundary of 10,000": (post("/enter", "--x", kind=f"multipart/form-data; boundary={'x' * 10_000}"), 400),
    "parts that do not end": (post("/enter", "--x\r\nbroken", kind="multipart/form-data; boundary=x"), 403),
    "a form that is no ASCII": (post("/enter", b"\xff\xfe=1"), 400),
    "a form of 1,000 fields": (post("/enter", "a=1&" * 1000), 400),
    "a form without a token": (post("/enter", "code=x"), 403),
    "a token of rubbish": (post("/enter", "token=%ff%00%E2%80%AE&code=x"), 403),
    "the sheet of nobody": (post(f"/sheets/{SHEET}", "do=submit&answer:gate.tau=1"), 403),
    "a file of nobody": (post(f"/sheets/{SHEET}/file", "do=submit"), 403),
    "the instructor's page": (get("/instructor"), 303),
}  # fmt: skip


def part(name, content, more=""):
    return f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"{more}\r\n\r\n{content}\r\n'


# What somebody who has entered can send; the cookie and the token are put in.
def entered(cookie, token):
    own = f"Cookie: {cookie}"
    sheet, field = f"/sheets/{SHEET}", f"token={token}&do=submit&answer:gate.tau="

    def file(content, name='filename="mine.csv"', more=""):
        body = (
            part("token", token)
            + part("do", "submit")
            + part("file", content, f"; {name}")
            + more
            + f"--{BOUNDARY}--\r\n"
        )
        return post(f"{sheet}/file", body, own, kind=f"multipart/form-data; boundary={BOUNDARY}")

    return {
        "from another site": (post(sheet, f"{field}1", own, "Sec-Fetch-Site: cross-site"), 403),
        "a token and then another": (post(sheet, f"{field}1&token=x", own), 403),
        "an answer of 2,001": (post(sheet, field + "1" * 2001, own), 413),
        "nothing but blanks": (post(sheet, f"{field}%00%0a+%0d", own), 422),
        "brackets without end": (post(sheet, field + "(" * 1500, own), 422),
        "a direction mark": (post(sheet, f"{field}%E2%80%AE2", own), 422),
        "half a character": (post(sheet, f"{field}%ED%A0%80", own), 422),
        "towers of powers": (post(sheet, f"token={token}&do=check&answer:gate.tau=9^9^9^9^9^9^9", own), 200),
        "an item that is not there": (post(sheet, f"token={token}&do=submit&answer:gate.none=1", own), 422),
        "a reading of nothing": (post(f"{sheet}/reading", f"token={token}&answer:gate.none=1", own), 404),
        "a sheet that is not there": (post("/sheets/none", f"{field}1", own), 404),
        "a sheet of NUL": (get("/sheets/%00", own), 404),
        "a set below zero": (get(f"{sheet}/practice/gate?set=-1", own), 404),
        "a set of NUL": (get(f"{sheet}/practice/gate?set=%00", own), 404),
        "a set in other digits": (get(f"{sheet}/practice/gate?set=%D9%A1", own), 404),
        "a problem of NUL": (get(f"{sheet}/practice/%00?set=1", own), 404),
        "an attempt of somebody": (get(f"/attempts/{quote(chr(39))}%20OR%201=1", own), 404),
        "the answers before their time": (get(f"{sheet}/answers", own), 403),
        "the instructor's files": (get(f"/instructor{sheet}/files/uploads.zip", own), 303),
        "the instructor's change": (post(f"/instructor{sheet}/state", f"token={token}&state=open", own), 403),
        "no file": (post(f"{sheet}/file", multipart({"token": token}, b"")[0], own, kind=multipart({}, b"")[1]), 422),
        "an empty file": (file(""), 422),
        "a file of rubbish": (file("\x00\x01\x02", 'filename="mine.xlsx"'), 422),
        "a file that climbs": (file("rubbish", 'filename="../../../etc/passwd"'), 422),
        "a file of no name": (file("rubbish", 'filename=""'), 422),
        "a file of NUL": (file("rubbish", 'filename="a\x00b.csv"'), 422),
        "a program": (file("MZ", 'filename="answers.exe"'), 422),
        "two files": (file("a", more=part("file", "b", '; filename="b.csv"')), 400),
        "a class in one file": (file("student,gate.tau\nS0002,1 s\nS0003,1 s\n", 'filename="S0001.csv"'), 422),
        "somebody else's file": (file("student,S0002\nproblem,item,answer\ngate,tau,1 s\n"), 422),
    }  # fmt: skip


def test_every_hostile_request_comes_to_what_was_foreseen(listening, codes):
    server = listening()
    cookie, token = server.entered(codes["S0001"])
    cases = {**STRANGER, **entered(cookie, token)}
    assert len(cases) >= 100
    wrong, rows = [], []
    for name, (request, status) in cases.items():
        server.site.rates._buckets.clear()  # this is about each request alone
        began = time.perf_counter()
        line = server.open()
        try:
            line.send(request)
            answer = line.rest()
        except ConnectionError:
            answer = b""
        line.close()
        found = int(answer.split()[1]) if answer.startswith(b"HTTP/1.1 ") else None
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # of the server and this test so far
        rows.append(f"{name:40} {found} {1000 * (time.perf_counter() - began):7.1f} ms {most:6.0f} MiB")
        if found != status or answer.count(b"HTTP/1.1 ") != 1:
            wrong.append((name, status, answer[:200]))
        assert EVIL.encode() not in answer, name
        assert not re.search(rb"Traceback|\.py\b", answer), name
        assert server.site.store.all_attempts(SHEET) == (), name
    print("\n".join(rows))
    for one in wrong:
        print("WRONG", one)
    assert wrong == []
    assert server.ask("GET", f"/sheets/{SHEET}", cookie=cookie).status == 200
