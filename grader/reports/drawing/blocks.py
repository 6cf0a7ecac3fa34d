"""Bodies of the elements with more than two terminals: changeover switches and op amps."""

from collections.abc import Sequence

from msgspec import Struct

from grader.circuit.elements import ChangeoverSwitch, IdealOpAmp
from grader.reports.drawing.canvas import Box, Canvas, Symbol
from grader.reports.drawing.chains import Block
from grader.reports.drawing.measure import LINE, Run, lines_width, text_width
from grader.reports.drawing.symbols import AMPLIFIER, CHANGEOVER, BlockSize, amplifier, changeover

STUB = 14
"""Wire shown at each terminal."""


class Body(Struct):
    """A block's symbol and its terminals, from an origin at its leftmost one.

    ``join_xs`` and ``join_ys``: its terminals that wires reach, from left to right; a raised one has y < 0.
    """

    element: ChangeoverSwitch | IdealOpAmp
    block: Block
    lines: tuple[str, ...]
    lower_name: str
    """The name of the node at the lower input, where it is to be shown."""
    roles: tuple[str, ...] = ()
    mirrored: bool = False
    join_xs: tuple[float, ...] = ()
    join_ys: tuple[float, ...] = ()
    edge: float = 0.0
    """Where the symbol's left edge lies (right edge when mirrored)."""

    def fitted(self, roles: Sequence[str]) -> "Body":
        """The body with its terminals in this order from left to right."""
        mirrored = roles[0] == self.block.output.role
        inputs = roles[:0:-1] if mirrored else roles[:-1]
        raised = len(inputs) - 1
        overhang = max(lines_width(self.lines) / 2 - self.size.width / 2, 0)
        edge = max(STUB * (raised + (2 if self.block.lower else 1)), overhang + 4)
        far = edge + self.size.width + max(STUB, overhang + 4)
        xs = [0.0, *(edge - STUB * (raised - k) for k in range(raised)), far]
        ys = [0.0, *(-self.size.pitch * (k + 1) for k in range(raised)), 0.0]
        if mirrored:
            xs, ys, edge = [far - x for x in reversed(xs)], ys[::-1], far - edge
        return Body(
            self.element, self.block, self.lines, self.lower_name, tuple(inputs), mirrored, tuple(xs), tuple(ys), edge
        )

    @property
    def size(self) -> BlockSize:
        """How large its symbol is drawn."""
        return CHANGEOVER if isinstance(self.element, ChangeoverSwitch) else AMPLIFIER

    @property
    def lower_x(self) -> float:
        """Where the lower input's column stands."""
        return self.edge + STUB if self.mirrored else self.edge - STUB

    @property
    def _upper(self) -> float:
        return min(self.join_ys) - self.size.rim

    @property
    def _lower(self) -> float:
        return (self.size.pitch if self.block.lower else 0) + self.size.rim

    @property
    def _label_below(self) -> bool:
        return min(self.join_ys) < 0

    @property
    def top(self) -> float:
        """Top of the symbol and its label."""
        return self._upper - (0 if self._label_below else LINE * len(self.lines) + 4)

    @property
    def bottom(self) -> float:
        """Bottom of the symbol and its label."""
        return self._lower + (LINE * len(self.lines) + 4 if self._label_below else 0)

    @property
    def left(self) -> float:
        """Left end of the room below the rail."""
        label = self._symbol_left + self.size.width / 2 - lines_width(self.lines) / 2
        name = self.lower_x - (0 if self.mirrored else self._name_room)
        return min(self._symbol_left, label, name)

    @property
    def right(self) -> float:
        """Right end of the room below the rail."""
        half = max(self.size.width, lines_width(self.lines)) / 2
        name = self.lower_x + (self._name_room if self.mirrored else 0)
        return max(self._symbol_left + self.size.width / 2 + half, name)

    @property
    def _name_room(self) -> float:
        return text_width(self.lower_name) + 8 if self.lower_name else 0

    @property
    def _symbol_left(self) -> float:
        return self.edge - self.size.width if self.mirrored else self.edge

    def draw(self, canvas: Canvas, x: float) -> None:
        """Draw it with its origin at x, and the stubs of its terminals."""
        left = x + self._symbol_left
        heights = {role: -self.size.pitch * k for k, role in enumerate(self.roles)}
        if self.block.lower:
            heights[self.block.lower] = self.size.pitch
        box = Box(left, self._upper, left + self.size.width, self._lower)
        canvas.symbols.append(Symbol(self.element.name, self._strokes(heights), left, 0.0, 0, box))
        middle = left + self.size.width / 2
        start = self._lower + LINE if self._label_below else self._upper - 7 - LINE * (len(self.lines) - 1)
        for index, line in enumerate(self.lines):
            canvas.text(self.element.name, (Run(line),), middle, start + LINE * index, "middle", index == 0)
        self._stubs(canvas, x, left)

    def _strokes(self, heights: dict[str, float]) -> str:
        if isinstance(self.element, ChangeoverSwitch):
            before = heights[f"throw {self.element.before}"]
            after = heights[f"throw {self.element.actions[0][1]}"]
            strokes = changeover(sorted(heights.values()), before, after)
            return (
                f'<g transform="translate({CHANGEOVER.width} 0) scale(-1 1)">{strokes}</g>'
                if self.mirrored
                else strokes
            )
        signs = [(heights[role], "+" if role == "non-inverting" else "−") for role in heights]
        return amplifier(self._upper, self._lower, signs)

    def _stubs(self, canvas: Canvas, x: float, left: float) -> None:
        sides = (left - self.size.gap, left + self.size.width + self.size.gap)
        output, inputs = (sides[0], sides[1]) if self.mirrored else (sides[1], sides[0])
        xs = self.join_xs[::-1] if self.mirrored else self.join_xs
        ys = self.join_ys[::-1] if self.mirrored else self.join_ys
        for join_x, y in zip(xs[:-1], ys[:-1], strict=True):
            canvas.wire((x + join_x, y), (inputs, y))
        canvas.wire((output, 0.0), (x + xs[-1], 0.0))
        if self.block.lower:
            canvas.wire((x + self.lower_x, self.size.pitch), (inputs, self.size.pitch))
            if self.lower_name:
                at = self.lower_x + (6 if self.mirrored else -6)
                anchor = "start" if self.mirrored else "end"
                canvas.text("", (Run(self.lower_name, "italic"),), x + at, self.size.pitch + 4, anchor)
