"""Cookies and tokens: what is signed comes back, what is forged does not."""

from hypothesis import given
from hypothesis import strategies as st

from grader.web.access.sessions import LIFETIME, Session, Signer, tag

signer = Signer(b"k" * 32)


@given(st.text(max_size=20), st.text(max_size=20), st.text(max_size=20))
def test_a_signed_session_comes_back(student, student_tag, instructor_tag):
    session = Session(student=student, student_tag=student_tag, instructor_tag=instructor_tag)
    assert signer.session(signer.cookie(session)) == session


@given(st.integers(0, 200), st.characters(codec="ascii"))
def test_a_cookie_changed_anywhere_is_worth_nothing(place, character):
    cookie = signer.cookie(Session(student="S0001", student_tag="x"))
    place %= len(cookie)
    forged = cookie[:place] + character + cookie[place + 1 :]
    read = signer.session(forged)
    assert read is None or read == signer.session(cookie)  # base64 leaves some last bits unused


def test_no_cookie_an_empty_one_and_another_servers_one_are_nothing():
    assert signer.session(None) is None
    assert signer.session("") is None
    assert signer.session(Signer(b"other key" * 4).cookie(Session())) is None


def test_a_cookie_of_another_shape_is_nothing():
    assert signer.session(signer._serializer.dumps(["too", "short"])) is None
    assert signer.session(signer._serializer.dumps(7)) is None


def test_a_cookie_expires(monkeypatch):
    cookie = signer.cookie(Session(student="S0001"))
    import itsdangerous.timed

    now = itsdangerous.timed.time.time()
    monkeypatch.setattr(itsdangerous.timed.time, "time", lambda: now + LIFETIME + 2)
    assert signer.session(cookie) is None


def test_a_token_belongs_to_one_session():
    one, other = Session(), Session()
    assert signer.is_token(one, signer.token(one))
    assert not signer.is_token(other, signer.token(one))
    assert not signer.is_token(one, "")
    assert not signer.is_token(one, "ü")


def test_entering_draws_a_new_nonce_so_that_a_planted_cookie_is_worth_nothing():
    planted = Session()
    entered = planted.entered(student="S0001", tag="x")
    assert entered.nonce != planted.nonce
    assert not signer.is_token(entered, signer.token(planted))
    assert planted.instructing("y").nonce != planted.nonce


def test_a_tag_tells_a_hash_from_its_replacement():
    assert tag("one") != tag("two")
    assert "one" not in tag("one")
