"""Bytes to text: byte-order marks, UTF-16 without one, UTF-8, and what older programs write."""

import codecs
import re
from typing import NamedTuple

from grader.uploads import limits

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_OLDER = ["cp1252", "mac_roman", "cp1250", "cp1251", "cp1253", "cp1254", "gb18030", "shift_jis", "big5", "euc_kr"]
"""Encodings that spreadsheets of the last decades write where they do not write Unicode (common practice, no source)."""

_CONTROLS = bytes(set(range(32)) - set(b"\t\n\r\f\x1a\x1b"))
_MAX_CONTROLS, _FEW_CONTROLS = 0.02, 4
"""Share of control bytes above which a file is no text, if there are more than a few; honest text has none."""

_FEW_LETTERS = 8
"""Letters beyond ASCII that are too few to tell an encoding by; then the most common one is meant, if all stand in words."""

_IN_WORD = re.compile(rb"(?<=[A-Za-z])[\xc0-\xff]|[\xc0-\xff](?=[A-Za-z])")

CUT_OFF = "its last character is cut off; it may be incomplete"


class Decoded(NamedTuple):
    """Text, the encoding where it had to be guessed (else empty), and a fault for the review list (or empty)."""

    text: str
    guessed: str = ""
    fault: str = ""


def looks_like_text(data: bytes) -> bool:
    """Whether bytes could be text in any encoding known here, judged by their beginning."""
    sample = data[: limits.DETECT_BYTES]
    if sample.startswith(tuple(mark for mark, _ in _MARKS)) or utf16_without_mark(sample):
        return True
    return len(sample) - len(sample.translate(None, _CONTROLS)) <= max(_FEW_CONTROLS, _MAX_CONTROLS * len(sample))


def decode(data: bytes) -> Decoded:
    """Turn bytes into text; never fails, and says what had to be guessed."""
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _whole(data, encoding)
    if encoding := utf16_without_mark(data[: limits.DETECT_BYTES]):
        return _whole(data, encoding)
    try:
        return Decoded(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        if error.start >= len(data) - 3 and error.start > 0 and not data[: error.start].isascii():
            return Decoded(data[: error.start].decode("utf-8"), fault=CUT_OFF)
    encoding = _guess(data)
    return Decoded(data.decode(encoding, "replace"), guessed=encoding)


def _whole(data: bytes, encoding: str) -> Decoded:
    text = data.decode(encoding, "replace")
    return Decoded(text, fault=CUT_OFF if text.endswith("\ufffd") else "")


def utf16_without_mark(sample: bytes) -> str:
    """Tell UTF-16 by where its zero bytes lie: Latin text has one in every pair, always on the same side."""
    pairs = len(sample) // 2
    if pairs < 2:
        return ""
    left, right = sample[: 2 * pairs : 2].count(0), sample[1 : 2 * pairs : 2].count(0)
    if right > 0.4 * pairs and left < 0.05 * pairs:
        return "utf-16-le"
    return "utf-16-be" if left > 0.4 * pairs and right < 0.05 * pairs else ""


def _guess(data: bytes) -> str:
    beyond = data[: limits.DETECT_BYTES].translate(None, bytes(range(128)))
    if len(beyond) <= _FEW_LETTERS and len(beyond) == len(_IN_WORD.findall(data[: limits.DETECT_BYTES])):
        return "cp1252"
    from charset_normalizer import from_bytes

    best = from_bytes(data[: limits.DETECT_BYTES], cp_isolation=_OLDER).best()
    return best.encoding if best is not None else "cp1252"
