"""From an order of places to coordinates: every label gets its room first, then the wires follow.

The top rail lies at y = 0, arcs above it, the ground rail below.  Room is reserved from left to right, so that no
label can come to lie on another one or on a symbol.
"""

from collections.abc import Mapping

from msgspec import Struct, field

from grader.reports.drawing.blocks import Body
from grader.reports.drawing.canvas import Canvas, place_element
from grader.reports.drawing.chains import Branch, Parts
from grader.reports.drawing.measure import Note, Run, Slot, lying, text_width, upright
from grader.reports.drawing.order import Arc, Order, RailPlace

GAP = 14
"""Least distance of things that belong to different columns."""

RISER = 20
"""Distance of the wire that goes up to an arc from the column beside it."""

LEAST_HEIGHT = 96
"""Least height between the rails."""


class Column(Struct):
    """A branch that hangs down at ``x`` (from the station's origin), and the room on its two sides."""

    x: float
    branch: Branch
    slots: tuple[Slot, ...]
    top: float = 0.0
    """Where its wire begins (y)."""
    clear: float = 0.0
    """Where its first element may begin (y)."""

    @property
    def left_edge(self) -> float:
        """Left end of its room."""
        return self.x - max((slot.right for slot in self.slots), default=2)

    @property
    def right_edge(self) -> float:
        """Right end of its room."""
        return self.x + max((slot.left for slot in self.slots), default=2)

    @property
    def height(self) -> float:
        """Least room its elements need."""
        return sum(slot.along for slot in self.slots)


class Station(Struct):
    """A node with its columns, or a block: drawn around an origin that is found later."""

    places: tuple[int, ...]
    joins: dict[int, tuple[float, float]]
    """Where wires come in from the left and from the right, per place (x from the origin)."""
    columns: list[Column] = field(default_factory=list)
    body: Body | None = None
    name: str = ""
    name_x: float = 0.0
    x: float = 0.0

    @property
    def below(self) -> tuple[float, float] | None:
        """Left and right end of what lies below the rail."""
        edges = [(c.left_edge, c.right_edge) for c in self.columns]
        if self.body is not None:
            edges.append((self.body.left, self.body.right))
        return (min(e[0] for e in edges), max(e[1] for e in edges)) if edges else None


class SchematicLayout:
    """Lays out one connected part of a circuit in its order; ``notes`` say what to draw, ``bodies`` are the blocks."""

    def __init__(
        self, order: Order, notes: Mapping[str, Note], bodies: Mapping[str, Body], named: frozenset[str], parts: Parts
    ) -> None:
        self.order, self.notes, self.bodies, self.named = order, notes, bodies, named
        self.ground, self.earthed = parts.ground, parts.earthed
        self.canvas = Canvas()
        self.stations = self._stations()
        self.of_place = {place: station for station in self.stations for place in station.places}

    def draw(self) -> Canvas:
        """Place everything and draw the wires."""
        self._reserve()
        levels = self._heights()
        bottom = self._bottom()
        for station in self.stations:
            self._draw_station(station, bottom)
        self._draw_arcs(levels)
        self._draw_ground(bottom)
        return self.canvas

    # -- room across -------------------------------------------------------------------------------

    def _stations(self) -> list[Station]:
        stations: list[Station] = []
        for index, place in enumerate(self.order.places):
            if (
                place.block
                and stations
                and index - 1 in stations[-1].places
                and (self.order.places[index - 1].block == place.block)
            ):
                stations[-1].places += (index,)
            else:
                stations.append(Station((index,), {}))
        for station in stations:
            place = self.order.places[station.places[0]]
            if place.block:
                self._set_body(station, self.bodies[place.block])
            else:
                self._set_columns(station, place)
        return stations

    def _set_body(self, station: Station, body: Body) -> None:
        places = [self.order.places[index] for index in station.places]
        station.body = body.fitted([place.role for place in places])
        station.joins = {i: (x, x) for i, x in zip(station.places, station.body.join_xs, strict=True)}
        below = station.body.block.below
        if below is not None:
            slots = self._upright(below)
            column = Column(station.body.lower_x, below, slots)
            column.top = station.body.size.pitch
            column.clear = station.body.bottom + 4 if slots else column.top
            station.columns.append(column)

    def _set_columns(self, station: Station, place: RailPlace) -> None:
        index = station.places[0]
        branches = self.order.shunts.get(place, ())
        # A riser needs a place of its own where the rail goes on beside it.
        from_left = {min(arc.level, 1) for arc in self.order.arcs if arc.right == index} == {0, 1}
        to_right = {min(arc.level, 1) for arc in self.order.arcs if arc.left == index} == {0, 1}
        x = 0.0
        if from_left and branches:
            x += RISER
        if place.node in self.named:
            station.name = place.node
            width = text_width(place.node) + 10
            station.name_x = x + width / 2
            x += width
        edge = x
        for number, branch in enumerate(branches):
            column = Column(0.0, branch, self._upright(branch))
            column.x = x if number == 0 else max(edge + GAP - column.left_edge, x)
            station.columns.append(column)
            x, edge = column.x, column.right_edge
        station.joins[index] = (0.0, x + RISER if to_right and branches else x)

    def _upright(self, branch: Branch) -> tuple[Slot, ...]:
        return tuple(upright(self.notes[part.name]) for part in branch.parts)

    def _lying(self, branch: Branch | None) -> tuple[Slot, ...]:
        return tuple(lying(self.notes[part.name]) for part in branch.parts) if branch is not None else ()

    def _reserve(self) -> None:
        """Set each station as far left as what stands before it allows."""
        done: set[int] = set()
        frontier = 0.0
        for station in self.stations:
            x = 0.0
            if station.below is not None:
                x = max(x, frontier + GAP - station.below[0])
            if done:
                before = self.stations[self.stations.index(station) - 1]
                last = max(right for _, right in before.joins.values()) + before.x
                x = max(x, last + 2 * GAP)
            for arc in self.order.arcs:
                if arc.right in station.places and arc.left in done:
                    start = self._right_join(arc.left)
                    x = max(x, start + self._width(arc) - station.joins[arc.right][0])
            for arc in self.order.arcs:
                gap = self._gap_of(arc)
                if gap + 1 == station.places[0] and self._passed(arc):
                    x = max(x, self._right_join(gap) + self._width(arc) - station.joins[gap + 1][0])
            station.x = x
            if station.below is not None:
                frontier = x + station.below[1]
            done.update(station.places)

    def _width(self, arc: Arc) -> float:
        return sum(slot.along for slot in self._lying(arc.branch)) + GAP

    def _passed(self, arc: Arc) -> bool:
        """Whether risers of other arcs pass through this one: then its elements all stand in one gap of the rail."""
        ends = {place for other in self.order.arcs if other.level > arc.level for place in (other.left, other.right)}
        return any(arc.left < place < arc.right for place in ends)

    def _gap_of(self, arc: Arc) -> int:
        """The first gap between two stations below an arc, by the place at its left."""
        return next(k for k in range(arc.left, arc.right) if self.of_place[k] is not self.of_place[k + 1])

    def _right_join(self, place: int) -> float:
        station = self.of_place[place]
        return station.x + station.joins[place][1]

    def _left_join(self, place: int) -> float:
        station = self.of_place[place]
        return station.x + station.joins[place][0]

    # -- room up and down --------------------------------------------------------------------------

    def _heights(self) -> list[float]:
        """The y of each level of arcs, level 0 (the rail) first."""
        top = max((arc.level for arc in self.order.arcs), default=0)
        above, below = [0.0] * (top + 1), [0.0] * (top + 1)
        for arc in self.order.arcs:
            for slot in self._lying(arc.branch):
                above[arc.level] = max(above[arc.level], slot.left)
                below[arc.level] = max(below[arc.level], slot.right)
        for station in self.stations:
            if station.body is not None:
                above[0] = max(above[0], -station.body.top)
            if station.name:
                above[0] = max(above[0], 20)
        ys = [0.0]
        for level in range(1, top + 1):
            ys.append(ys[-1] - max(above[level - 1] + below[level] + 8, 26))
        self.drop = below[0]
        return ys

    def _bottom(self) -> float:
        bottom = float(LEAST_HEIGHT)
        for station in self.stations:
            for column in station.columns:
                column.clear = max(column.clear, self.drop if column.slots else 0)
                bottom = max(bottom, column.clear + column.height)
            if station.body is not None:
                bottom = max(bottom, station.body.bottom + GAP)
        return bottom

    # -- drawing -----------------------------------------------------------------------------------

    def _draw_station(self, station: Station, bottom: float) -> None:
        canvas, x = self.canvas, station.x
        if station.body is not None:
            station.body.draw(canvas, x)
        else:
            left, right = station.joins[station.places[0]]
            stops = sorted({left, right, *(column.x for column in station.columns)})
            first = station.columns[0].x if station.columns else left
            wanted = {arc.right for arc in self.order.arcs}
            if station.places[0] not in wanted:
                stops = [stop for stop in stops if stop >= first]
            canvas.wire(*((x + stop, 0.0) for stop in stops))
            if station.name:
                canvas.text("", (Run(station.name, "italic"),), x + station.name_x, -7, "middle")
            if (end := self._free_end(station)) is not None:
                canvas.rings.append((x + end, 0.0))
        for column in station.columns:
            self._draw_column(column, x + column.x, bottom)

    def _free_end(self, station: Station) -> float | None:
        """Where a node is shown as a terminal: a wire that ends there, or a named point on a wire."""
        place = station.places[0]
        left, right = station.joins[place]
        from_left = sum(arc.right == place for arc in self.order.arcs)
        to_right = sum(arc.left == place for arc in self.order.arcs)
        if station.columns:
            return station.columns[0].x if len(station.columns) + from_left + to_right == 1 else None
        if not station.name and from_left + to_right > 1:
            return None
        if not to_right or from_left == to_right == 1:
            return right
        return None if from_left else left

    def _draw_column(self, column: Column, x: float, bottom: float) -> None:
        spare = (bottom - column.clear - column.height) / max(len(column.slots), 1)
        y, at = column.top, column.clear
        for part, slot in zip(column.branch.parts, column.slots, strict=True):
            centre = at + spare / 2 + slot.before + slot.length / 2
            self.canvas.wire((x, y), (x, centre - slot.length / 2))
            place_element(self.canvas, part.name, self.notes[part.name], slot, x, centre, True, part.forward)
            y = centre + slot.length / 2
            at += spare + slot.along
        self.canvas.wire((x, y), (x, bottom))

    def _draw_arcs(self, levels: list[float]) -> None:
        risers: dict[tuple[float, float], float] = {}
        for arc in self.order.arcs:
            x1, x2, y = self._right_join(arc.left), self._left_join(arc.right), levels[arc.level]
            self._draw_lying(arc, x1, x2, y)
            if arc.level:
                for x, place in ((x1, arc.left), (x2, arc.right)):
                    foot = self._foot(place)
                    risers[x, foot] = min(risers.get((x, foot), 0.0), y)
        for (x, foot), y in risers.items():
            self.canvas.wire((x, foot), (x, y))

    def _foot(self, place: int) -> float:
        """Where a riser starts: on the rail, or at the height of a raised input."""
        body = self.of_place[place].body
        return 0.0 if body is None else body.join_ys[self.of_place[place].places.index(place)]

    def _draw_lying(self, arc: Arc, x1: float, x2: float, y: float) -> None:
        slots = self._lying(arc.branch)
        if arc.branch is None or not slots:
            self.canvas.wire((x1, y), (x2, y))
            return
        start, end = self._free_stretch(arc, x1, x2)
        spare = (end - start - sum(slot.along for slot in slots)) / len(slots)
        x, at = x1, start
        for part, slot in zip(arc.branch.parts, slots, strict=True):
            centre = at + spare / 2 + slot.before + slot.length / 2
            self.canvas.wire((x, y), (centre - slot.length / 2, y))
            place_element(self.canvas, part.name, self.notes[part.name], slot, centre, y, False, part.forward)
            x = centre + slot.length / 2
            at += spare + slot.along
        self.canvas.wire((x, y), (x2, y))

    def _free_stretch(self, arc: Arc, x1: float, x2: float) -> tuple[float, float]:
        """Where along an arc its elements stand."""
        if not self._passed(arc):
            return x1, x2
        gap = self._gap_of(arc)
        return self._right_join(gap), self._left_join(gap + 1)

    def _draw_ground(self, bottom: float) -> None:
        feet = sorted({station.x + column.x for station in self.stations for column in station.columns})
        if not feet:
            return
        self.canvas.wire(*((x, bottom) for x in feet))
        if self.earthed:
            self.canvas.grounds.append((feet[0], bottom))
            if self.ground in self.named:
                self.canvas.text("", (Run(self.ground, "italic"),), feet[0] + 18, bottom + 15, "start")
