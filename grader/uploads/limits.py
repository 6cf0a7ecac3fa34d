"""How much of a file is looked at: every bound of this room, each with its reason.

An honest answer sheet is a few kilobytes, a few hundred cells; these bounds leave two orders of magnitude of room
and still keep the cost of a hostile file at a few seconds.  Time and memory are watched from outside as well.
"""

MiB = 1024 * 1024

FILE_BYTES = 20 * MiB
"""One upload.  A sheet with a few pasted photographs stays below; a class table of 2,000 students is under 2 MiB."""

ARCHIVE_BYTES = 2048 * MiB
"""A zip of a whole section, read from disk piece by piece: 500 uploads at 4 MiB each."""

ARCHIVE_DIRECTORY_BYTES = 16 * MiB
"""The table of contents of a zip, the one part that is held in memory whole: about 200,000 entries."""

ARCHIVE_INFLATED_BYTES = 8192 * MiB
"""The files of such a zip once unpacked, one after the other; at some 300 MiB/s about half a minute."""

ENTRIES = 120_000
"""Files in the zip that the caller names: one for each student of a hundred thousand."""

PACKED_ENTRIES = 5_000
"""Files in a zip found among the uploads, which one student may have made; a section of thousands is named in the call."""

NAME_BYTES = 1_000
"""The path of a file in a zip, in UTF-8."""

DEPTH = 12
"""Folders within folders."""

INFLATED_BYTES = 64 * MiB
"""The parts of one spreadsheet once unpacked; a sheet of 500,000 cells takes about 25 MiB."""

RATIO = 200
"""Unpacked over packed.  Deflate reaches 1,032 at most; the XML of real sheets 5 to 60 (measured on generated ones)."""

RATIO_FREE_BYTES = MiB
"""Below this the ratio is not looked at: small parts of blanks pack well and harm nobody."""

XML_DEPTH = 64
"""Elements within elements; the formats need about 12."""

XML_ELEMENTS = 50_000
"""Elements of one row or one text; a row of all 16,384 columns takes 32,768."""

XML_TOKEN_BYTES = MiB
"""One tag or comment; the parser looks at an unfinished one again from its start with every piece that arrives."""

STYLES = 65_490
"""Cell formats of a workbook that are looked at; the format's own programs keep no more (from memory)."""

SHEETS = 100
"""Sheets of a workbook that are opened."""

ROWS = 120_000
"""Rows with something in them, of a sheet or lines of a text: a roster of a hundred thousand."""

LINES = 20_000
"""Lines of a text that is no table: each may name an item in a dozen ways.  An honest one has a few hundred."""

LIST_MARKS = 4
"""Marks of lists in front of a line: ``> - 2. a)``."""

COLUMNS = 1_000
"""Columns looked at: a class table with a column per item of a long exam."""

CELLS = 500_000
"""Cells with something in them, in one file: 4,000 students with 120 items each."""

MERGED = 1_000
"""Merged ranges of a sheet that are looked at."""

MERGED_ROWS = 200
"""Rows of one merged range: the items of a long problem."""

CELL_CHARS = 4_000
"""Characters kept of one cell or line.  The longest honest answer is a few hundred; the rest is cut and said so."""

LINE_CHARS = 1_000_000
"""Characters of one row of a delimited table: 1,000 columns of ordinary answers."""

DETECT_BYTES = 64 * 1024
"""How much of a text is looked at to tell its encoding and its delimiter."""

FAULTS = 50
"""Faults listed one by one for one upload, be it a file or a zip; the rest is counted, so that a review list stays readable."""

UNUSED = 5
"""Second answers kept beside one that counts, each of which is marked to see whether it is better."""

TOGETHER = 500
"""Characters of an answer and the lines below it that are read as one: as many as the reader takes; beyond it the last lines, or the first."""
