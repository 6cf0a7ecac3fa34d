"""From what a student typed to what it says: notation to readings.

An answer passes through small steps, in this order:

    glyphs         unicode, LaTeX and lost-font characters to one alphabet
    cell           blank marks, spreadsheet damage, phrases in place of signs (phrases; root_words where roots are asked)
    scan           characters to tokens (numerals, scan_labels, scan_words, scan_units, units, vocabulary)
    balance        several values and ranges set apart, partners of brackets
    brackets       brackets that students leave out (reach, slashes, lost)
    parse          tokens to trees, by answer.lark
    parts          several answers, chains, ranges, values beside a formula
    alternatives   what the same tree may mean: units of the whole (spread, unit_cell), degrees, a t left out

Each step asks `forks` where there are several ways, and so `reader.read` finds every reading.  `evaluate` and `roots` say
what a reading is worth, `algebra` where its form is none of a waveform's; `typeset` shows it.
"""
