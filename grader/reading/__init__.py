"""From what a student typed to what it says: notation to readings.

An answer passes through small steps, in this order:

    text/          unicode, LaTeX and lost-font characters to one alphabet; blank marks, spreadsheet damage, phrases for signs
    tokens/        characters to numbers, units, names and signs; the brackets put in that students leave out
    tree/          tokens to trees; what the same tree may mean: units of the whole, degrees, a t left out
    line/          the parts of a line and which of them is the answer: claims, conclusions, corrections, working, remarks;
                   behind the grammar, lists of values, chains, ranges, values beside a formula
    value/         evaluates a tree
    render/        how it is shown

`part` takes one part through the steps behind `line/`, `reader` a whole line.  Each step asks `ambiguities` where there are several ways, and so `reader.read` finds every reading.  `algebra` works out
answers whose form is none of a waveform's.
"""
