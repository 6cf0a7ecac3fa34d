"""Personal codes: what they look like, that only their hashes are kept, and that nothing else opens."""

import json
import math
import stat

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.errors import UsageError
from grader.web.access import codes
from grader.web.data.folder import open_folder


def test_a_code_has_at_least_sixty_secret_bits_in_unmistakable_characters():
    assert codes.SECRET_LENGTH * math.log2(len(codes.ALPHABET)) >= 60
    assert not set(codes.ALPHABET) & set("0O1I")
    assert len(set(codes.ALPHABET)) == len(codes.ALPHABET) == 32


def test_a_code_is_four_groups_of_four():
    groups = codes.new_code().split("-")
    assert [len(group) for group in groups] == [4, 4, 4, 4]
    assert set("".join(groups)) <= set(codes.ALPHABET)


@given(st.sampled_from(["K7QM-X3FP-9TWD-H4ZA", "k7qm x3fp 9twd h4za", " K7QMX3FP9TWDH4ZA ", "k7qm–x3fp–9twd–h4za"]))
def test_a_code_may_be_typed_in_any_case_with_or_without_hyphens(typed):
    assert codes.tidy(typed) == "K7QMX3FP9TWDH4ZA"


@pytest.mark.parametrize("typed", ["", "K7QM", "K7QM-X3FP-9TWD-H4Z0", "K7QM-X3FP-9TWD-H4ZAA", "é" * 16])
def test_what_cannot_be_a_code_is_none(typed):
    assert codes.tidy(typed) is None


def test_a_hash_matches_its_own_secret_alone():
    kept = codes.hashed("right", 4)
    assert codes.matches("right", kept)
    assert not codes.matches("wrong", kept)
    assert codes.hashed("right", 4) != kept  # salted


def test_the_hash_is_scrypt_of_rfc_7914():
    """RFC 7914, section 12, third test vector (N = 16384, r = 8, p = 1), first 32 octets."""
    digest = codes._scrypt("pleaseletmein", b"SodiumChloride", 14)
    assert digest.hex() == "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"


def test_issued_codes_find_their_owner_and_no_other():
    made, records = codes.issue(["S0001", "S0002"], ())
    by_name = {record.name: record for record in records}
    for student, code in made.items():
        assert codes.owner(codes.tidy(code), by_name).student == student
    first, second = (codes.tidy(code) for code in made.values())
    assert codes.owner(first[:4] + second[4:], by_name) is None
    assert codes.owner("2222" + first[4:], {}) is None


def test_a_renewed_code_replaces_the_old_one():
    made, records = codes.issue(["S0001", "S0002"], ())
    again, renewed = codes.issue(["S0001"], records)
    by_name = {record.name: record for record in renewed}
    assert len(renewed) == 2
    assert codes.owner(codes.tidy(made["S0001"]), by_name) is None
    assert codes.owner(codes.tidy(again["S0001"]), by_name).student == "S0001"
    assert codes.owner(codes.tidy(made["S0002"]), by_name).student == "S0002"


def test_the_file_holds_no_code_and_only_its_owner_may_read_it(tmp_path):
    made, records = codes.issue(["S0001"], ())
    codes.write_records(tmp_path, records)
    path = tmp_path / codes.FILE_NAME
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    text = path.read_text()
    assert codes.tidy(made["S0001"])[4:] not in text.upper().replace("-", "")
    assert codes.read_records(tmp_path) == records
    assert [entry["student"] for entry in json.loads(text)["codes"]] == ["S0001"]


def test_a_damaged_file_of_codes_is_one_sentence(tmp_path):
    (tmp_path / codes.FILE_NAME).write_text('{"codes": [{"student": 3}]}')
    with pytest.raises(UsageError, match="damaged"):
        codes.read_records(tmp_path)


def test_no_file_no_codes(tmp_path):
    assert codes.read_records(tmp_path) == ()


def test_the_data_folder_is_the_owners_alone(tmp_path):
    folder = open_folder(tmp_path / "deep" / "data")
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_data_folder_that_is_a_file_is_one_sentence(tmp_path):
    (tmp_path / "data").write_text("")
    with pytest.raises(UsageError, match="--data"):
        open_folder(tmp_path / "data")
