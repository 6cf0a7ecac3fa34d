"""Cases in texts: characters, names, files that speak for others, formulas, and everything long or broken."""

import os
from collections.abc import Iterator

from tests.uploads.building import workbook
from tests.uploads.corpus_case import CSV, READ, REFUSED, SHEET, TEXT, WAITS, Case, cell, ods, ods_cell


def characters() -> Iterator[Case]:
    """Characters that are not seen, that turn or end a text: kept, and said where they could mislead."""
    loud = [
        0x00,
        0x01,
        0x07,
        0x08,
        0x0B,
        0x0C,
        0x1B,
        0x1F,
        0x7F,
        0x80,
        0x9F,
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
    ]
    quiet = [0xAD, 0x200B, 0x200D, 0x200E, 0x2028, 0x2029, 0xFEFF, 0xFFFD, 0xFFFF, 0x1F600, 0x20000, 0xE0001, 0x10FFFF]
    for code, said in [*((code, "cannot be seen") for code in loud), *((code, "") for code in quiet)]:
        yield Case(f"U+{code:04X} in an answer", "S0012.txt", f"valve.tau: 2{chr(code)}4 ms\n".encode(), READ, said)
    yield Case("zero-width space in a label", "x.txt", "student: S00\u200b12\nvalve.tau: 2 ms".encode(), READ)
    yield Case("U+202E in a label", "x.txt", "student: S00\u202e12\nvalve.tau: 2 ms".encode(), READ)
    yield Case("NUL in a label", "x.txt", b"student: S0012\0\nvalve.tau: 2 ms", READ)
    yield Case(
        "a label of 64 astral characters", "x.txt", f"student: {chr(0x20000) * 64}\nvalve.tau: 2 ms".encode(), WAITS
    )
    yield Case("a label of 90 CJK letters", "x.txt", f"student: {'学' * 90}\nvalve.tau: 2 ms".encode(), WAITS)
    yield Case(
        "a label in look-alike letters", "x.txt", "student: Ѕ0012\nvalve.tau: 2 ms".encode(), WAITS, "may be meant"
    )
    yield Case(
        "a label of a megabyte", "x.txt", b"student: " + b"x" * 1_000_000 + b"\nvalve.tau: 2 ms", REFUSED, "characters"
    )
    yield Case("ten thousand labels", "x.txt", b"student: S0012\n" * 10_000 + TEXT, READ)
    yield Case("all ids in one text", "x.txt", b"student: S0012 S0013 s-77\n" + TEXT, WAITS, "several students")


def names() -> Iterator[Case]:
    """Names reserved somewhere, names that point elsewhere, names beyond all length."""
    for name in (
        "CON.txt",
        "nul.csv",
        "COM1.txt",
        "aux",
        "LPT1.xlsx",
        "-rf.txt",
        "$(id).txt",
        "`id`.txt",
        "a;b.txt",
        ".txt",
    ):
        yield Case(f"a file called {name}", name, TEXT, WAITS)
    for name in ("S0012. .txt", "S0012:x.txt", "S0012\u202etxt.exe", "S0012\0.txt", "S0012\n.txt", "S0012_" + "学" * 90 + ".txt",
                 "S0012" + " final" * 2000 + ".txt", "S0012" + "(1)" * 5000 + ".txt", "S0012." + "x" * 5000, "hw_S0012_v99.TXT"):  # fmt: skip
        yield Case(f"a file called {name[:20]!r}", name, TEXT, READ)
    for name in ("S0012_S0013.txt", "S0013/S0012.txt", "S0012.zip/S0013.txt", "S9999.txt", "Ѕ0012.txt", "S0012学.txt"):
        yield Case(f"a file called {name}", name, TEXT, WAITS)


def speakers() -> Iterator[Case]:
    """Files that speak for others."""
    wide = b"student,valve.tau\nS0013,99 ms\ns-77,99 ms\n"
    yield Case("a wide table under an id", "S0012.csv", wide, REFUSED, "several students")
    yield Case("a wide table under no id", "hw.csv", wide, REFUSED, "several students")
    yield Case("a wide table of one other", "S0012.csv", b"student,valve.tau\nS0013,99 ms\n", WAITS, "S0013")
    yield Case("a wide table of oneself", "S0012.csv", b"student,valve.tau\nS0012,2 ms\n", READ)
    yield Case("one headed in another language", "S0012.csv", b"Matrikelnummer;valve.tau\nS0012;2 ms\n", READ)
    yield Case(
        "a wide table of 50,000", "S0012.csv", b"student,valve.tau\n" + b"S0013,9 ms\n" * 50_000, REFUSED, "several"
    )
    yield Case(
        "a wide workbook",
        "S0012.xlsx",
        workbook({"A": [["id", "valve.tau"], ["S0013", 1], ["s-77", 1]]}),
        REFUSED,
        "several",
    )
    yield Case(
        "sheets called like ids",
        "S0012.xlsx",
        workbook({"S0013": [["item", "answer"], ["valve.tau", "2 ms"]], "s-77": []}),
        READ,
    )
    yield Case("another's id beside the answers", "S0012.csv", b"S0013\n" + CSV, WAITS, "S0013")
    yield Case(
        "another's label on a hidden sheet",
        "S0012.xlsx",
        workbook({"A": [["item", "answer"], ["valve.tau", "2 ms"]], "B": [["student", "S0013"]]}),
        WAITS,
        "S0013",
    )


def formulas() -> Iterator[Case]:
    """Formulas that call out or run something: read as texts, never acted upon."""
    calls = ['HYPERLINK("http://127.0.0.1:9/","x")', 'WEBSERVICE("http://127.0.0.1:9/")', "cmd|'/c calc'!A0", "[x.xlsx]A!B2",
             "'file:///etc/[passwd]A'!A1", "1+1", 'INDIRECT("B"&ROW())', "B2", "(" * 4000]  # fmt: skip
    for call in calls:
        escaped = call.replace("&", "&amp;").replace('"', "&quot;")
        yield Case(f"={call[:20]} in text", "S0012.txt", f"valve.tau: ={call}\n".encode(), READ)
        yield Case(f"={call[:20]} in a workbook", "S0012.xlsx", cell(f'<c r="B2"><f>{escaped}</f></c>'), READ)
        yield Case(
            f"={call[:20]} in an open document",
            "S0012.ods",
            ods(
                f'<table:table-row>{ods_cell("valve.current")}<table:table-cell table:formula="of:={escaped}"/></table:table-row>'
            ),
            READ,
        )


def texts() -> Iterator[Case]:
    """Texts and tables that are long in every direction, broken or something else."""
    for name, data, outcome, said in (
        ("nothing", b"", REFUSED, "empty"),
        ("zero bytes", b"\0" * 100_000, REFUSED, "empty"),
        ("a million lines", b"x\n" * 1_000_000, REFUSED, "lines"),
        ("one line of ten megabytes", b"x" * 10_000_000, REFUSED, "characters"),
        ("a million columns", b"item,answer" + b",x" * 400_000 + b"\nvalve.tau,2 ms\n", READ, ""),
        ("an endless quotation", b'item,answer\nvalve.tau,"2 ms\n' + b"x,y\n" * 50_000, READ, "quotation"),
        ("quotes without end", CSV + b'"' * 900_000 + b"\n", READ, ""),
        ("a rule that is none", b"| item | answer |\n|" + b"-" * 900_000 + b"x\n| valve.tau | 2 ms |\n", READ, ""),
        ("blanks within a name", CSV + (b"a" + b" " * 3_900 + b"b\n") * 2_000, READ, ""),
        ("brackets without end", CSV + (b"(" * 3_900 + b",x\n") * 1_000, READ, ""),
        ("colons without end", TEXT + b":" * 900_000 + b"\n", READ, ""),
        ("marks without end", TEXT + b"> " * 400_000 + b"\n" + b"- " * 400_000 + b"\n", READ, ""),
        ("a hundred thousand unknown items", CSV + b"valve.tua,1\n" * 100_000, READ, "no item"),
        ("one item a hundred thousand times", CSV + b"valve.tau,3 ms\n" * 100_000, READ, "second time"),
        ("working without end", TEXT + b"R = 1\n" * 100_000, REFUSED, "20000 lines"),
        ("UTF-16 cut in half", CSV.decode().encode("utf-16")[:-1], READ, ""),
        ("UTF-32", CSV.decode().encode("utf-32"), READ, ""),
        ("bytes of no encoding", CSV + bytes(range(128, 256)) + b"\n", READ, ""),
        ("a delimiter of its own", b"sep=x\nitemxanswer\nvalve.taux2 ms\n", READ, ""),
        ("carriage returns alone", CSV.replace(b"\n", b"\r"), READ, ""),
        ("a PDF", b"%PDF-1.7" + os.urandom(1000), REFUSED, "PDF"),
        ("a picture", b"\x89PNG\r\n\x1a\n" + bytes(1000), REFUSED, "picture"),
        ("a gz", b"\x1f\x8b\x08" + bytes(range(256)), REFUSED, "packed"),
        ("a program", b"\x7fELF" + bytes(range(32)) * 200, REFUSED, "neither"),
        ("a web page", b"<!DOCTYPE html><script>alert(1)</script>", REFUSED, "web page"),
        ("a pickle", b"cos\nsystem\n(S'id'\ntR.", REFUSED, "No answers"),
        ("code", b"import os; os.system('id')\n", REFUSED, "No answers"),
        ("a workbook behind a text", CSV + SHEET, REFUSED, "neither"),
        ("an old workbook of noise", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "Workbook".encode("utf-16-le") + os.urandom(9000), REFUSED, "damaged"),
        ("an encrypted workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le") + bytes(900), REFUSED, "password"),
    ):  # fmt: skip
        yield Case(name, "S0012.csv", data, outcome, said)
