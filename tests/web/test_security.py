"""What hostile visitors get: nothing of others', nothing changed, and one plain sentence."""

import logging
import re

import pytest

from grader.web import app
from grader.web.access import limits
from grader.web.access.sessions import Session, Signer
from grader.web.data.records import new_id
from tests.web.conftest import RIGHT, SHEET

PAGES = ["/enter", "/instructor/enter", "/sheets/lock-gate", "/nowhere", "/static/pages.css", "/attempts/none"]


@pytest.mark.parametrize("path", PAGES)
def test_every_answer_carries_the_security_headers(student, path):
    headers = student.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert "form-action 'self'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["x-frame-options"] == "DENY"
    assert headers["referrer-policy"] == "same-origin"
    assert ("no-store" in headers["cache-control"]) is not path.startswith("/static/")
    assert "strict-transport-security" not in headers


def test_behind_tls_cookies_are_for_https_alone_and_browsers_are_told_to_stay_there(make_site, browser):
    answer = browser(make_site(tls=True)).get("/enter")
    assert "Secure" in answer.headers["set-cookie"]
    assert answer.headers["strict-transport-security"]


def test_cookies_are_out_of_reach_of_scripts_and_other_sites(site, browser):
    cookie = browser(site).get("/enter").headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Secure" not in cookie  # plain http on this machine


def test_no_page_has_a_script_or_style_inside_or_fetches_from_elsewhere(site, student, instructor):
    student.answer({"gate.i": "<script>alert(1)</script>", "gate.tau": '"onmouseover="x'}, do="insist")
    student.answer({"gate.tau": "1 s"}, do="check")
    student.get("/sheets/lock-gate/practice/gate?set=7")
    desk = instructor(site)
    for path in ("", "/sheets/lock-gate", "/sheets/lock-gate/review", "/sheets/lock-gate/students/S0001"):
        desk.get(f"/instructor{path}")
    for page in (*student.seen, *desk.seen):
        assert not re.search(r"<script(?! src=\"/static/(?:reading|draft).js\" defer></script>)", page.text)
        assert not re.search(r"<style|\sstyle=|\son\w+=\"", page.text)
        assert not re.search(r"(?:src|href|action)=\"(?:https?:)?//", page.text)


def test_the_audits_own_style_is_allowed_by_its_hash_and_nothing_else(site, student, instructor):
    student.answer(RIGHT)
    page = instructor(site).get("/instructor/sheets/lock-gate/audit")
    policy = page.headers["content-security-policy"]
    assert "script-src 'none'" in policy
    assert "unsafe" not in policy
    assert policy.count("'sha256-") == 1
    assert "<script" not in page.text
    assert not re.search(r"\sstyle=|\son\w+=", page.text)


HOSTILE = [
    "<script>alert('gate')</script>", "<img src=x onerror=alert(1)>", "{{ 7777*7777 }}{% for x in y %}", "'; DROP TABLE attempts;--",
    "${7777*7777}", "__import__('os').system('true')", "=cmd|' /C calc'!A0", "&lt;b&gt;", "\u202egnp.exe", "A" * 1999, "9**9**9**9",
    "(" * 400, "e^" * 300 + "t", "\x00\x01\x02", "\ud800", "]]><!ENTITY x 'y'>", "<math><mtext><b onclick=x>y</b></mtext></math>",
]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_answers_are_shown_as_text_and_harm_nothing(site, student, instructor, text):
    quoted = text.encode("utf-8", "surrogatepass").decode("utf-8", "replace")
    for do in ("check", "insist"):
        page = student.answer({"gate.tau": quoted, "gate.i": quoted}, do=do)
        assert page.status_code in (200, 422)
        body = re.sub(r'<script src="/static/(reading|draft).js" defer></script>', "", page.text)
        assert "<script" not in body
        assert "<img" not in body
        assert "<b " not in body
        assert "60481729" not in body
    assert len(site.store.all_attempts(SHEET)) == (1 if quoted.strip("\x00\x01\x02 ") else 0)
    desk = instructor(site)
    assert desk.get("/instructor/sheets/lock-gate/review").status_code == 200
    assert "<script" not in desk.get("/instructor/sheets/lock-gate/students/S0001").text
    for file in ("gradebook.csv", "decisions.csv", "uploads.zip", "attempts.zip"):
        assert desk.get(f"/instructor/sheets/lock-gate/files/{file}").status_code == 200


CHANGES = [
    ("/enter", {"code": "x"}), ("/leave", {"x": "y"}), ("/sheets/lock-gate", {"do": "submit", "answer:gate.tau": "1 s"}),
    ("/sheets/lock-gate/file", {"do": "submit"}), ("/sheets/lock-gate/reading", {"answer:gate.tau": "1 s"}),
    ("/sheets/lock-gate/practice/gate?set=1", {"do": "try"}), ("/instructor/enter", {"passphrase": "x"}),
]  # fmt: skip


@pytest.mark.parametrize("path, fields", CHANGES)
@pytest.mark.parametrize("token", [None, "", "0" * 32, "é"])
def test_nothing_is_changed_without_the_sessions_token(site, student, path, fields, token):
    data = fields if token is None else {**fields, "token": token}
    assert student.post(path, data=data).status_code == 403
    assert site.store.all_attempts(SHEET) == ()
    assert student.get("/").url.path == "/sheets/lock-gate"


def test_another_sessions_token_is_worth_nothing(site, browser, codes):
    one, other = browser(site, codes["S0001"]), browser(site, codes["S0002"])
    token = other.token("/sheets/lock-gate")
    page = one.post("/sheets/lock-gate", data={"token": token, "do": "submit", "answer:gate.tau": "1 s"})
    assert page.status_code == 403


@pytest.mark.parametrize(
    "where, status", [("cross-site", 403), ("same-site", 403), ("same-origin", 200), ("none", 200)]
)
def test_a_form_sent_from_another_site_is_refused_even_with_the_token(student, where, status):
    page = student.send(
        "/sheets/lock-gate", {"do": "check", "answer:gate.tau": "1 s"}, headers={"Sec-Fetch-Site": where}
    )
    assert page.status_code == status


def forged_cookies(site):
    own = Session(student="S0002", student_tag="guess")
    good = site.signer.cookie(own)
    return [
        "", "rubbish", "a.b.c", good[:-2] + ("AA" if good[-2:] != "AA" else "BB"), Signer(b"x" * 32).cookie(own), good,
        site.signer.cookie(Session(student="S9999", student_tag="")), site.signer.cookie(Session(instructor_tag="guess")),
        "x" * 5000,
    ]  # fmt: skip


def test_forged_cookies_open_nothing(site, browser):
    for cookie in forged_cookies(site):
        visitor = browser(site)
        visitor.http.cookies.set("visit", cookie)
        assert visitor.get("/").url.path == "/enter", cookie
        visitor.http.cookies.clear()
        visitor.http.cookies.set("visit", cookie)
        assert visitor.get("/instructor").url.path == "/instructor/enter", cookie


def test_no_student_sees_anothers_attempt_by_its_address(site, browser, codes):
    one, other = browser(site, codes["S0001"]), browser(site, codes["S0002"])
    address = one.answer({"gate.tau": "123456 s"}).url.path
    assert address.startswith("/attempts/")
    for path in (address, f"/attempts/{new_id()}", "/attempts/1", "/attempts/..%2f..%2fenter", "/attempts/%00"):
        page = other.get(path)
        assert page.status_code == 404
        assert "123456" not in page.text
    assert "123456" not in other.get("/sheets/lock-gate").text
    for path in ("/instructor/sheets/lock-gate/students/S0001", "/instructor/sheets/lock-gate/files/attempts.zip"):
        assert other.get(path).url.path == "/instructor/enter"


@pytest.mark.parametrize(
    "path",
    ["/sheets/nothing", "/sheets/lock-gate/practice/none", "/sheets/lock-gate/practice/gate?set=x",
     "/sheets/lock-gate/practice/gate?set=1000000", "/sheets/lock-gate/practice/gate?set=-1", "/static/../app.py",
     "/static/..%2fapp.py", "/sheets/lock-gate/practice/gate?set=%D9%A1", "/nothing"],
)  # fmt: skip
def test_addresses_that_lead_nowhere_are_one_sentence(student, path):
    page = student.get(path)
    assert page.status_code == 404
    assert "Traceback" not in page.text


def test_the_instructors_addresses_that_lead_nowhere(site, instructor):
    desk = instructor(site)
    for path in (
        "/sheets/none",
        "/sheets/lock-gate/students/none",
        "/sheets/lock-gate/files/none",
        "/sheets/lock-gate/audit",
    ):
        assert desk.get(f"/instructor{path}").status_code == 404


def test_a_method_that_is_not_there(student):
    assert student.post("/").status_code == 405


def test_a_huge_body_is_refused_while_it_arrives(site, student):
    async def endless():
        for _ in range(10_000):
            yield b"a" * 65_536
        raise AssertionError("the whole body was taken")

    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    page = student.post("/sheets/lock-gate", content=endless(), headers=kind)
    assert page.status_code == 413
    page = student.post(
        "/sheets/lock-gate/file", content=endless(), headers={"Content-Type": "multipart/form-data; boundary=x"}
    )
    assert page.status_code == 413
    assert site.store.all_attempts(SHEET) == ()


def test_who_has_not_entered_cannot_make_the_server_take_a_large_body(site, browser):
    async def endless():
        for _ in range(100):
            yield b"a" * 65_536
        raise AssertionError("more than a form was taken")

    page = browser(site).post(
        "/sheets/lock-gate/file", content=endless(), headers={"Content-Type": "multipart/form-data; boundary=x"}
    )
    assert page.status_code == 413


@pytest.mark.parametrize(
    "kind, body",
    [("application/x-www-form-urlencoded", b"\xff\xfe=1"), ("application/x-www-form-urlencoded", b"a=1&" * 1000),
     ("multipart/form-data", b"--x"), ("multipart/form-data; boundary=x", b"--x\r\nbroken"), ("application/json", b"{}"),
     ("", b"a=1"), ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n1\r\n' * 40 + b"--x--")],
)  # fmt: skip
def test_damaged_forms_are_refused_in_one_sentence(site, student, kind, body):
    page = student.post("/sheets/lock-gate", content=body, headers={"Content-Type": kind})
    assert page.status_code in (400, 403, 415)
    assert site.store.all_attempts(SHEET) == ()


def test_an_answer_longer_than_any_browser_sends_is_refused(student):
    assert student.answer({"gate.tau": "1" * 2001}).status_code == 413


def test_too_many_requests_from_one_address_are_told_to_wait(site, browser, clock):
    visitor = browser(site)
    statuses = [visitor.get("/enter").status_code for _ in range(limits.RATES["request"].burst + 1)]
    assert statuses[-2:] == [200, 429]
    assert int(visitor.seen[-1].headers["Retry-After"]) >= 1
    assert browser(site, address="10.1.2.4").get("/enter").status_code == 200
    clock.forward(1)
    assert visitor.get("/enter").status_code == 200


def test_who_was_signed_out_gets_back_what_was_typed(site, browser):
    page = browser(site).post("/sheets/lock-gate", data={"answer:gate.tau": "my <b>answer</b>", "do": "submit"})
    assert page.status_code == 403
    assert "my &lt;b&gt;answer&lt;/b&gt;" in page.text


def test_a_fault_of_ours_is_one_sentence_and_its_log_holds_no_answer(student, monkeypatch, caplog):
    def broken(*_):
        raise RuntimeError("about my secret answer 2.4 mA")

    monkeypatch.setattr("grader.web.pages.handing_in.answers_of_form", broken)
    with caplog.at_level(logging.INFO, logger="grader.web"):
        page = student.answer({"gate.tau": "2.4 mA"})
    assert page.status_code == 500
    assert "secret" not in page.text
    number = re.search(r"this number: (\w+)", page.text)[1]
    assert number in caplog.text
    assert "2.4" not in caplog.text
    assert "RuntimeError" in caplog.text


def test_the_log_has_ids_and_no_names_answers_or_codes(site, browser, codes, caplog):
    with caplog.at_level(logging.DEBUG, logger="grader.web"):
        visitor = browser(site, codes["S0001"])
        visitor.answer({"gate.tau": "31.4159 ms"})
        visitor.get("/sheets/lock-gate/practice/gate?set=123456")
    assert "S0001 POST /sheets/lock-gate 303" in caplog.text
    for hidden in ("Ada", "31.4159", codes["S0001"], codes["S0001"].replace("-", ""), "set=123456", "token"):
        assert hidden not in caplog.text


def test_every_change_is_a_post_and_every_page_that_is_not_public_says_for_whom(site):
    """A route added without thought would show here: what a GET may do, and who may come without entering."""
    public = {"/enter", "/instructor/enter", "/leave", "/instructor/leave"}
    seen = set()
    for route in app.build_app(site).routes:
        if route.path in {"/static", "/fonts"}:  # files of the project itself, to read
            continue
        seen.add(route.path)
        who = dict(
            zip(
                route.endpoint.__code__.co_freevars,
                (cell.cell_contents for cell in route.endpoint.__closure__),
                strict=True,
            )
        )["who"]
        assert (who == "anybody") is (route.path in public)
        assert (who == "instructor") is (route.path.startswith("/instructor") and route.path not in public)
    assert public < seen
