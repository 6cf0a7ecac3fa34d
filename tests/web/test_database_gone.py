"""A database that is locked, full or gone: one sentence, what was typed comes back, and sent again it counts once."""

import re
import sqlite3
from contextlib import contextmanager

import pytest
import sqlalchemy

from grader.web.data.records import new_id
from tests.web.conftest import RIGHT, SHEET
from tests.web.databases import postgresql, why_no_postgresql
from tests.web.test_files import sheet_csv

TYPED = {"gate.tau": "12.5 ms", "gate.i": "2 - 0.36 e^(-80t) A"}


def filled(student):
    """The form as a browser would send it, loaded while everything is well."""
    page = student.get(f"/sheets/{SHEET}").text
    found = {name: re.search(rf'name="{name}" value="([\w-]+)"', page)[1] for name in ("token", "form")}
    return {**found, "do": "submit", **{f"answer:{name}": text for name, text in TYPED.items()}}


@contextmanager
def locked(site):
    """Another process writes and does not end."""
    other = sqlite3.connect(site.folder / "attempts.sqlite", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    yield
    other.execute("ROLLBACK")
    other.close()


@contextmanager
def full(site):
    """SQLite's own bound on pages stands for a full disk: it gives the same error."""
    engine = site.store._engine
    engine.dispose()
    listener = lambda connection, _: connection.execute("PRAGMA max_page_count=1").close()  # noqa: E731
    sqlalchemy.event.listen(engine, "connect", listener)
    yield
    sqlalchemy.event.remove(engine, "connect", listener)
    engine.dispose()


@contextmanager
def unreadable(site):
    """The file's folder is gone: reading fails as well as writing."""
    site.store._engine.dispose()
    path = site.folder / "attempts.sqlite"
    aside = path.rename(site.folder / "aside")
    path.mkdir()
    yield
    site.store._engine.dispose()
    path.rmdir()
    aside.rename(path)


@pytest.fixture(autouse=True)
def _impatient(monkeypatch):
    """A locked database is waited for some milliseconds here."""
    from grader.web.data import store

    def set_pragmas(connection, _record):
        for pragma in ("busy_timeout=20", "journal_mode=WAL", "synchronous=FULL"):
            connection.execute(f"PRAGMA {pragma}").close()

    monkeypatch.setattr(store, "_set_pragmas", set_pragmas)


@pytest.mark.parametrize("broken", [locked, full, unreadable])
def test_what_was_typed_comes_back_and_counts_once_when_sent_again(site, student, broken):
    loaded = filled(student)
    with broken(site):
        page = student.post(f"/sheets/{SHEET}", data=loaded)
        assert page.status_code == 503
        assert "Not saved yet" in page.text
        for name, text in TYPED.items():
            assert re.search(rf'name="answer:{name}" type="text" value="{re.escape(text)}"', page.text)
        form = re.search(r'name="form" value="([\w-]+)"', page.text)[1]
        token = re.search(r'name="token" value="(\w+)"', page.text)[1]
    again = {"token": token, "form": form, "do": "submit", **{f"answer:{name}": text for name, text in TYPED.items()}}
    first = student.post(f"/sheets/{SHEET}", data=again)
    assert first.url.path.startswith("/attempts/")
    assert student.post(f"/sheets/{SHEET}", data=again).url.path == first.url.path
    assert len(site.store.attempts(SHEET, "S0001")) == 1


@pytest.mark.parametrize("broken", [locked, full])
def test_a_file_that_could_not_be_saved_stands_in_the_fields(site, student, broken):
    token = student.token(f"/sheets/{SHEET}")
    with broken(site):
        page = student.post(
            f"/sheets/{SHEET}/file", data={"token": token, "form": "one", "do": "submit"},
            files={"file": ("mine.csv", sheet_csv(RIGHT))},
        )  # fmt: skip
    assert page.status_code == 503
    assert "Not saved yet" in page.text
    assert 'value="10 ms"' in page.text


def test_pages_that_need_the_database_say_so_in_one_sentence(site, student, instructor):
    desk = instructor(site)
    with unreadable(site):
        for visitor, path in (
            (student, f"/sheets/{SHEET}"),
            (student, "/attempts/x"),
            (desk, "/instructor"),
            (desk, f"/instructor/sheets/{SHEET}/files/uploads.zip"),
        ):
            page = visitor.get(path)
            assert page.status_code == 503
            assert "nothing was saved" in page.text
            assert page.headers["Retry-After"]


def test_a_decision_that_could_not_be_saved_is_shown_to_copy(site, student, instructor):
    student.answer({"gate.tau": "(("}, do="insist")
    desk = instructor(site)
    page = desk.get(f"/instructor/sheets/{SHEET}/review").text
    fields = dict(re.findall(r'name="(token|student|problem|item|attempt)" value="([^"]+)"', page))
    with locked(site):
        answer = desk.post(
            f"/instructor/sheets/{SHEET}/review", data={**fields, "points": "1", "reason": "Meant 10 ms"}
        )
    assert answer.status_code == 503
    assert "Meant 10 ms" in answer.text
    assert "keeps drafts" not in answer.text  # of answers alone
    assert site.store.decisions(SHEET) == ()


@pytest.fixture(scope="module")
def server():
    if reason := why_no_postgresql():
        pytest.skip(reason)
    with postgresql() as url:
        yield url


@contextmanager
def gone(base, name):
    """Nobody can connect to the database any more, and who was connected is cut off."""
    admin = sqlalchemy.create_engine(base.replace("postgresql:", "postgresql+psycopg:"), isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.exec_driver_sql(f"ALTER DATABASE {name} ALLOW_CONNECTIONS false")
        connection.exec_driver_sql(f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'")
        yield
        connection.exec_driver_sql(f"ALTER DATABASE {name} ALLOW_CONNECTIONS true")
    admin.dispose()


def test_postgresql_gone_and_back_again(server, make_site, browser, codes):
    name = "t" + new_id().replace("-", "").replace("_", "").lower()
    admin = sqlalchemy.create_engine(server.replace("postgresql:", "postgresql+psycopg:"), isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
    admin.dispose()
    site = make_site(database=server.replace("/postgres?", f"/{name}?"))
    student = browser(site, codes["S0001"])
    for path in ("/attempts/%00", "/attempts/a%00b", "/sheets/%00", "/attempts/%E2%80%AE"):
        assert student.get(path).status_code == 404
    loaded = filled(student)
    with gone(server, name):
        page = student.post(f"/sheets/{SHEET}", data=loaded)
        assert page.status_code == 503
        assert "12.5 ms" in page.text
        form = re.search(r'name="form" value="([\w-]+)"', page.text)[1]
        assert student.get(f"/sheets/{SHEET}").status_code == 503
    assert form == loaded["form"]
    assert student.post(f"/sheets/{SHEET}", data=loaded).url.path.startswith("/attempts/")
    assert len(site.store.attempts(SHEET, "S0001")) == 1
