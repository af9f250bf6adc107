"""The Floor's view to its drawings: a time axis with the cures on it, dials, dimension lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from shoptrack.flows.curing import Coming, CuringRow
from shoptrack.flows.floor import AtWork, FloorView, Miss
from shoptrack.web.drawing import (
    Axis,
    CureLine,
    Dimension,
    Label,
    Tick,
    cure_line,
    dial,
    dimension,
    hour_ticks,
    label_at,
    make_axis,
)

FAR_OFF = timedelta(hours=36)  # what ends later runs off the sheet, with an arrow
MORNING = timedelta(hours=2)  # of the next day is drawn at least
ROOM_FOR_WORDS = 42.0  # percent of the drawing that the words of one mark take on a narrow tablet


@dataclass(frozen=True, slots=True)
class Cured:
    """A row of the curing drawing: ``main`` is the mark that is lettered, ``main_at`` where.

    ``below``: its words go under the line, because those of the clamps are in their way.
    """

    row: CuringRow
    line: CureLine
    main: Coming | None
    main_at: Label | None
    clamps_at: Label | None
    below: bool


@dataclass(frozen=True, slots=True)
class Missable:
    """A mark that must not be missed, with its dial while it is counting down."""

    miss: Miss
    left_min: int
    dial: str


@dataclass(frozen=True, slots=True)
class InHand:
    """A person with the dimension line of what they have in hand."""

    at_work: AtWork
    line: Dimension | None


@dataclass(frozen=True, slots=True)
class FloorSheet:
    """The Floor with its drawings, each beside what it draws."""

    view: FloorView
    misses: tuple[Missable, ...]
    axis: Axis | None
    ticks: tuple[Tick, ...]
    cures: tuple[Cured, ...]
    people: tuple[InHand, ...]
    away: tuple[AtWork, ...]

    @property
    def cautions(self) -> bool:
        """Whether anybody is told to mind something."""
        return any(p.at_work.cautions for p in self.people)


def draw(view: FloorView) -> FloorSheet:
    """The drawings of a Floor; no axis where nothing cures."""
    ends = [row.last_at for row in view.curing if row.last_at]
    axis = make_axis(view.at, reach(view, ends), view.open_spans) if view.curing else None
    return FloorSheet(
        view=view,
        misses=tuple(missable(view, m) for m in view.misses),
        axis=axis,
        ticks=hour_ticks(axis, view.midnights) if axis else (),
        cures=tuple(cured(axis, row) for row in view.curing) if axis else (),
        people=tuple(in_hand(p) for p in view.people if p.here),
        away=tuple(p for p in view.people if not p.here),
    )


def reach(view: FloorView, ends: Sequence[datetime]) -> datetime:
    """How far the axis goes: to the last end within a day and a half, and out of the night it falls in."""
    last = max((end for end in ends if end <= view.at + FAR_OFF), default=view.at)
    if any(opens <= last < closes for opens, closes in view.open_spans):
        return last
    opens_at = next((opens for opens, _ in view.open_spans if opens > last), None)
    return opens_at + MORNING if opens_at else last


def missable(view: FloorView, miss: Miss) -> Missable:
    """A mark with the minutes left to it, and a dial of the last hour."""
    left = max(0, int((miss.until_at - view.at).total_seconds() // 60))
    return Missable(miss, left, dial(left) if miss.soon and not miss.missed else "")


def in_hand(person: AtWork) -> InHand:
    """A person with the line of their minutes, when they have something in hand."""
    busy = person.stages or person.shop
    return InHand(person, dimension(person.minutes, person.usual_min) if busy else None)


def cured(axis: Axis, row: CuringRow) -> Cured:
    """One round on the axis."""
    main = main_mark(row.marks)
    held = row.clamps > 0 and not row.may_off
    line = cure_line(axis, row.off_at if held and row.off_at else None, [m.from_at for m in row.marks])
    clamps_at = label_at(line.clamps_to) if line.clamps_to is not None else None
    main_at = label_at(axis.x(main.from_at)) if main else None
    crossing = clamps_at is not None and main_at is not None and main_at.left
    near = clamps_at is not None and main_at is not None and main_at.x - clamps_at.x < ROOM_FOR_WORDS * 2
    return Cured(row, line, main, main_at, clamps_at, below=crossing and near)


def main_mark(marks: Sequence[Coming]) -> Coming | None:
    """The mark that makers wait for: work or recoat, else the last one to come."""
    waited_for = [m for m in marks if m.role in ("work", "recoat")]
    return max(waited_for or marks, key=lambda m: m.from_at, default=None)
