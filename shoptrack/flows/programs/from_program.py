"""A program as the reader gives it → what is kept of it; and that timed by other settings of its router."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from shoptrack.engine.shapes.programs import Program, Stroke, Ways
from shoptrack.flows.programs.found import Found, Halt, plain
from shoptrack.store.programs import Reading, ToolUse
from shoptrack.store.routers import Router

READER = "1"
"""The version of what is kept; it changes when a program would be read to other numbers."""
MOST_DOUBTS = 100
_PLACES = 2  # of a hundredth of a millimetre: no drawing shows more
_PER_DWELL = {"seconds": 1.0, "milliseconds": 0.001}


def ways_of(router: Router) -> Ways:
    """How the reader is to take what the words of a program leave open."""
    return Ways(
        rapid_mm_min=router.rapid_mm_min,
        tool_change_s=router.tool_change_s,
        dwell=router.dwell_unit,
        starts_in=router.starts_in,
        g70_g71=router.knows_70_71,
    )


def found_of_program(program: Program, router: Router, times: int) -> Found:
    """What is kept of a program that was just read."""
    return Found(
        router=router,
        times=times,
        cutting_min=program.cutting_min,
        rapid_mm=program.rapid_mm,
        dwell_s=program.dwell_min * 60,
        changes=program.tool_changes,
        halts=_halts(program),
        spindle_ran=program.spindle_ran,
        cuts=program.cuts,
        moves=program.moves,
        units=program.units,
        unit_assumed=program.unit_assumed,
        lines=program.lines,
        doubts=program.doubts[:MOST_DOUBTS],
        feeds={use.number: (use.least_feed_mm_min, use.most_feed_mm_min) for use in program.tools},
        within_mm=program.strokes_within_mm,
    )


def _halts(program: Program) -> tuple[Halt, ...]:
    """The halts by their parts: what is not rapids, dwells and changes before them is cutting."""
    found, changes = [], 0
    for halt in program.halts:
        found.append(
            Halt(
                kind=halt.kind,
                line=halt.line,
                tool=halt.tool,
                hands=halt.hands,
                cutting_min=halt.cutting_min,
                rapid_mm=halt.rapid_mm,
                dwell_s=halt.dwell_min * 60,
                changes=changes,
            )
        )
        changes += halt.kind == "tool change"
    return tuple(found)


def tools_of(program: Program) -> tuple[ToolUse, ...]:
    """The program's own tools as they are kept, none of them matched yet."""
    return tuple(
        ToolUse(use.number, use.label[:200], use.cutting_min, use.cutting_mm, _deepest(use.least_z_mm))
        for use in program.tools
    )


def _deepest(least_z_mm: float | None) -> float | None:
    return None if least_z_mm is None else max(-least_z_mm, 0.0)


def reading_of(
    found: Found, name: str, fingerprint: str, size: int, path: object, tools: tuple[ToolUse, ...]
) -> Reading:
    """A program as the database keeps it."""
    return Reading(
        name=name,
        fingerprint=fingerprint,
        size=size,
        reader=READER,
        total_min=found.minutes.total * found.times,
        cutting_min=found.cutting_min * found.times,
        found=plain(found),
        path=path,
        tools=tools,
    )


def timed(found: Found, router: Router) -> Found:
    """The same program by other settings of its router: dwells in another unit, other rates."""
    factor = _PER_DWELL[router.dwell_unit] / _PER_DWELL[found.router.dwell_unit]
    halts = tuple(replace(halt, dwell_s=halt.dwell_s * factor) for halt in found.halts)
    return replace(found, router=router, dwell_s=found.dwell_s * factor, halts=halts)


def path_of(strokes: Sequence[Stroke]) -> list[list[Any]]:
    """The thinned path as it is kept: runs of one tool, at feed or rapid, each as its points one by one."""
    runs: list[list[Any]] = []
    for stroke in strokes:
        start = [round(stroke.x0_mm, _PLACES), round(stroke.y0_mm, _PLACES)]
        end = [round(stroke.x1_mm, _PLACES), round(stroke.y1_mm, _PLACES)]
        last = runs[-1] if runs else None
        if last is None or last[:2] != [stroke.tool, stroke.rapid] or last[2][-2:] != start:
            last = [stroke.tool, stroke.rapid, start]
            runs.append(last)
        last[2].extend(end)
    return runs
