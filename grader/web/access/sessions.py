"""Who is visiting: one signed cookie, and the token that every form carries.

The cookie holds a random nonce and who has entered; it is signed, expires, and cannot be read by scripts.  The
token is a keyed hash of the nonce: a page of another site can make a browser send the cookie, but cannot know
the token.  Entering and leaving draw a new nonce, so that a cookie planted beforehand is worth nothing.
"""

import hashlib
import hmac
import secrets

from itsdangerous import BadData, URLSafeTimedSerializer
from msgspec import Struct, field
from msgspec.structs import replace

COOKIE = "visit"
LIFETIME = 12 * 3600
"""Seconds after which one has to enter again: a day's work, not a week on a shared machine."""


class Session(Struct, frozen=True, kw_only=True):
    """What the cookie says."""

    nonce: str = field(default_factory=lambda: secrets.token_urlsafe(12))
    """Random; the token is derived from it."""
    student: str | None = None
    """The roster id of who has entered."""
    student_tag: str = ""
    """Mark of the code used: replacing that ends the sessions opened with it."""
    instructor_tag: str = ""
    """The same of the passphrase; "" for everybody but the instructor."""

    def entered(self, *, student: str, tag: str) -> "Session":
        """Whoever this was has entered as a student."""
        return replace(Session(), student=student, student_tag=tag, instructor_tag=self.instructor_tag)

    def instructing(self, tag: str) -> "Session":
        """Whoever this was has given the instructor's passphrase."""
        return replace(self, nonce=Session().nonce, instructor_tag=tag)


def tag(kept_hash: str) -> str:
    """A short mark of a kept hash, that tells it from its replacement and gives nothing away."""
    return hashlib.sha256(kept_hash.encode()).hexdigest()[:12]


class Signer:
    """Signs and reads cookies and tokens with the data folder's secret key."""

    def __init__(self, key: bytes) -> None:
        self._key = key
        self._serializer = URLSafeTimedSerializer(key, salt="visit")

    def cookie(self, session: Session) -> str:
        """The cookie's value."""
        return self._serializer.dumps([session.nonce, session.student, session.student_tag, session.instructor_tag])

    def session(self, cookie: str | None) -> Session | None:
        """The session of a cookie; None if there is none, it is forged, or it has expired."""
        if not cookie:
            return None
        try:
            nonce, student, student_tag, instructor_tag = self._serializer.loads(cookie, max_age=LIFETIME)
        except (BadData, ValueError, TypeError):
            return None
        return Session(nonce=nonce, student=student, student_tag=student_tag, instructor_tag=instructor_tag)

    def token(self, session: Session) -> str:
        """The token that forms of this session carry."""
        return hmac.new(self._key, f"token {session.nonce}".encode(), hashlib.sha256).hexdigest()[:32]

    def is_token(self, session: Session, token: str) -> bool:
        """Whether a form's token is this session's; takes the same time whatever the token."""
        return hmac.compare_digest(self.token(session).encode(), token.encode())
