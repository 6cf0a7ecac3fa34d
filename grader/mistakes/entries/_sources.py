"""Where the mistakes are reported: each source spelled out once.

The look-ups behind them saw the openings of stored pages; a source is cited for what its opening shows.
"""

REVIEW_SECOND_ORDER = "Listed as a mistake in public engineering exam-review notes on second-order circuits."
REVIEW_STORAGE = "Listed as a mistake in public engineering exam-review notes on inductors and capacitors."
REVIEW_BOTH = "Listed as a mistake in public engineering exam-review notes, those on inductors and capacitors and the whole review."
REVIEW_WHOLE = "Listed as a mistake in public engineering exam-review notes, the whole review."
REVIEW_PAIR = (
    "Listed as a mistake in two sets of public engineering exam-review notes, second order and storage elements."
)
REVIEW_AND_TEACHING_FILE = (
    "Listed as a mistake in public engineering exam-review notes and in a public teaching file of misconceptions on RC."
)
TEACHING_FILE = "Listed in a public teaching file of misconceptions on RC circuits."
CONCEPT_254 = (
    "Exam-review notes (public), and A2L concept question 254, an LR circuit after a long time, teacher's notes."
)
CONCEPT_253 = "A2L concept question 253, an LR circuit just after the switch closes, teacher's notes."
AJP_81 = (
    "Am. J. Phys. 81, 389 (2013), abstract: almost half of the students gave up the complete circuit once a capacitor "
    "was in it."
)
SIGN_RULES = "A. Ganago, EECS 314, Fall 2007, grading policy: the sign convention counted as a conceptual error."
EXAM_REMARKS = "F. Najmabadi, ECE60L, Spring 2002, observations on the final examination; public exam-review notes."
EXAM_REMARKS_UNITS = "F. Najmabadi, ECE60L, Spring 2002, observations on the final examination."
SERIES_RESISTOR = "Seen in a student's attempt: homework thread on a capacitor with its own series resistor."
INVERTED_TAU = (
    "Seen in a student's lab script and in a student's course notes (ECE 140, first-order circuits); listed in public "
    "notes on differential equations."
)
HALF_LIFE = "Listed in public notes on differential equations (half-life formula)."
PREFIXES = (
    "Public exam-review notes; a lesson on discharging a capacitor (gis.focusphysics.com); a physics course's grading "
    "instructions; observations on an ECE60L final."
)
GROWING = (
    "Seen in students' attempts: Physics Forums thread 373520, a mathematics thread on RL by Laplace transform, a student's "
    "own list of answers."
)
UPSIDE_DOWN = "Seen on a homework page; common practice."
RISE_CONSTANT = "Seen in a student's attempt: Physics Forums thread 632090, RC with a start voltage."
TIME_SHIFT = "Seen in a student's attempt: Physics Forums thread 902399, RL switched twice."
RESISTOR_LAW = "Seen in a student's attempt: Physics Forums thread 592831."
ONE_OVER_E = "Openknowledgegraph page on RL transients; seen in Physics Forums thread 187474."
PRODUCT_RULE = "Seen in a student's attempt: Physics Forums thread 363909, a critically damped RLC circuit."
FIVE_TAU = "5τ as the settling rule: German homework posts; that it is mistaken for τ: common practice, no source."
BACKWARDS = "Common practice; a student's attempt consistent with it: Physics Forums thread 573034."
DEPENDENT = "Public exam-review notes, the whole review; the setting in Physics Forums thread 165904."
COPYING = "Digits exchanged in copying seen in German homework posts; common practice."
