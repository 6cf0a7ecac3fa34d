"""Bounds on what is read: each a named constant with its reason.

No honest answer comes near any of them; they keep the time for one answer linear and small, whatever is sent.
"""

from __future__ import annotations

MAX_CHARACTERS = 500
"""Length of one answer.  A full second-order expression with every coefficient written out stays below 200."""

MAX_TOKENS = 250
"""Numbers, names and signs in one answer; the longest expression published in the examples has about 60."""

MAX_NESTING = 20
"""Brackets within brackets; keeps every walk over the tree far from the interpreter's stack limit."""

MAX_DIGITS = 60
"""Digits of one number.  Spreadsheets show 15, and a 50-digit approximation of ours should still be readable."""

MAX_DECIMAL_EXPONENT = 60
"""Largest power of ten in a number: beyond the SI prefixes (10^30) times each other lies no quantity."""

MAX_SIZE_BITS = 6000
"""Bits of a numerator or denominator while evaluating; a chain of powers cannot make numbers without bound."""

MAX_POWER = 30
"""Largest whole power of a number; ``10^-30`` is the smallest SI prefix."""

MAX_TERMS = 200
"""Terms of a waveform while evaluating; a fourth-order response has at most a few dozen."""

MAX_READINGS = 6
"""Competing readings kept; more would explain anything."""

MAX_TOKENS_REREAD = 700
"""Tokens read in all while looking for competing readings; keeps the worst case at a few milliseconds."""
