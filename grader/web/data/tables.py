"""The tables in which attempts, decisions and requests are kept, and their version."""

from typing import Any

from sqlalchemy import (
    Column,
    Connection,
    Float,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    column,
    insert,
    select,
    table,
    text,
    update,
)

VERSION, BEFORE = "2", "1"
"""Of the tables; a database of the version before is brought up to it, any other is refused, never guessed at."""

meta = MetaData()

about = Table("about", meta, Column("name", String(40), primary_key=True), Column("value", String(200), nullable=False))

sheets = Table(
    "sheets", meta,
    Column("sheet", String(200), primary_key=True),
    Column("state", String(20), nullable=False),
)  # fmt: skip

attempts = Table(
    "attempts", meta,
    Column("id", String(40), primary_key=True),
    Column("sheet", String(200), nullable=False),
    Column("student", String(200), nullable=False),
    Column("number", Integer, nullable=False),
    Column("at", Float, nullable=False),
    Column("form", String(80), nullable=False),
    Column("file", String(300), nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("answers", Text, nullable=False),
    Column("key", String(100), nullable=False),
    Column("marks", Text, nullable=False),
    Column("total", Float, nullable=False),
    UniqueConstraint("sheet", "student", "number"),
    UniqueConstraint("sheet", "student", "form"),
)  # fmt: skip

BRIEF = tuple(column for column in attempts.columns if column.name != "content")
"""Everything but the file, which may be megabytes and is needed for the export alone."""


_PLACE = ("sheet", "student", "problem", "item")


def _answers(*said: Column[Any], one_each: bool = False) -> tuple[Column[Any], ...]:
    """The columns of what is said of answers: `OnAnswer` and what is said; ``one_each``: one row for an item of a student."""
    place = (Column(key, String(200), primary_key=one_each, nullable=False) for key in _PLACE)
    return (*place, Column("answer", Text, nullable=False), *said, Column("at", Float, nullable=False))


def _by_answer(name: str, *said: Column[Any]) -> Table:
    """A table of what is said of answers, a row for each answer of an item of a student."""
    row = Column("row", Integer, primary_key=True)
    return Table(f"{name}_by_answer", meta, row, *_answers(*said), Index(f"{name}_by_place", *_PLACE))


requests = _by_answer("requests", Column("sentence", Text, nullable=False))

decisions = _by_answer("decisions", Column("points", Float, nullable=False), Column("reason", Text, nullable=False))

late = Table("late", meta, *_answers(one_each=True))

left = Table("left_sessions", meta, Column("nonce", String(40), primary_key=True), Column("at", Float, nullable=False))


def brought_up(connection: Connection) -> None:
    """Take over what version 1 kept, which knew one decision and one request for an item of a student."""
    for new, old in ((requests, "requests"), (decisions, "decisions")):
        names = [one.name for one in new.columns if one.name != "row"]
        kept = table(old, *map(column, names))
        connection.execute(insert(new).from_select(names, select(kept)))
        connection.execute(text(f"DROP TABLE {old}"))
    connection.execute(update(about).where(about.c.name == "version").values(value=VERSION))
