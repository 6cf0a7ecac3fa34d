"""The error tree: one base, one sentence each, facts kept in fields.

Every message says where, what is wrong and what would be right.  A student's odd answer is never an
error of this tree: reading returns a refusal instead.
"""


class GraderError(Exception):
    """Base of all errors a user may see; its text is one clear sentence."""


class UsageError(GraderError):
    """The call itself is wrong: a missing file, an impossible option."""


class RubricError(GraderError):
    """A rubric file is wrong.

    Parameters
    ----------
    faults : tuple of str
        One sentence per fault, each naming file, problem, item or element, what is wrong and what
        would be right.  All faults found are reported at once.
    """

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__(faults)
        self.faults = faults

    def __str__(self) -> str:
        return "\n".join(self.faults)


class CircuitError(GraderError, ValueError):
    """A circuit has no unique finite response.

    Parameters
    ----------
    reason : str
        One sentence: what is wrong and what would be right.
    elements : tuple of str
        Names of the elements responsible, where known.
    """

    def __init__(self, reason: str, elements: tuple[str, ...] = ()) -> None:
        super().__init__(reason, elements)
        self.reason = reason
        self.elements = elements

    def __str__(self) -> str:
        return self.reason


class NotDefined(GraderError, ValueError):
    """A quantity asked has no value on this circuit (say, the final value of a growing response)."""


class OutputError(GraderError):
    """Results cannot be written: disk full, folder read-only, another run at work in it."""
