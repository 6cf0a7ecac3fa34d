"""What is kept: attempts with their marks, decisions, requests, and which sheets are closed; in SQLite or PostgreSQL.

An attempt is committed, with the disk told to write it, before the student is told of it.  SQLite runs with a
write-ahead log and ``synchronous=FULL``, so that what was acknowledged survives the end of the process or of the
power (SQLite's documentation of these two pragmas); PostgreSQL does the same by default.
"""

import json
import logging
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any, TypeVar

from sqlalchemy import (
    Connection,
    Engine,
    ExceptionContext,
    Row,
    Select,
    Table,
    create_engine,
    delete,
    event,
    insert,
    select,
    update,
)
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, IntegrityError, NoSuchModuleError, SQLAlchemyError

from grader.errors import GraderError, UsageError
from grader.run.storage.serialization import by_name, decoded
from grader.uploads.upload import Written
from grader.web.data import tables
from grader.web.data.records import Attempt, Decided, Made, OnAnswer, Request

log = logging.getLogger("grader.web")

R = TypeVar("R", Decided, Request, OnAnswer)

_REMEDY = "Put back an undamaged copy of it, or name another with --database."


class AlreadyTaken(Exception):
    """The attempt's number or its form has been used: another one came first."""


class Unavailable(GraderError):
    """The database does not answer: locked, full, or gone; what was to be written may be tried again."""


class Damaged(GraderError):
    """What was kept can no longer be read."""

    def __init__(self, what: str) -> None:
        super().__init__(f"The database is damaged: {what} can no longer be read. Put back an undamaged copy of it.")


@contextmanager
def _answering() -> Iterator[None]:
    """Turn whatever a database says when it cannot, into `Unavailable`; the log has the kind of fault and no data."""
    try:
        yield
    except IntegrityError:
        raise
    except (SQLAlchemyError, UnicodeDecodeError) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        code = getattr(cause, "sqlite_errorname", None) or getattr(cause, "sqlstate", None) or "no code"
        said = f"the database does not answer: {type(cause).__name__} ({code})"
        log.error(said)  # noqa: TRY400 - no data in it
        raise Unavailable(f"{said[0].upper()}{said[1:]}; see that it runs and that its disk has room.") from None


@contextmanager
def legible(what: str) -> Iterator[None]:
    """Turn whatever goes wrong with a record that is taken apart, into `Damaged`."""
    try:
        yield
    except (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, OSError, RecursionError):
        raise Damaged(what) from None


class Store:
    """The database; every method raises `Unavailable` where it does not answer.

    Parameters
    ----------
    url : str
        As SQLAlchemy writes it: ``sqlite:////home/me/data/attempts.sqlite``, ``postgresql+psycopg://…``.

    Raises
    ------
    UsageError
        If it cannot be opened, or is of another version.
    """

    def __init__(self, url: str) -> None:
        self._engine = _engine(url)
        try:
            tables.meta.create_all(self._engine)
            with self._engine.begin() as connection:
                is_file = connection.dialect.name == "sqlite"
                sound = str(connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()) if is_file else "ok"
                version = connection.scalar(select(tables.about.c.value).where(tables.about.c.name == "version"))
                if version is None:
                    connection.execute(insert(tables.about).values(name="version", value=tables.VERSION))
                elif version == tables.BEFORE:
                    tables.brought_up(connection)
        except (SQLAlchemyError, UnicodeDecodeError) as error:  # a damaged name within what SQLite says of the damage
            self.close()
            raise UsageError(f"The database {_shown(url)} cannot be opened: {_cause(error)}. {_REMEDY}") from None
        if sound != "ok":
            self.close()
            raise UsageError(f"The database {_shown(url)} is damaged: {' '.join(sound.split())[:300]}. {_REMEDY}")
        if version not in (None, tables.VERSION, tables.BEFORE):
            self.close()
            raise UsageError(
                f"The database {_shown(url)} was written by another version (tables {version}, not {tables.VERSION}); name another."
            )

    def close(self) -> None:
        """Give back all connections."""
        self._engine.dispose()

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with _answering(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with _answering(), self._engine.begin() as connection:
            yield connection

    def add(self, attempts: Iterable[tuple[Attempt, bytes]]) -> None:
        """Keep attempts, each with the file it came in, atomically; returns once they are committed.

        Raises
        ------
        AlreadyTaken
            If a number or a form was used before.
        """
        rows = [
            {
                **by_name(attempt),
                "at": attempt.at.timestamp(),
                "answers": json.dumps([by_name(answer) for answer in attempt.answers]),
                "content": content,
            }
            for attempt, content in attempts
        ]
        if not rows:
            return
        try:
            with self._writing() as connection:
                connection.execute(insert(tables.attempts), rows)
        except IntegrityError:
            raise AlreadyTaken from None

    def remark(self, id: str, key: str, marks: str, total: float) -> None:
        """Replace the marks of an attempt (the rubric has changed)."""
        with self._writing() as connection:
            connection.execute(
                update(tables.attempts).where(tables.attempts.c.id == id).values(key=key, marks=marks, total=total)
            )

    def content(self, id: str) -> bytes:
        """The file that an attempt came in, or the table of what was typed."""
        with self._reading() as connection:
            return connection.scalar(select(tables.attempts.c.content).where(tables.attempts.c.id == id)) or b""

    def attempt(self, id: str, student: str) -> Attempt | None:
        """The attempt of that id, if it is this student's."""
        found = self._attempts(
            select(*tables.BRIEF).where(tables.attempts.c.id == id, tables.attempts.c.student == student)
        )
        return found[0] if found else None

    def made(self, sheet: str, student: str) -> Sequence[Made]:
        """What the rules need to know of a student's attempts at a sheet, oldest first."""
        return self.made_by(sheet, [student]).get(student, [])

    def made_by(self, sheet: str, students: Iterable[str]) -> dict[str, list[Made]]:
        """The same for some students; those without an attempt are left out."""
        query = (
            select(tables.attempts.c.student, tables.attempts.c.id, tables.attempts.c.form, tables.attempts.c.at)
            .where(tables.attempts.c.sheet == sheet, tables.attempts.c.student.in_(sorted(students)))
            .order_by(tables.attempts.c.number)
        )
        found: dict[str, list[Made]] = {}
        with self._reading() as connection:
            for student, id, form, at in connection.execute(query):
                with legible(f"attempt {id}"):
                    found.setdefault(student, []).append(Made(id, form, datetime.fromtimestamp(at, UTC)))
        return found

    def attempts(self, sheet: str, student: str) -> tuple[Attempt, ...]:
        """All attempts of a student at a sheet, oldest first."""
        query = select(*tables.BRIEF).where(tables.attempts.c.sheet == sheet, tables.attempts.c.student == student)
        return self._attempts(query.order_by(tables.attempts.c.number))

    def all_attempts(self, sheet: str) -> tuple[Attempt, ...]:
        """All attempts at a sheet, by student and then oldest first."""
        query = select(*tables.BRIEF).where(tables.attempts.c.sheet == sheet)
        return self._attempts(query.order_by(tables.attempts.c.student, tables.attempts.c.number))

    def _attempts(self, query: Select[Any]) -> tuple[Attempt, ...]:
        with self._reading() as connection:
            return tuple(_attempt(row) for row in connection.execute(query))

    def state(self, sheet: str) -> str:
        """What the instructor has said of a sheet: open, closed, or nothing ("")."""
        with self._reading() as connection:
            return connection.scalar(select(tables.sheets.c.state).where(tables.sheets.c.sheet == sheet)) or ""

    def set_state(self, sheet: str, state: str) -> None:
        """Keep what the instructor says of a sheet."""
        with self._writing() as connection:
            connection.execute(delete(tables.sheets).where(tables.sheets.c.sheet == sheet))
            connection.execute(insert(tables.sheets).values(sheet=sheet, state=state))

    def decide(self, *decided: Decided) -> None:
        """Keep decisions, all or none; each replaces an earlier one on the same answer of the same student."""
        self._replace(tables.decisions, *decided)

    def take_back(self, on: OnAnswer) -> None:
        """Forget the decision on an answer of a student, if there is one."""
        with self._writing() as connection:
            _forget(connection, tables.decisions, on)

    def ask(self, request: Request) -> None:
        """Keep a student's request to look again; it replaces an earlier one on the same answer."""
        self._replace(tables.requests, request)

    def keep_late(self, answers: Sequence[OnAnswer]) -> bool:
        """Keep what a student sent too late for a sheet, the first time; gives back whether it was kept."""
        first = {one.place: {**by_name(one), "at": one.at.timestamp()} for one in reversed(answers)}
        if not first or self.late(answers[0].sheet, answers[0].student):
            return False
        try:
            with self._writing() as connection:
                connection.execute(insert(tables.late), list(first.values()))
        except IntegrityError:  # sent twice at once
            return False
        return True

    def late(self, sheet: str, student: str | None = None) -> tuple[OnAnswer, ...]:
        """The answers that came too late for a sheet, and count for nothing."""
        return self._on_items(tables.late, OnAnswer, sheet, student)

    def _replace(self, table: Table, *records: Decided | Request) -> None:
        with self._writing() as connection:
            for record in records:
                _forget(connection, table, record)
                connection.execute(insert(table), {**by_name(record), "at": record.at.timestamp()})

    def decisions(self, sheet: str, student: str | None = None) -> tuple[Decided, ...]:
        """All decisions on a sheet (of one student, where named), in a fixed order."""
        return self._on_items(tables.decisions, Decided, sheet, student)

    def requests(self, sheet: str, student: str | None = None) -> tuple[Request, ...]:
        """All requests to look again, likewise."""
        return self._on_items(tables.requests, Request, sheet, student)

    def _on_items(self, table: Table, record: type[R], sheet: str, student: str | None) -> tuple[R, ...]:
        query = select(*(one for one in table.columns if one.name != "row")).where(table.c.sheet == sheet)
        if student is not None:
            query = query.where(table.c.student == student)
        query = query.order_by(table.c.student, table.c.problem, table.c.item, table.c.at)
        with self._reading() as connection, legible(f"a row of {table.name}"):
            return tuple(
                record(**{**row._mapping, "at": datetime.fromtimestamp(row.at, UTC)})  # noqa: SLF001 - its public name
                for row in connection.execute(query)
            )

    def leave(self, nonce: str, at: datetime) -> None:
        """Keep that a session was ended by whoever had it."""
        with self._writing() as connection:
            connection.execute(delete(tables.left).where(tables.left.c.nonce == nonce))
            connection.execute(insert(tables.left).values(nonce=nonce, at=at.timestamp()))

    def left(self, since: datetime) -> frozenset[str]:
        """The sessions ended since then; earlier ones are forgotten."""
        with self._writing() as connection:
            connection.execute(delete(tables.left).where(tables.left.c.at < since.timestamp()))
            return frozenset(connection.scalars(select(tables.left.c.nonce)))


def _forget(connection: Connection, table: Table, on: OnAnswer) -> None:
    """Take away what a table says of an answer, however it was laid out."""
    place = (table.c[name] == getattr(on, name) for name in ("sheet", "student", "problem", "item"))
    said = connection.execute(select(table.c.row, table.c.answer).where(*place)).all()
    gone = [row for row, answer in said if on.is_on(answer)]
    connection.execute(delete(table).where(table.c.row.in_(gone)))


def _engine(url: str) -> Engine:
    try:
        parsed = make_url(url)
        if parsed.drivername == "postgresql":
            parsed = parsed.set(drivername="postgresql+psycopg")
        engine = create_engine(parsed, pool_pre_ping=True)  # a connection that the server closed is not used again
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError):
        raise UsageError(
            "--database must be a URL such as sqlite:///folder/attempts.sqlite or postgresql://user@host/name "
            "(PostgreSQL needs the package psycopg)."
        ) from None
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _set_pragmas)
        event.listen(engine, "handle_error", _open_anew)
    return engine


def _set_pragmas(connection: Any, _record: Any) -> None:
    try:
        for pragma in ("busy_timeout=5000", "journal_mode=WAL", "synchronous=FULL"):
            connection.execute(f"PRAGMA {pragma}").close()
    except sqlite3.Error:  # not a database: nobody else would close the connection
        connection.close()
        raise


def _open_anew(context: ExceptionContext) -> None:
    """Let go of a file that could be opened to read alone, as SQLite does where a disk refuses once."""
    if getattr(context.original_exception, "sqlite_errorname", "").startswith("SQLITE_READONLY"):
        context.is_disconnect = True


def _shown(url: str) -> str:
    try:
        return make_url(url).render_as_string(hide_password=True)
    except ArgumentError:
        return "given"


def _cause(error: SQLAlchemyError | UnicodeDecodeError) -> str:
    if isinstance(error, UnicodeDecodeError):
        return "the names of its tables are damaged"
    text = str(error.orig) if isinstance(error, DBAPIError) and error.orig is not None else str(error)
    return " ".join(text.split()).rstrip(".")[:300]


def _attempt(row: Row[Any]) -> Attempt:
    content = dict(row._mapping)  # noqa: SLF001 - its public name
    with legible(f"attempt {row.id}"):
        at, answers = datetime.fromtimestamp(row.at, UTC), decoded(row.answers, tuple[Written, ...])
        return Attempt(**{**content, "at": at, "answers": answers})
