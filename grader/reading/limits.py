"""Bounds on what is read: each a named constant with its reason.

No honest answer comes near any of them; they keep the time for one answer linear and small, whatever is sent.
"""

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

MAX_SIZE_BITS = 2500
"""Bits of a numerator or denominator while evaluating: a dozen 50-digit approximations multiplied together."""

MAX_POWER = 30
"""Largest whole power of a number; ``10^-30`` is the smallest SI prefix."""

MAX_READINGS = 6
"""Competing readings kept; more would explain anything."""

MAX_TOKENS_REREAD = 450
"""Tokens read in all while looking for competing readings; keeps the worst case at a few milliseconds."""

MAX_CONSTANT_EXPONENT = 600
"""Largest power of e that does not depend on t: e^600 still fits a float with room to spare."""

MAX_PRODUCTS = 40
"""Products of terms in one multiplication; the square of a fourth-order response needs 25."""

MAX_PRODUCTS_IN_ALL = 120
"""Products of terms in a whole answer; a product of three damped sinusoids needs some 30."""

MAX_INSTANTS = 6
"""Instants at which an answer may change its form; a problem has two or three switchings."""

MAX_WORD = 60
"""Letters and digits written together; ``6cos120t`` and ``tR1R2`` are the longest that make sense."""

MAX_POWER_OF_SUM = 8
"""Largest whole power of a sum worked out term by term."""

MAX_FORKS = 24
"""Places in one answer where a second way is looked for; beyond, the most plausible way is taken."""

ALGEBRA_SECONDS = 3
"""Processor time of general algebra on one answer; what students write takes a hundredth of it."""

ALGEBRA_WAIT_SECONDS = 5.0
"""Time until it is given up on a busy machine."""

ALGEBRA_UPLOAD_SECONDS = 10.0
"""Time for all such answers of one upload, well below the time for the upload itself, so that its other answers are marked."""

ALGEBRA_BYTES = 1 << 30
"""Memory of general algebra on one answer."""

ALGEBRA_NODES = 60
"""Numbers, names and signs given to general algebra; a quotient of two first-order responses has about 30."""
