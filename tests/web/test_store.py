"""The database, the same on SQLite and on PostgreSQL: attempts, decisions, states."""

import threading
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy
from msgspec.structs import replace

from grader.errors import UsageError
from grader.uploads.upload import Written
from grader.web.data import tables
from grader.web.data.records import Attempt, Decided, new_id
from grader.web.data.store import AlreadyTaken, Store
from tests.web.databases import postgresql, why_no_postgresql

NOON = datetime(2026, 3, 2, 12, 0, 0, 123456, tzinfo=UTC)
ANSWERS = (
    Written(problem="valve", item="tau", text="2,5 ms", notes=("a note",), alternatives=("1/2", "2/1")),
    Written(
        problem="valve", item="x", text="'; DROP TABLE attempts; -- \ud800 \U0001f600 𝜏 \x00", unit="A", where="B2"
    ),
)


def attempt(number=1, student="S0001", **changes):
    plain = Attempt(
        id=new_id(), sheet="locks", student=student, number=number, at=NOON, form=f"f{number}", answers=ANSWERS,
        key="digest", marks="{}", total=0.0,
    )  # fmt: skip
    return replace(plain, **changes)


@pytest.fixture(scope="module")
def server():
    reason = why_no_postgresql()
    if reason:
        pytest.skip(reason)
    with postgresql() as url:
        yield url


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request, tmp_path):
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path}/attempts.sqlite"
    base = request.getfixturevalue("server")
    name = "t" + new_id().replace("-", "").replace("_", "").lower()
    admin = sqlalchemy.create_engine(base.replace("postgresql:", "postgresql+psycopg:"), isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
    admin.dispose()
    return base.replace("/postgres?", f"/{name}?")


@pytest.fixture
def store(url):
    opened = Store(url)
    yield opened
    opened.close()


def test_an_attempt_comes_back_as_it_was(store):
    kept = attempt(file="hw.xlsx")
    store.add([(kept, b"\x00PK\xff")])
    assert store.attempts("locks", "S0001") == (kept,)
    assert store.attempt(kept.id, "S0001") == kept
    assert store.content(kept.id) == b"\x00PK\xff"
    assert store.content("nothing") == b""


def test_an_attempt_survives_closing_and_opening_again(url):
    first = Store(url)
    kept = attempt(total=2.25)
    first.add([(kept, b"")])
    first.close()
    second = Store(url)
    assert second.attempts("locks", "S0001") == (kept,)
    second.close()


def test_another_students_attempt_is_not_there(store):
    kept = attempt()
    store.add([(kept, b"")])
    assert store.attempt(kept.id, "S0002") is None
    assert store.attempts("locks", "S0002") == ()
    assert store.attempts("other", "S0001") == ()


def test_a_number_and_a_form_are_used_once(store):
    store.add([(attempt(), b"")])
    with pytest.raises(AlreadyTaken):
        store.add([(attempt(form="other"), b"")])
    with pytest.raises(AlreadyTaken):
        store.add([(attempt(number=2, form="f1"), b"")])
    store.add([(attempt(number=2), b"")])
    store.add([(attempt(student="S0002"), b"")])
    assert [(made.form, made.at) for made in store.made("locks", "S0001")] == [("f1", NOON), ("f2", NOON)]
    assert [(a.student, a.number) for a in store.all_attempts("locks")] == [("S0001", 1), ("S0001", 2), ("S0002", 1)]


def test_of_many_at_once_each_number_is_taken_by_one(store):
    outcomes = []

    def take(name):
        for number in range(1, 6):
            try:
                store.add([(attempt(number=number, form=f"{name}-{number}"), b"")])
                outcomes.append(number)
            except AlreadyTaken:
                pass

    threads = [threading.Thread(target=take, args=(str(k),)) for k in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == [1, 2, 3, 4, 5]


def test_marks_can_be_made_anew(store):
    kept = attempt()
    store.add([(kept, b"")])
    store.remark(kept.id, "new", "[1]", 2.5)
    assert store.attempt(kept.id, "S0001") == replace(kept, key="new", marks="[1]", total=2.5)


def test_a_sheet_is_what_was_said_last(store):
    assert store.state("locks") == ""
    store.set_state("locks", "closed")
    store.set_state("locks", "open")
    assert store.state("locks") == "open"
    assert store.state("other") == ""


DECIDED = Decided(
    sheet="locks", student="S0001", problem="valve", item="tau", answer="2.5 ms", points=0.0, reason="Not read.", at=NOON
)  # fmt: skip


def test_a_decision_replaces_the_earlier_one_on_the_same_answer(store):
    first = DECIDED
    second = replace(first, points=2.0, reason="It is milliseconds.", at=NOON + timedelta(hours=1))
    other = replace(first, item="x")
    for decision in (first, other, second):
        store.decide(decision)
    assert store.decisions("locks") == (second, other)
    assert store.decisions("locks", "S0001") == (second, other)
    assert store.decisions("locks", "S0002") == ()


def test_a_decision_on_another_answer_stands_beside_it(store):
    later = replace(DECIDED, answer="3 ms", points=2.0, at=NOON + timedelta(hours=1))
    again = replace(DECIDED, answer="2.5ms", points=1.0, at=NOON + timedelta(hours=2))  # laid out otherwise
    store.decide(DECIDED, later)
    assert store.decisions("locks") == (DECIDED, later)
    store.decide(again)
    assert store.decisions("locks") == (later, again)
    store.take_back(replace(later, at=NOON))
    assert store.decisions("locks") == (again,)


def test_a_database_of_the_version_before_is_taken_over(url):
    """Version 1 had one row for each item of a student in each of the two tables."""
    engine = sqlalchemy.create_engine(url.replace("postgresql:", "postgresql+psycopg:"))
    place = "sheet VARCHAR(200), student VARCHAR(200), problem VARCHAR(200), item VARCHAR(200), answer TEXT NOT NULL"
    key = "PRIMARY KEY (sheet, student, problem, item)"
    row = "'locks', 'S0001', 'valve', 'tau', '2.5 ms'"
    at = NOON.timestamp()
    with engine.begin() as connection:
        for statement in (
            "CREATE TABLE about (name VARCHAR(40) PRIMARY KEY, value VARCHAR(200) NOT NULL)",
            "INSERT INTO about VALUES ('version', '1')",
            f"CREATE TABLE decisions ({place}, points FLOAT, reason TEXT, at FLOAT, {key})",
            f"INSERT INTO decisions VALUES ({row}, 0.0, 'Not read.', {at})",
            f"CREATE TABLE requests ({place}, sentence TEXT, at FLOAT, {key})",
            f"INSERT INTO requests VALUES ({row}, 'Why?', {at})",
        ):
            connection.exec_driver_sql(statement)
    engine.dispose()
    for _ in range(2):  # taken over once, and there the next time
        store = Store(url)
        (request,) = store.requests("locks")
        assert (request.answer, request.sentence, request.at) == ("2.5 ms", "Why?", NOON)
        assert store.decisions("locks") == (DECIDED,)
        store.close()


def test_a_database_of_another_version_is_refused(url, monkeypatch):
    Store(url).close()
    monkeypatch.setattr(tables, "VERSION", "3")
    with pytest.raises(UsageError, match="another version"):
        Store(url)


@pytest.mark.parametrize("url", ["nonsense", "oracle://x", "nodialect://x"])
def test_a_url_that_is_none_is_one_sentence(url):
    with pytest.raises(UsageError, match="--database"):
        Store(url)


def test_a_server_that_is_not_there_is_one_sentence_without_the_password(tmp_path):
    pytest.importorskip("psycopg")
    with pytest.raises(UsageError) as caught:
        Store(f"postgresql://me:topsecret@/db?host={tmp_path}")
    assert "topsecret" not in str(caught.value)
    assert "cannot be opened" in str(caught.value)


def test_a_file_that_is_no_database_is_one_sentence(tmp_path):
    (tmp_path / "a.sqlite").write_text("not a database, but long enough to look at " * 40)
    with pytest.raises(UsageError, match="cannot be opened"):
        Store(f"sqlite:///{tmp_path}/a.sqlite")


def test_sqlite_keeps_a_log_and_waits_for_the_disk(tmp_path):
    opened = Store(f"sqlite:///{tmp_path}/a.sqlite")
    with opened._engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2  # FULL, in SQLite's documentation
    opened.close()
