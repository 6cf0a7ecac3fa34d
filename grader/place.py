"""Where something belongs in a rubric."""


class Placed:
    """What speaks of one item, by the ids of its problem and of the item."""

    __slots__ = ()
    problem: str
    item: str

    @property
    def place(self) -> tuple[str, str]:
        """Both ids."""
        return self.problem, self.item
