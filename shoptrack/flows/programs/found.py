"""What is kept of a program beside its columns: as a shape, as plain JSON, and back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shoptrack.engine.shapes.programs import Box, Doubt, Reach
from shoptrack.store.routers import Router


@dataclass(frozen=True, slots=True)
class Halt:
    """Where a program waits: by its parts, so that its minute can be reckoned with another router's rates.

    ``changes`` counts the tool changes before it, ``cutting_min`` what was cut, ``rapid_mm`` what was run.
    """

    kind: str
    line: int
    tool: int
    hands: bool
    cutting_min: float
    rapid_mm: float
    dwell_s: float
    changes: int


@dataclass(frozen=True, slots=True)
class Minutes:
    """What one run of a program takes by its own words, by its parts."""

    cutting: float
    rapid: float
    dwell: float
    change: float

    @property
    def total(self) -> float:
        """All of it."""
        return self.cutting + self.rapid + self.dwell + self.change


@dataclass(frozen=True, slots=True)
class Before:
    """What a stage said before it had a program: its tools, its measure, when its machine needed hands.

    ``laid`` is the measure that programs put in its place: one that somebody wrote over is left alone.
    """

    tools: tuple[tuple[int, float], ...]
    quantity: float
    hands_at_min: tuple[float, ...] | None
    laid: float | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """What was read of a program beside its columns; distances and counts, from which minutes follow.

    ``times``: how often the stage runs it. ``router`` has the settings that it was timed by.
    ``unit_assumed``: lengths were written before the program said their unit. ``feeds`` are
    the least and the most of each tool, mm a minute. ``before`` is on the stage's first program alone.
    """

    router: Router
    times: int
    cutting_min: float
    rapid_mm: float
    dwell_s: float
    changes: int
    halts: tuple[Halt, ...]
    spindle_ran: bool
    cuts: Box
    moves: Box
    units: tuple[str, ...]
    unit_assumed: bool
    lines: int
    doubts: tuple[Doubt, ...]
    feeds: Mapping[int, tuple[float | None, float | None]]
    within_mm: float
    before: Before | None = None

    @property
    def minutes(self) -> Minutes:
        """What one run takes by the router's rates."""
        return self.minutes_after(self.cutting_min, self.rapid_mm, self.dwell_s, self.changes)

    def minutes_after(self, cutting_min: float, rapid_mm: float, dwell_s: float, changes: int) -> Minutes:
        """What so much of it takes."""
        own = self.router
        return Minutes(
            cutting_min, rapid_mm / own.rapid_mm_min, dwell_s / 60, changes * own.tool_change_s / 60
        )

    @property
    def hands_at_min(self) -> tuple[float, ...]:
        """The minutes of one run at which somebody has to come."""
        return tuple(
            self.minutes_after(halt.cutting_min, halt.rapid_mm, halt.dwell_s, halt.changes).total
            for halt in self.halts
            if halt.hands
        )


def plain(found: Found) -> dict[str, Any]:
    """What was found as JSON can hold it."""
    router = found.router
    return {
        "router": [
            router.dwell_unit,
            router.starts_in,
            router.knows_70_71,
            router.rapid_mm_min,
            router.tool_change_s,
            router.starting,
        ],
        "times": found.times,
        "cutting_min": found.cutting_min,
        "rapid_mm": found.rapid_mm,
        "dwell_s": found.dwell_s,
        "changes": found.changes,
        "halts": [
            [h.kind, h.line, h.tool, h.hands, h.cutting_min, h.rapid_mm, h.dwell_s, h.changes]
            for h in found.halts
        ],
        "spindle_ran": found.spindle_ran,
        "cuts": _plain_box(found.cuts),
        "moves": _plain_box(found.moves),
        "units": list(found.units),
        "unit_assumed": found.unit_assumed,
        "lines": found.lines,
        "doubts": [[d.line, d.times, d.sentence] for d in found.doubts],
        "feeds": {str(number): list(feed) for number, feed in found.feeds.items()},
        "within_mm": found.within_mm,
        "before": None if found.before is None else _plain_before(found.before),
    }


def _plain_box(box: Box) -> list[list[float] | None]:
    return [None if reach is None else list(reach) for reach in (box.x_mm, box.y_mm, box.z_mm)]


def _plain_before(before: Before) -> dict[str, Any]:
    hands = None if before.hands_at_min is None else list(before.hands_at_min)
    tools = [list(pair) for pair in before.tools]
    return {"tools": tools, "quantity": before.quantity, "hands": hands, "laid": before.laid}


def found_of(kept: Mapping[str, Any]) -> Found:
    """What is kept of a program, back from JSON."""
    return Found(
        router=Router(*kept["router"]),
        times=kept["times"],
        cutting_min=kept["cutting_min"],
        rapid_mm=kept["rapid_mm"],
        dwell_s=kept["dwell_s"],
        changes=kept["changes"],
        halts=tuple(Halt(*halt) for halt in kept["halts"]),
        spindle_ran=kept["spindle_ran"],
        cuts=_box(kept["cuts"]),
        moves=_box(kept["moves"]),
        units=tuple(kept["units"]),
        unit_assumed=kept["unit_assumed"],
        lines=kept["lines"],
        doubts=tuple(Doubt(*doubt) for doubt in kept["doubts"]),
        feeds={int(number): (feed[0], feed[1]) for number, feed in kept["feeds"].items()},
        within_mm=kept["within_mm"],
        before=None if kept["before"] is None else _before(kept["before"]),
    )


def _box(kept: Sequence[Sequence[float] | None]) -> Box:
    x, y, z = (_reach(reach) for reach in kept)
    return Box(x, y, z)


def _reach(kept: Sequence[float] | None) -> Reach | None:
    return None if kept is None else (kept[0], kept[1])


def _before(kept: Mapping[str, Any]) -> Before:
    hands = None if kept["hands"] is None else tuple(kept["hands"])
    return Before(tuple((t, share) for t, share in kept["tools"]), kept["quantity"], hands, kept["laid"])
