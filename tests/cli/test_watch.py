"""``--watch``: the page follows the rubric at every save, from an address of this machine alone that serves nothing else."""

import http.client
import itertools
import shutil
import threading
import time

import pytest

from grader.cli import watching
from grader.cli.main import build_parser
from tests.cli.running import run

TOML = """
title = "Signal lamp"
[[problem]]
id = "lamp"
ground = "g"
element = [
  {name = "V1", kind = "voltage source", between = ["a", "g"], value = "12 V"},
  {name = "S1", kind = "switch", between = ["a", "b"], closes = "0 s"},
  {name = "R1", kind = "resistor", between = ["b", "c"], value = "1 kohm"},
  {name = "C1", kind = "capacitor", between = ["c", "g"], value = "1 uF"},
]
item = [{id = "tau", find = "time constant", points = 1}]
"""


def get(address, path, host=None, method="GET"):
    place = address.removeprefix("http://").rstrip("/")
    connection = http.client.HTTPConnection(place, timeout=5)
    connection.request(method, path, headers={} if host is None else {"Host": host})
    reply = connection.getresponse()
    return reply.status, reply.read().decode(), reply.headers


@pytest.fixture
def watch(tmp_path, monkeypatch):
    """Runs a command with --watch in a thread until the test ends; gives the rubric, the page's file and the address."""
    rubric, page = tmp_path / "lamp.toml", tmp_path / "lamp.html"
    rubric.write_text(TOML, encoding="utf-8")
    ended = threading.Event()
    own = watching.saves

    def until_ended(file):
        for count in own(file, 0.01) if not ended.is_set() else ():
            yield count
            if ended.is_set():
                return

    monkeypatch.setattr(watching, "saves", until_ended)
    addresses = []
    monkeypatch.setattr(
        "builtins.print", lambda *words, **_: addresses.extend(str(words[0]).split()[1:2] if words else [])
    )
    from grader.cli import solve, vet

    def start(command):
        module = {"solve": solve, "vet": vet}[command]
        options = build_parser().parse_args([command, str(rubric), "--html", str(page), "--watch"])
        thread = threading.Thread(target=module.run, args=(options,), daemon=True)
        thread.start()
        until(lambda: addresses and page.exists() and page.stat().st_size)
        return addresses[0]

    yield rubric, page, start
    ended.set()
    rubric.write_text(TOML + "\n\n", encoding="utf-8")


def until(look, seconds=20.0):
    end = time.monotonic() + seconds
    while not (found := look()):
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.02)
    return found


def test_the_page_follows_the_rubric(watch):
    """Answers anew, then what is wrong with its line, then answers again; the file holds the same."""
    rubric, file, start = watch
    address = start("solve")
    until(lambda: "Worked solution" in get(address, "/page")[1])
    before = get(address, "/version")[1]
    rubric.write_text(TOML.replace("1 kohm", "5 kohm"), encoding="utf-8")
    until(lambda: get(address, "/version")[1] != before)
    until(lambda: "5 kΩ" in get(address, "/page")[1])
    rubric.write_text(TOML.replace('value = "1 kohm"', "value = 1 kohm"), encoding="utf-8")
    until(lambda: "lamp.toml, line 9" in get(address, "/page")[1])
    rubric.write_text(TOML.replace("1 kohm", "7 kohm"), encoding="utf-8")
    until(lambda: "7 kΩ" in get(address, "/page")[1])
    until(lambda: file.read_text(encoding="utf-8") == get(address, "/page")[1])


def test_vet_shows_remarks_and_drawing(watch):
    rubric, _, start = watch
    address = start("vet")
    rubric.write_text(TOML.replace("points = 1}", 'points = 1, key = "2 ms"}'), encoding="utf-8")
    until(lambda: "the solver finds 1 ms" in get(address, "/page")[1])
    assert "<svg" in get(address, "/page")[1]


def test_only_the_page_is_served_and_only_here():
    """The loopback address; a host name from elsewhere, other paths and other methods get nothing."""
    with watching.shown("a <b> page.toml") as server:
        server.content = "<p>in work</p>"
        assert server.server_address[0] == "127.0.0.1"
        status, frame, headers = get(server.address, "/")
        assert status == 200
        assert "<b>" not in frame
        assert "default-src 'none'" in headers["Content-Security-Policy"]
        assert get(server.address, "/page")[:2] == (200, "<p>in work</p>")
        for path in ("/lamp.toml", "/../page", "/page/", "/etc/passwd"):
            assert get(server.address, path)[0] == 404
        assert get(server.address, "/page", host="elsewhere.example")[0] == 404
        assert get(server.address, "/page", method="POST")[0] == 501
        address = server.address
    with pytest.raises(ConnectionRefusedError):
        get(address, "/page")


def test_watch_needs_a_file_for_its_page(tmp_path, capsys):
    (tmp_path / "lamp.toml").write_text(TOML, encoding="utf-8")
    for command in ("solve", "vet"):
        status, _, told = run(command, str(tmp_path / "lamp.toml"), "--watch", capsys=capsys)
        assert status == 2
        assert "--html FILE --watch" in told
        status, _, told = run(command, "none.toml", "--html", str(tmp_path / "x.html"), "--watch", capsys=capsys)
        assert status == 2
        assert "no such file" in told


@pytest.mark.browser
def test_a_browser_shows_the_new_page_at_the_same_place(tmp_path):
    webdriver = pytest.importorskip("selenium.webdriver", reason="the package selenium is not installed")
    chromium, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if chromium is None or driver is None:
        pytest.skip("there is no Chromium with its driver (Debian: apt-get install chromium chromium-driver)")
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = chromium
    for word in (
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--no-proxy-server",
        f"--user-data-dir={tmp_path}/profile",
    ):
        options.add_argument(word)
    with watching.shown("page") as server:
        text = itertools.count(1)
        server.content = f"<!DOCTYPE html><title>x</title><p id=n>{next(text)}</p><div style='height:5000px'></div>"
        browser = webdriver.Chrome(options=options, service=Service(driver))
        try:
            browser.get(server.address)
            browser.switch_to.frame(0)
            until(lambda: browser.execute_script("return document.getElementById('n').textContent") == "1")
            browser.execute_script("window.scrollTo(0, 1200)")
            server.content = server.content.replace("<p id=n>1", f"<p id=n>{next(text)}")
            shown = "const n = document.getElementById('n'); return n && n.textContent + ' ' + window.scrollY"
            until(lambda: browser.execute_script(shown) == "2 1200")
        finally:
            browser.quit()
