"""Names of files in the results folder."""

import os
import sys
import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from grader.run.storage.folder import MAX_NAME, file_name
from grader.uploads.names import folded, tokens


def test_every_student_has_a_file_of_their_own():
    """Ids of any length and of any characters never meet in one name, and none leaves the folder."""
    ids = ("S0012", "../x y", "ä", "a" * 120, "a" * 121, "a" * 121 + "b", "a" * 300, "/" * 60, "/" * 61, "/" * 62)
    ids += ("\U00020000" * 64, "\U00020000" * 65, "学" * 90, "学" * 91, "con", "COM1", "a\udcffb", "a\u202eb", "a\0b")
    names = [file_name(id) for id in ids]
    assert len(set(names)) == len(ids)
    assert max(len(os.fsencode(name)) for name in names) <= MAX_NAME
    assert not any("/" in name or "." in name for name in names)
    assert not {name.casefold() for name in names} & {"con", "com1"}


LETTERS = st.text(st.sampled_from("aAbBäÄéÉſsSßKKıIİiﬁfµμΣςσ１1-_. e\u0301\u030a"), min_size=1, max_size=4)


@given(LETTERS, LETTERS)
def test_where_case_is_no_difference_students_who_share_a_file_are_one_student(one, other):
    """Systems that fold case or accents in names: two ids meet only where the program takes them for the same id."""
    names = [
        unicodedata.normalize("NFC", unicodedata.normalize("NFD", file_name(id)).casefold()) for id in (one, other)
    ]
    if names[0] == names[1]:
        assert tokens(one) == tokens(other)
        assert folded(one) == folded(other)


def test_what_the_file_system_cannot_write_is_written_by_its_code(monkeypatch):
    monkeypatch.setattr(os, "fsencode", lambda name: name.encode("ascii"))
    monkeypatch.setattr(sys, "getfilesystemencoding", lambda: "ascii")
    assert file_name("学a") == "%E5%AD%A6a"
    assert len(file_name("学" * 90)) == MAX_NAME
