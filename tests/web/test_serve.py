"""The command ``grader serve`` as it is run: what it says, what survives, what it refuses."""

import re
import socket
import sqlite3
import stat
import subprocess
import sys
from contextlib import closing
from urllib.parse import urlencode

import pytest

from grader.cli.main import main
from tests.web.conftest import RIGHT, ROSTER, RUBRIC
from tests.web.databases import postgresql, why_no_postgresql
from tests.web.running import ROOT, Server, answer, token_of
from tests.web.sockets import head, multipart
from tests.web.test_files import sheet_csv


@pytest.fixture
def serve(tmp_path):
    running = []

    def start(*options, **more):
        running.append(Server(tmp_path, *options, **more))
        return running[-1]

    yield start
    for server in running:
        if server.process.poll() is None:
            server.stop()


def test_it_says_where_it_is_where_its_data_is_and_the_passphrase_once(serve, tmp_path):
    first = serve(passphrase=None)
    assert re.search(r"Students: +http://127\.0\.0\.1:\d+/", first.said)
    assert str(tmp_path / "data") in first.said
    passphrase = re.search(r"Passphrase: (\S+)", first.said)[1]
    with closing(first.visitor()) as http:
        page = http.post(
            "/instructor/enter", data={"token": token_of(http.get("/instructor/enter")), "passphrase": passphrase}
        )
        assert page.url.path == "/instructor"
    first.stop()
    assert passphrase not in first.logged()
    second = serve(passphrase=None)
    assert passphrase not in second.said
    assert "if it is lost, delete passphrase in the data folder and start again" in second.said
    for name in ("attempts.sqlite", "passphrase", "codes.json", "cookies.key", "values.key"):
        path = tmp_path / "data" / name
        assert path.exists()
        if name != "attempts.sqlite":
            assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "data").stat().st_mode) == 0o700
    second.stop()
    (tmp_path / "data" / "passphrase").unlink()
    assert re.search(r"Passphrase: (\S+)", serve(passphrase=None).said)[1] not in ("as", passphrase)


def test_an_attempt_that_was_acknowledged_survives_a_kill_at_once_after(serve, tmp_path):
    for round in range(3):
        server = serve()
        http = server.visitor("S0001")
        page = answer(http, {"gate.tau": f"{round} ms"}, follow_redirects=False)
        server.kill()
        assert page.status_code == 303
        http.close()
        with sqlite3.connect(tmp_path / "data" / "attempts.sqlite") as database:
            ids = [row[0] for row in database.execute("SELECT id FROM attempts ORDER BY number")]
        database.close()
        assert len(ids) == round + 1
        assert page.headers["location"] == f"/attempts/{ids[-1]}"
    server = serve()
    with closing(server.visitor("S0001")) as http:
        assert "Attempt 3" in http.get("/sheets/lock-gate").text


def test_a_file_that_was_arriving_when_the_server_was_killed_is_sent_again_as_one_attempt(serve, tmp_path):
    server, kept = serve(), None
    for done in (False, True, True):
        with closing(server.visitor("S0001")) as http:
            page = http.get("/sheets/lock-gate")
            kept = kept or re.search(r'name="form" value="([\w-]+)"', page.text)[1]
            body, kind = multipart({"token": token_of(page), "form": kept, "do": "submit"}, sheet_csv(RIGHT))
            if done:
                sent = http.post("/sheets/lock-gate/file", content=body, headers={"Content-Type": kind})
                assert "18 of 18 points" in sent.text
                continue
            cookie = "; ".join(f"{name}={value}" for name, value in http.cookies.items())
            head = f"POST /sheets/lock-gate/file HTTP/1.1\r\nHost: x\r\nCookie: {cookie}\r\nContent-Type: {kind}\r\n"
            with socket.create_connection(("127.0.0.1", http.base_url.port)) as line:
                line.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body[: len(body) // 2])
                server.kill()
            server = serve()
    with closing(sqlite3.connect(tmp_path / "data" / "attempts.sqlite")) as database:
        assert database.execute("SELECT count(*) FROM attempts").fetchone() == (1,)


def test_a_second_server_on_one_data_folder_is_refused_and_a_killed_one_is_not_in_the_way(serve, tmp_path):
    first = serve()
    words = ("serve", RUBRIC, "--roster", first.roster, "--data", tmp_path / "data", "--port", "0")
    second = first.run(*words)
    assert second.returncode == 2
    assert "another server is at work on this data folder; stop it, or name another" in second.stderr
    assert second.stderr.count("\n") == 1
    assert first.run("codes", first.roster, "-o", tmp_path / "more.csv", "--data", tmp_path / "data").returncode == 0
    first.kill()
    third = serve()
    with closing(third.visitor("S0001")) as http:
        assert http.get("/").status_code == 200


def test_two_students_at_once_get_their_own(serve):
    server = serve()
    with closing(server.visitor("S0001")) as one, closing(server.visitor("S0002")) as other:
        mine = answer(one, {"gate.tau": "111 s"})
        theirs = answer(other, {"gate.tau": "222 s"})
        assert "111 s" in mine.text
        assert "222 s" not in mine.text
        assert "111 s" not in theirs.text
        assert other.get(mine.url.path).status_code == 404


PERSONAL = ROOT / "rubrics" / "pump_priming.toml"


def test_the_secret_that_the_sheets_were_made_with_is_kept_and_no_other_taken(serve, tmp_path):
    (tmp_path / "sheets.key").write_text("a5" * 32)
    first = serve("--secret", tmp_path / "sheets.key", rubrics=(PERSONAL,))
    kept = tmp_path / "data" / "values.key"
    assert f"Values:     personal, drawn from {kept}" in first.said
    assert kept.read_text().strip() == "a5" * 32
    first.stop()
    (tmp_path / "other.key").write_text("5a" * 32)
    again = first.run(
        "serve", PERSONAL, "--roster", first.roster, "--data", tmp_path / "data", "--port", "0",
        "--secret", tmp_path / "other.key",
    )  # fmt: skip
    assert again.returncode == 2
    assert "values.key holds another secret than" in again.stderr
    assert kept.read_text().strip() == "a5" * 32


def test_a_rubric_that_changed_is_marked_anew_at_the_next_start(serve, tmp_path):
    rubric = tmp_path / "lock_gate.toml"
    rubric.write_text(RUBRIC.read_text())
    server = serve(rubrics=[rubric])
    with closing(server.visitor("S0001")) as http:
        assert "18 of 18 points" in answer(http, RIGHT).text
    server.stop()
    rubric.write_text(RUBRIC.read_text().replace('"80 mH"', '"40 mH"'))
    server = serve(rubrics=[rubric])
    assert "Marked anew, because a rubric or the program has changed: 1 attempt" in server.said
    with closing(server.visitor("S0001")) as http:
        assert "18 of 18 points" not in http.get("/sheets/lock-gate").text
    server.stop()
    assert "Marked anew" not in serve(rubrics=[rubric]).said


def test_new_codes_work_while_the_server_runs(serve, tmp_path):
    server = serve()
    done = server.run(
        "codes", server.roster, "-o", tmp_path / "new.csv", "--data", tmp_path / "data", "--renew", "S0001"
    )
    assert done.returncode == 0
    assert "1 new code." in done.stdout
    old = server.codes["S0001"]
    new = re.search(r"(\w{4}-){3}\w{4}", (tmp_path / "new.csv").read_text())[0]
    with closing(server.visitor()) as http:
        for code, status in ((old, 403), (new, 200)):
            assert http.post("/enter", data={"token": token_of(http.get("/enter")), "code": code}).status_code == status


def test_a_proxys_word_on_addresses_is_taken_from_the_proxy_named_alone(serve):
    trusting = serve("--proxy", "127.0.0.1")
    with closing(trusting.visitor()) as http:
        page = http.get("/enter", headers={"X-Forwarded-For": "198.51.100.7", "X-Forwarded-Proto": "https"})
        assert "Secure" in page.headers["set-cookie"]
        assert page.headers["strict-transport-security"]
    trusting.stop()
    plain = serve()
    with closing(plain.visitor()) as http:  # a visitor may write these words, too, and nothing follows from them
        page = http.get("/enter", headers={"X-Forwarded-For": "198.51.100.7", "X-Forwarded-Proto": "https"})
        assert "Secure" not in page.headers["set-cookie"]
        assert "strict-transport-security" not in page.headers


@pytest.mark.parametrize("proxy", ["", "192.0.2.1"])  # none, or another than who asks (RFC 5737: nobody's address)
def test_a_made_up_forwarded_address_does_not_get_round_the_slowing_of_passphrase_guesses(listening, proxy):
    """Each guess names another visitor.  Five wrong ones are free; the next four wait 1, 2, 4 and 8 s, whoever asks."""
    server, waited = listening(proxy=proxy), []
    delay = server.site.failures.delay
    server.site.failures.delay = lambda name: waited.append(delay(name)) or 0.0
    for number in range(9):
        line = server.open()
        page = line.ask("GET", "/instructor/enter")
        body = urlencode({"token": page.token, "passphrase": "a guess at it"})
        made_up = f"\r\nX-Forwarded-For: 198.51.100.{number}, 203.0.113.{number}\r\n\r\n"
        line.send(head("POST", "/instructor/enter", page.cookie, length=len(body)).replace("\r\n\r\n", made_up) + body)
        assert line.hear().status == 403
        line.close()
    assert waited == [0, 0, 0, 0, 0, 1, 2, 4, 8]


def test_it_serves_the_same_from_postgresql(serve):
    reason = why_no_postgresql()
    if reason:
        pytest.skip(reason)
    with postgresql() as url:
        server = serve("--database", url)
        with closing(server.visitor("S0001")) as http:
            assert "18 of 18 points" in answer(http, RIGHT).text
        server.kill()
        server = serve("--database", url)
        with closing(server.visitor("S0001")) as http:
            assert "Attempt 1" in http.get("/sheets/lock-gate").text
        server.stop()


@pytest.fixture
def roster(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text("id,name\n" + "".join(f"{s.id},{s.name}\n" for s in ROSTER.students))
    return path


def called(capsys, *words):
    status = main([str(word) for word in words])
    return status, capsys.readouterr()


def test_a_port_that_is_taken_is_one_sentence(capsys, tmp_path, roster):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        status, said = called(capsys, "serve", RUBRIC, "--roster", roster, "--data", tmp_path / "d", "--port", port)
    assert status == 2
    assert f"port {port}" in said.err
    assert said.err.count("\n") == 1


@pytest.mark.parametrize(
    "words, says",
    [
        (["missing.toml", "--roster", "ROSTER"], "missing.toml"),
        ([RUBRIC, "--roster", "missing.csv"], "missing.csv"),
        ([RUBRIC, RUBRIC, "--roster", "ROSTER"], "two rubrics"),
        ([RUBRIC, "--roster", "ROSTER", "--database", "nonsense"], "--database"),
        ([RUBRIC, "--roster", "ROSTER", "--host", "203.0.113.1"], "203.0.113.1"),  # RFC 5737: nobody's address
    ],
)
def test_a_wrong_call_is_one_sentence(capsys, tmp_path, roster, words, says, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    words = [roster if word == "ROSTER" else word for word in words]
    monkeypatch.setattr("uvicorn.Server.run", lambda *_, **__: pytest.fail("it serves"))
    status, said = called(capsys, "serve", *words, "--port", "0")
    assert status == 2
    assert says in said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize(
    "option, value",
    [
        ("--due", "tomorrow"),
        ("--attempts", "0"),
        ("--attempts", "many"),
        ("--wait", "-1"),
        ("--wait", "nan"),
        ("--keep", "worst"),
    ],
)
def test_an_impossible_option_is_refused(capsys, roster, option, value):
    with pytest.raises(SystemExit) as ended:
        main(["serve", str(RUBRIC), "--roster", str(roster), option, value])
    assert ended.value.code == 2
    assert option in capsys.readouterr().err


def test_a_passphrase_that_is_too_short_is_refused(capsys, tmp_path, roster, monkeypatch):
    monkeypatch.setenv("GRADER_PASSPHRASE", "short")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    status, said = called(capsys, "serve", RUBRIC, "--roster", roster, "--data", tmp_path / "d", "--port", "0")
    assert status == 2
    assert "too short" in said.err


def test_codes_are_made_once_shown_once_and_never_overwritten(capsys, tmp_path, roster):
    out, data = tmp_path / "codes.csv", tmp_path / "data"
    assert called(capsys, "codes", roster, "-o", out, "--data", data)[0] == 0
    assert stat.S_IMODE(out.stat().st_mode) == 0o600
    first = out.read_text(encoding="utf-8-sig")
    assert first.splitlines()[0] == "student,name,section,code"
    assert len(first.splitlines()) == 4
    status, said = called(capsys, "codes", roster, "-o", out, "--data", data)
    assert status == 2
    assert "is there already" in said.err
    assert out.read_text(encoding="utf-8-sig") == first
    status, said = called(capsys, "codes", roster, "-o", tmp_path / "more.csv", "--data", data)
    assert status == 0
    assert "has a code already" in said.out
    assert not (tmp_path / "more.csv").exists()
    status, said = called(capsys, "codes", roster, "-o", tmp_path / "more.csv", "--data", data, "--renew", "S9999")
    assert status == 2
    assert "S9999" in said.err


def test_codes_that_cannot_be_written_change_nothing(capsys, tmp_path, roster):
    status, said = called(capsys, "codes", roster, "-o", tmp_path / "no" / "codes.csv", "--data", tmp_path / "data")
    assert status == 2
    assert "nothing was changed" in said.err
    assert not (tmp_path / "data" / "codes.json").exists()


def test_help_tells_how_to_stand_behind_a_proxy():
    done = subprocess.run(
        [sys.executable, "-m", "grader.cli.main", "serve", "--help"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    for word in ("reverse proxy", "TLS", "X-Forwarded-For", "127.0.0.1", "GRADER_PASSPHRASE"):
        assert word in done.stdout
