"""Cases in workbooks and open documents whose XML is not what a program would write."""

import re
from collections.abc import Iterator

from tests.uploads.building import changed, zipped
from tests.uploads.corpus_case import (
    BOOK,
    ODS_KIND,
    PART,
    READ,
    REFUSED,
    RELATIONS,
    SHEET,
    STYLES,
    Case,
    cell,
    ods,
    ods_row,
    part,
    sheet,
)


def workbooks() -> Iterator[Case]:
    """Workbooks whose XML is not what a program would write."""
    entity = '<!DOCTYPE w [<!ENTITY a "ha">]>'
    book, names = part(BOOK), "".join(f'<definedName name="n{one}">A!$B$2</definedName>' for one in range(10_000))
    runs, far = "<r><t>2</t></r>" * 10_000, "".join(f'<row r="{row}"><c r="XFD{row}"/></row>' for row in range(4, 2004))
    for name, data, outcome, said in (
        (
            "a name of 1 MB",
            changed(SHEET, {BOOK: book.replace('"A"', f'"{"A" * 1_100_000}"').encode()}),
            REFUSED,
            "200 times",
        ),
        (
            "names for 10,000 places",
            changed(SHEET, {BOOK: book.replace("</w", f"<d>{names}</d></w").encode()}),
            READ,
            "",
        ),
        ("a text in 10,000 pieces", cell(f'<c r="B2" t="inlineStr"><is>{runs}</is></c>'), READ, "4000 characters"),
        ("a text that is nowhere", cell('<c r="B2" t="s"><v>99999</v></c>'), REFUSED, "damaged"),
        ("2,000 rows to the last column", sheet(far), READ, ""),
    ):
        yield Case(name, "S0012.xlsx", data, outcome, said)
    for name in (PART, STYLES, BOOK, RELATIONS):
        short = name.rpartition("/")[2]
        yield Case(
            f"an entity in {short}",
            "S0012.xlsx",
            changed(SHEET, {name: re.sub(r"<(?=[a-zA-Z])", f"{entity}<", part(name), count=1).encode()}),
            REFUSED,
            "entities",
        )
        yield Case(
            f"{short} nests without end", "S0012.xlsx", changed(SHEET, {name: b"<a>" * 100_000}), REFUSED, "nests"
        )
        yield Case(
            f"{short} cut off", "S0012.xlsx", changed(SHEET, {name: part(name)[:-9].encode()}), REFUSED, "damaged"
        )
        yield Case(
            f"{short} in UTF-16 with an entity",
            "S0012.xlsx",
            changed(SHEET, {name: f'<?xml version="1.0" encoding="utf-16"?>{entity}<a/>'.encode("utf-16")}),
            REFUSED,
            "entities",
        )
    yield Case(
        "an encoding nobody knows",
        "S0012.xlsx",
        changed(SHEET, {PART: b'<?xml version="1.0" encoding="utf-7"?><a/>'}),
        REFUSED,
        "damaged",
    )
    yield Case(
        "a hundred thousand attributes",
        "S0012.xlsx",
        changed(SHEET, {PART: ("<w " + " ".join(f"a{n}=''" for n in range(100_000)) + "/>").encode()}),
        REFUSED,
    )
    yield Case(
        "millions of empty rows", "S0012.xlsx", sheet("".join(f'<row r="{n}"/>' for n in range(3, 1_000_000))), READ
    )
    yield Case(
        "millions of empty cells in a row",
        "S0012.xlsx",
        sheet("<row>" + "".join(f"<c s='{n}'/>" for n in range(1_000_000)) + "</row>"),
        REFUSED,
        "a row in it",
    )
    for row in ("0", "-1", "1e9", "99999999999999999999", "x"):
        yield Case(f"a row numbered {row}", "S0012.xlsx", sheet(f'<row r="{row}"><c><v>1</v></c></row>'), READ)
    for place in ("A0", "ZZZZ9", "A99999999", "", "9A", "Ａ3"):
        yield Case(
            f"a cell at {place or 'nowhere'}",
            "S0012.xlsx",
            sheet(f'<row r="3"><c r="{place}"><v>1</v></c></row>'),
            REFUSED,
            "damaged",
        )
    yield Case(
        "a cell in the last corner",
        "S0012.xlsx",
        sheet('<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'),
        READ,
        "beyond column",
    )
    for index in ("-1", "999999", "1e3", "٣"):
        yield Case(
            f"text number {index}", "S0012.xlsx", cell(f'<c r="B2" t="s"><v>{index}</v></c>'), REFUSED, "damaged"
        )
    for number in ("1e999", "nan", "9" * 5000, "0x10", "1_0", "2,4", "1e-400"):
        yield Case(f"a number written {number[:9]}", "S0012.xlsx", cell(f'<c r="B2"><v>{number}</v></c>'), READ)
    for range_, outcome in (
        ("A1:XFD1048576", REFUSED),
        ("A1:A1048576", REFUSED),
        ("B2:A1", READ),
        ("B2", READ),
        ("D4:XFD1048576", READ),
    ):
        merged = f'<mergeCells><mergeCell ref="{range_}"/></mergeCells>'
        yield Case(
            f"merged {range_}", "S0012.xlsx", sheet("", merged), outcome, "no item" if outcome == REFUSED else ""
        )
    many = "".join(f'<mergeCell ref="C{n}:D{n}"/>' for n in range(1, 100_000))
    yield Case("a hundred thousand merged areas", "S0012.xlsx", sheet("", f"<mergeCells>{many}</mergeCells>"), READ)
    styles = "".join(f'<xf numFmtId="{n % 160}"/>' for n in range(1_000_000))
    yield Case(
        "a million styles",
        "S0012.xlsx",
        changed(SHEET, {STYLES: f"<styleSheet><cellXfs>{styles}</cellXfs></styleSheet>".encode()}),
        READ,
    )
    yield Case(
        "a number format of a megabyte",
        "S0012.xlsx",
        changed(SHEET, {STYLES: f'<s><numFmt numFmtId="164" formatCode="{"0" * 900_000}"/></s>'.encode()}),
        READ,
    )
    yield Case(
        "a target outside",
        "S0012.xlsx",
        changed(SHEET, {RELATIONS: part(RELATIONS).replace("/xl/worksheets", "../../../../etc").encode()}),
        REFUSED,
    )
    yield Case(
        "a workbook that is its own sheet",
        "S0012.xlsx",
        changed(SHEET, {RELATIONS: part(RELATIONS).replace("/xl/worksheets/sheet1.xml", "/xl/workbook.xml").encode()}),
        REFUSED,
    )
    one = re.search(r"<sheet [^>]*/>", part(BOOK))[0]
    rows = "".join(f"<row><c><v>{n}</v></c></row>" for n in range(50_000))
    hundred = changed(sheet(rows), {BOOK: part(BOOK).replace(one, one * 100).encode()})
    yield Case("one long sheet a hundred times", "S0012.xlsx", hundred, REFUSED)
    yield Case(
        "a strict workbook",
        "S0012.xlsx",
        changed(
            SHEET,
            {
                PART: part(PART)
                .replace(
                    "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
                    "http://purl.oclc.org/ooxml/spreadsheetml/main",
                )
                .encode()
            },
        ),
        READ,
    )
    yield Case(
        "a colour that is none",
        "S0012.xlsx",
        changed(SHEET, {STYLES: part(STYLES).replace("<sz ", '<color rgb="FF00"/><sz ', 1).encode()}),
        READ,
    )


def documents() -> Iterator[Case]:
    """The same of open documents."""
    yield Case(
        "an entity",
        "S0012.ods",
        zipped({"mimetype": ODS_KIND, "content.xml": b'<!DOCTYPE d [<!ENTITY a "b">]><d/>'}),
        REFUSED,
        "entities",
    )
    yield Case("no content", "S0012.ods", zipped({"mimetype": ODS_KIND}), REFUSED, "damaged")
    yield Case(
        "a cell repeated a million times",
        "S0012.ods",
        ods_row("x", "table:number-columns-repeated='1000000'"),
        READ,
        "beyond column",
    )
    yield Case(
        "a blank row repeated for ever",
        "S0012.ods",
        ods('<table:table-row table:number-rows-repeated="9999999999999"/>'),
        READ,
    )
    yield Case(
        "a filled row repeated for ever",
        "S0012.ods",
        ods_row("x", row="table:number-rows-repeated='9999999'"),
        REFUSED,
        "filled rows",
    )
    yield Case("a million blanks", "S0012.ods", ods_row("<text:s text:c='9999999'/>x"), READ)
    yield Case(
        "spans beyond the sheet",
        "S0012.ods",
        ods_row("x", "table:number-rows-spanned='9999999' table:number-columns-spanned='9999999'"),
        READ,
    )
    yield Case("spans within spans", "S0012.ods", ods_row("<text:span>" * 40 + "x" + "</text:span>" * 40), READ)
    yield Case(
        "ten thousand tables",
        "S0012.ods",
        ods("</table:table>" + '<table:table table:name="B"></table:table>' * 10_000 + "<table:table>"),
        READ,
        "first 100",
    )
    yield Case(
        "half a million styles",
        "S0012.ods",
        ods("", "".join(f'<style:style style:name="{n}"/>' for n in range(500_000))),
        READ,
    )
    yield Case("a million empty rows", "S0012.ods", ods("<table:table-row/>" * 1_000_000), REFUSED, "200 times")
