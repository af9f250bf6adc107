"""A task and the hours of those who do it → its starts, by how long it would last from there."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator

from shoptrack.engine.schedule.axis import Axis, run_until
from shoptrack.engine.shapes.planned import Task

Lasts = tuple[int, int]
"""Minutes on the wall from a start to the end of the hands, and to the end."""

Pieces = dict[Lasts, list[tuple[int, int]]]
"""Of each length the starts that lead to it: from a minute, to a minute, both among them."""


def pieces(task: Task, axis: Axis | None, anybody: Axis, low: int, high: int) -> Pieces:
    """All starts from ``low`` on whose end is not past ``high``, by how long the task then lasts.

    Takes the hours of its crew (None: no crew) and of the shop. Empty: it has no start there.
    Method: how long it lasts never falls with the start within one stretch of hours, and grows exactly where
    an end passes the end of a stretch; so each stretch is walked from one such minute to the next.
    """
    found: Pieces = {}
    hours = axis if axis is not None else anybody if task.watched else None
    if hours is None:
        if low <= high - task.work:
            found[0, task.work] = [(low, high - task.work)]
        return found
    for n in range(bisect_right(hours.ends, low), len(hours.starts)):
        if hours.starts[n] > high:
            break
        for lasts, first, last in _in_stretch(
            task, axis, anybody, max(low, hours.starts[n]), hours.ends[n] - 1
        ):
            last = min(last, high - lasts[1])
            if first <= last:
                _join(found.setdefault(lasts, []), first, last)
    return found


def _in_stretch(
    task: Task, axis: Axis | None, anybody: Axis, first: int, last: int
) -> Iterator[tuple[Lasts, int, int]]:
    while first <= last:
        ends = ends_of(task, axis, anybody, first)
        if ends is None:
            return
        hands_end, end = ends
        room = last - first
        if axis is not None and task.hands_min:
            room = min(room, _room(axis, hands_end))
        if task.watched and task.work > task.hands_min:
            room = min(room, _room(anybody, end))
        yield (hands_end - first, end - first), first, first + room
        first += room + 1


def ends_of(task: Task, axis: Axis | None, anybody: Axis, start: int) -> tuple[int, int] | None:
    """When its hands and it would end, begun at a minute; None: it can't be begun then."""
    hands_end = start
    if axis is not None:
        found = axis.end_of(start, task.hands_min, task.pause)
        if found is None:
            return None
        hands_end = found
    rest = task.work - task.hands_min
    if not task.watched:
        return hands_end, hands_end + rest
    end = run_until(anybody, start, hands_end, rest, task)
    return None if end is None else (hands_end, end)


def _room(axis: Axis, end: int) -> int:
    """By how much an end may move before it passes the end of its stretch."""
    return axis.ends[bisect_left(axis.ends, end)] - end


def _join(stretches: list[tuple[int, int]], first: int, last: int) -> None:
    if stretches and stretches[-1][1] + 1 >= first:
        stretches[-1] = (stretches[-1][0], last)
    else:
        stretches.append((first, last))
