"""One file per ``find``: what it is, its right answer, and how it follows from earlier answers."""
