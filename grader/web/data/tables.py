"""The tables in which attempts, decisions and requests are kept, and their version."""

from typing import Any

from sqlalchemy import Column, Float, Integer, LargeBinary, MetaData, String, Table, Text, UniqueConstraint

VERSION = "1"
"""Of the tables; a database of another version is refused, never guessed at."""

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


def _on_answer(name: str, *said: Column[Any]) -> Table:
    """A table of what is said of answers, one row for each: `OnAnswer` and what is said."""
    place = (Column(key, String(200), primary_key=True) for key in ("sheet", "student", "problem", "item"))
    return Table(name, meta, *place, Column("answer", Text, nullable=False), *said, Column("at", Float, nullable=False))


requests = _on_answer("requests", Column("sentence", Text, nullable=False))

decisions = _on_answer("decisions", Column("points", Float, nullable=False), Column("reason", Text, nullable=False))

late = _on_answer("late")

left = Table("left_sessions", meta, Column("nonce", String(40), primary_key=True), Column("at", Float, nullable=False))
