"""Cases in zips."""

import io
import random
import struct
import zipfile
from collections.abc import Iterator

from tests.uploads.building import zipped
from tests.uploads.corpus_case import READ, REFUSED, TEXT, WAITS, Case


def link(name: str, target: str) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        entry = zipfile.ZipInfo(name)
        entry.create_system, entry.external_attr = 3, 0o120777 << 16
        packed.writestr(entry, target)
    return stream.getvalue()


def patched(data: bytes, name: bytes, at: int, layout: str, value: int) -> bytes:
    """A zip with one field of an entry in its table of contents changed."""
    raw = bytearray(data)
    place = raw.rindex(name) - 46 + at
    raw[place : place + struct.calcsize(layout)] = struct.pack(layout, value)
    return bytes(raw)


def commented(data: bytes, comment: bytes) -> bytes:
    """A zip with a comment at its end."""
    return data[:-2] + struct.pack("<H", len(comment)) + comment


def repeated(data: bytes, times: int) -> bytes:
    """A zip of one entry whose table of contents lists it that often."""
    begin, end = data.rindex(b"PK\x01\x02"), data.rindex(b"PK\x05\x06")
    listed = data[begin:end] * times
    return data[:begin] + listed + struct.pack("<4s4H2IH", b"PK\x05\x06", 0, 0, times, times, len(listed), begin, 0)


def zips() -> Iterator[Case]:
    """Zips among the uploads; read from a folder, as a run does."""
    good = zipped({"S0012.txt": TEXT})
    deep = good
    for _ in range(6):
        deep = zipped({"S0012.zip": deep})
    entries = {f"{n}.txt": b"x" for n in range(5_001)}
    noted = TEXT + random.Random(1).randbytes(500).hex().encode()
    yield Case("an honest zip", "S0012.zip", good, READ)
    yield Case("a zip in a zip", "S0012.zip", zipped({"a.zip": good}), READ)
    yield Case("zips in zips in zips", "S0012.zip", deep, REFUSED, "zip inside a zip inside")
    yield Case("another's file in one's zip", "S0012.zip", zipped({"S0013.txt": TEXT}), WAITS, "S0013")
    yield Case("a link", "S0012.zip", link("S0012.txt", "/etc/hostname"), REFUSED, "link")
    yield Case("a link to a folder", "S0012.zip", link("S0012", "/"), REFUSED, "link")
    for name in ("../S0012.txt", "/S0012.txt", "C:\\S0012.txt", "..\\S0012.txt", "a/../../S0012.txt"):
        yield Case(f"an entry called {name}", "S0012.zip", zipped({name: TEXT}), REFUSED, "points outside")
    for name in ("CON", "S0012/" * 20 + "a.txt", "学" * 20_000 + ".txt", "\u202e.txt", "S0012.txt/"):
        outcome = {"S": REFUSED}.get(name[0], READ) if not name.endswith("/") else ""
        yield Case(f"an entry called {name[:12]!r}", "S0012.zip", zipped({name: TEXT}), outcome)
    yield Case("more entries than allowed", "S0012.zip", zipped(entries), REFUSED, "5000 files")
    yield Case("a bomb", "S0012.zip", zipped({"S0012.txt": b"0" * 19_000_000}), REFUSED, "200 times")
    yield Case("a password", "S0012.zip", patched(good, b"S0012.txt", 8, "<H", 1), REFUSED, "password")
    yield Case("an unknown method", "S0012.zip", patched(good, b"S0012.txt", 10, "<H", 99), REFUSED, "packed in a way")
    yield Case("a size that lies", "S0012.zip", patched(good, b"S0012.txt", 24, "<I", 5), REFUSED)
    yield Case("a size beyond all bounds", "S0012.zip", patched(good, b"S0012.txt", 24, "<I", 0xFFFFFFF0), REFUSED)
    yield Case("an entry that is elsewhere", "S0012.zip", patched(good, b"S0012.txt", 42, "<I", 0x7FFFFFFF), REFUSED)
    yield Case(
        "a checksum that is wrong", "S0012.zip", patched(good, b"S0012.txt", 16, "<I", 12345), REFUSED, "damaged"
    )
    yield Case("no time at all", "S0012.zip", patched(good, b"S0012.txt", 12, "<I", 0), READ)
    yield Case("a time that is none", "S0012.zip", patched(good, b"S0012.txt", 12, "<I", 0xFFFFFFFF), READ)
    yield Case("two names for an entry", "S0012.zip", good.replace(b"S0012.txt", b"S0013.txt", 1), REFUSED, "damaged")
    yield Case("behind other bytes, as programs that unpack themselves are", "S0012.zip", bytes(3 << 20) + good, READ)
    yield Case("another zip in the comment", "S0012.zip", commented(good, zipped({"S0013.txt": TEXT})), WAITS, "S0013")
    yield Case(
        "entries that share their bytes", "S0012.zip", repeated(zipped({"S0012.txt": noted}), 4_999), REFUSED, "overlap"
    )
    yield Case("cut off", "S0012.zip", good[:-10], REFUSED, "damaged")
    yield Case("no zip at all", "S0012.zip", b"PK\x03\x04" + bytes(500), REFUSED, "damaged")
