"""Names of files in the results folder."""

from grader.run.storage.folder import MAX_NAME, file_name


def test_every_student_has_a_file_of_their_own():
    """Ids of any length and of any characters never meet in one name, and none leaves the folder."""
    ids = ("S0012", "../x y", "ä", "a" * 120, "a" * 121, "a" * 121 + "b", "a" * 300, "/" * 60, "/" * 61, "/" * 62)
    names = [file_name(id) for id in ids]
    assert len(set(names)) == len(ids)
    assert max(map(len, names)) <= MAX_NAME
    assert not any("/" in name or "." in name for name in names)
