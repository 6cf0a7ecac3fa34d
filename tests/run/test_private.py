"""Secrets are made once, are their owner's alone, and are told apart without being given away."""

import stat

import pytest

from grader.errors import OutputError, UsageError
from grader.run.storage.private import identity, kept_secret, read_secret, write_private


def test_a_secret_is_made_once_and_for_its_owner_alone(tmp_path):
    path = tmp_path / "values.key"
    secret = kept_secret(path)
    assert len(secret) == 32
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert path.read_text() == f"{secret.hex()}\n"
    assert kept_secret(path) == read_secret(path) == secret
    assert kept_secret(tmp_path / "other.key") != secret


def test_a_secret_is_told_from_others_and_not_given_away():
    assert identity(b"a" * 32) != identity(b"b" * 32)
    assert (b"a" * 32).hex() not in identity(b"a" * 32)


@pytest.mark.parametrize("content", [b"", b"abc", b"\xff" * 32, b"0" * 63, b"0" * 65, b"g" * 64])
def test_what_is_no_secret_is_refused_and_left_as_it_is(tmp_path, content):
    path = tmp_path / "values.key"
    path.write_bytes(content)
    with pytest.raises(UsageError, match="64 hexadecimal digits"):
        kept_secret(path)
    assert path.read_bytes() == content


def test_a_secret_that_is_not_there_is_not_made_by_reading(tmp_path):
    with pytest.raises(UsageError, match="cannot be read"):
        read_secret(tmp_path / "values.key")
    assert not list(tmp_path.iterdir())


def test_a_place_that_cannot_be_written_to_is_one_sentence(tmp_path):
    with pytest.raises(OutputError, match="cannot be written"):
        kept_secret(tmp_path / "nowhere" / "values.key")


def test_a_private_file_is_replaced_whole(tmp_path):
    write_private(tmp_path / "a", b"one")
    write_private(tmp_path / "a", b"two")
    assert (tmp_path / "a").read_bytes() == b"two"
    assert [path.name for path in tmp_path.iterdir()] == ["a"]
