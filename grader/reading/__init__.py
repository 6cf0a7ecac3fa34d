"""From what a student typed to what it says: notation to readings.

An answer passes through small steps, in this order:

    cell           blank marks, spreadsheet damage, remarks
    glyphs         unicode, LaTeX and lost-font characters to one alphabet
    scan           characters to tokens (numerals, units, scan_units, vocabulary)
    balance        partners of brackets, ranges set apart
    brackets       brackets that students leave out (reach, slashes, lost)
    parse          tokens to trees, by answer.lark
    parts          several answers, chains, ranges, values beside a formula
    alternatives   what the same tree may mean: units of the whole (spread, unit_cell), degrees, a t left out

Each step asks `forks` where there are several ways, and so `reader.read` finds every reading.  `evaluate` and `roots` say
what a reading is worth, `typeset` shows it.
"""
