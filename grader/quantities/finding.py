"""The finds that rules and mistakes speak of, each by one name."""


class Find:
    """The word in a rubric, by the quantity's symbol or a short name."""

    JUST_BEFORE, INITIAL, FINAL = "value just before switching", "initial value", "final value"
    EXPRESSION, FORCED, AT, SLOPE, REACH = "expression", "forced part", "value at", "initial slope", "time to reach"
    MEET = "time when equal"
    SEEN, TAU = "resistance seen", "time constant"
    OPEN, SHORT, BETWEEN = "open-circuit voltage", "short-circuit current", "resistance between"
    ALPHA, OMEGA0, OMEGA_D = "damping coefficient", "undamped natural frequency", "damped natural frequency"
    ZETA, DAMPING = "damping ratio", "damping type"
    ROOTS, POLYNOMIAL = "characteristic roots", "characteristic polynomial"
    POLES = "poles"
    STORED, DISSIPATED = "stored energy", "energy dissipated"
