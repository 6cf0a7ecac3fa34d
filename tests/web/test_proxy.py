"""README's example of a reverse proxy, as it stands there, with ports, certificate and seconds of its own."""

import re
import shutil
import socket
import ssl
import subprocess
import time
from pathlib import Path

import pytest

from tests.web.conftest import SHEET
from tests.web.sockets import Line, Listening, head
from tests.web.test_late_bodies import DUE

README = Path(__file__).parents[2] / "README.md"
NGINX, OPENSSL = shutil.which("nginx"), shutil.which("openssl")


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return taken.getsockname()[1]


class Secured(Line):
    """A connection by TLS, without asking who signed."""

    def __init__(self, port):
        super().__init__(port)
        context = ssl.create_default_context()
        context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
        self._socket = context.wrap_socket(self._socket)


@pytest.fixture
def proxied(make_site, tmp_path):
    """A site behind nginx; gives it and nginx's port."""
    if NGINX is None or OPENSSL is None:
        pytest.skip("nginx or openssl is not installed (Debian: apt-get install nginx openssl)")
    server, port = Listening(make_site(tls=True, due=DUE), "127.0.0.1"), free_port()
    subprocess.run(
        [OPENSSL, "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-subj", "/CN=transients.example", "-days", "2",
         "-keyout", tmp_path / "key", "-out", tmp_path / "certificate"],
        check=True, capture_output=True,
    )  # fmt: skip
    example = re.search(r"```nginx\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)[1]
    for pattern, own in {
        r"listen 443": f"listen 127.0.0.1:{port}",
        r"/etc/ssl/transients\.pem": str(tmp_path / "certificate"),
        r"/etc/ssl/transients\.key": str(tmp_path / "key"),
        r"127\.0\.0\.1:8118": f"127.0.0.1:{server.port}",
        r"_timeout \d+s": "_timeout 1s",
    }.items():
        example, count = re.subn(pattern, own, example)
        assert count, pattern
    temporary = "".join(
        f"{kind}_temp_path {tmp_path}/{kind};\n" for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    (tmp_path / "nginx.conf").write_text(
        f"daemon off;\nmaster_process off;\npid {tmp_path}/pid;\nerror_log {tmp_path}/errors;\n"
        f"events {{ worker_connections 2048; }}\nhttp {{\naccess_log off;\n{temporary}{example}}}\n"
    )
    running = subprocess.Popen([NGINX, "-p", tmp_path, "-c", tmp_path / "nginx.conf"], stderr=subprocess.DEVNULL)
    while True:
        try:
            Secured(port).close()
            break
        except OSError:
            assert running.poll() is None, (tmp_path / "errors").read_text()
            time.sleep(0.05)
    yield server, port
    running.terminate()
    running.wait(30)
    server.close()


def ask(port, *words, **options):
    line = Secured(port)
    answer = line.ask(*words, **options)
    line.close()
    return answer


def test_a_page_through_the_proxy_is_for_https_and_knows_the_visitor(proxied):
    server, port = proxied
    page = ask(port, "GET", "/enter")
    assert page.status == 200
    assert "Secure" in page.headers["set-cookie"]
    assert page.headers["strict-transport-security"]
    assert ("request", "127.0.0.1") in server.site.rates._buckets


def test_a_proxy_gives_up_slow_headers_and_bodies_and_refuses_large_ones(proxied, codes):
    server, port = proxied
    cookie, _ = server.entered(codes["S0001"])
    slow = [Secured(port), Secured(port)]
    slow[0].send("GET /ent")
    slow[1].send(head("POST", "/enter", length=100) + "code=")
    assert slow[0].rest()[:12] in {b"", b"HTTP/1.1 408"}
    assert slow[1].rest()[:12] in {b"", b"HTTP/1.1 408"}
    large = Secured(port)
    large.send(head("POST", f"/sheets/{SHEET}/file", cookie, "multipart/form-data; boundary=x", length=22 * 2**20))
    assert large.hear().status == 413
    for line in (*slow, large):
        line.close()


def test_520_half_open_connections_at_the_proxy_keep_nobody_out(proxied):
    _, port = proxied
    lines = [Line(port) for _ in range(520)]
    assert ask(port, "GET", "/enter").status == 200
    for line in lines:
        line.close()


def test_two_lengths_do_not_come_through(proxied):
    _, port = proxied
    line = Secured(port)
    line.send(
        "POST /enter HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET / HTTP/1.1\r\n\r\n"
    )
    assert line.rest().startswith(b"HTTP/1.1 400")
    line.close()
