"""A placed task and everybody's hours to what it breaks of the rules of its people, minutes and pauses."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from shoptrack.engine.schedule.check_waits import named
from shoptrack.engine.shapes.planned import Minutes, Placed, Problem, Task, Worker


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch at work, and the days to which its first and its last minute belong."""

    start: int
    end: int
    first_days: frozenset[int]
    last_days: frozenset[int]


def anybody_at_work(workers: Sequence[Worker]) -> tuple[Piece, ...]:
    """The stretches at which at least one of the workers is at work.

    Takes: spans in minutes. Gives: pieces in order, none touching the next. Empty: there is nobody.
    """
    alike = {(who.spans, who.days) for who in workers}
    spans = sorted((*span, day) for own, days in alike for span, day in zip(own, days, strict=True))
    pieces: list[tuple[int, int, list[tuple[int, int, int]]]] = []
    for span in spans:
        if pieces and span[0] <= pieces[-1][1]:
            start, end, held = pieces[-1]
            pieces[-1] = (start, max(end, span[1]), [*held, span])
        else:
            pieces.append((span[0], span[1], [span]))
    return tuple(
        Piece(
            start,
            end,
            frozenset(day for a, _, day in held if a == start),
            frozenset(day for _, b, day in held if b == end),
        )
        for start, end, held in pieces
    )


def _clip(spans: Minutes, start: int, end: int) -> Minutes:
    """The parts of spans that lie within [start, end)."""
    first = max(bisect_right(spans, (start, inf)) - 1, 0)
    last = bisect_left(spans, (end,))
    parts = [(a if a > start else start, b if b < end else end) for a, b in spans[first:last]]
    return tuple((a, b) for a, b in parts if a < b)


def _at_once(workers: Sequence[Worker], start: int, end: int) -> Minutes:
    """The parts of [start, end) at which all of the workers are at work."""
    both: Minutes = ((start, end),) if start < end else ()
    for who in workers:
        both = tuple(part for a, b in both for part in _clip(who.spans, a, b))
    return both


def _day(who: Worker, minute: int) -> int:
    return who.days[bisect_right(who.spans, minute, key=lambda span: span[0]) - 1]


def _minutes(spans: Minutes) -> int:
    return sum(b - a for a, b in spans)


def hours_broken(problem: Problem, anybody: Sequence[Piece], placed: Placed) -> list[str]:
    """What one placed task breaks of its own rules: its start, its people, its minutes and its pauses.

    Takes: the stretches at which anybody is at work, a placement whose workers exist. Gives: sentences.
    Empty: all are kept.
    Method: the minutes within the told start and ends are counted; what is begun chose neither its start
    nor its pauses.
    """
    task = problem.tasks[placed.task]
    crew = [problem.workers[w] for w in placed.workers]
    people = [*_people_broken(task, placed, crew)]
    told = [*_start_broken(task, placed), *people]
    if not people:  # else their hours say nothing
        told += _hands_broken(task, placed, crew)
        told += _rest_broken(task, placed, anybody)
    return [f"{named(problem, placed.task)} {each}." for each in told]


def _hands(task: Task) -> int:
    """The minutes that hold people; what is begun and in nobody's hands runs by itself."""
    return 0 if task.begun == () else task.hands_min


def _start_broken(task: Task, placed: Placed) -> Iterator[str]:
    if task.begun is not None:
        if placed.start != 0:
            yield f"is in hand now and begins at {placed.start}"
        return
    if placed.start < max(task.earliest, 0):
        yield f"begins at {placed.start}, before its earliest, {max(task.earliest, 0)}"


def _people_broken(task: Task, placed: Placed, crew: Sequence[Worker]) -> Iterator[str]:
    """The right people, as many as it needs, none of them twice."""
    if task.begun is not None:
        if sorted(placed.workers) != sorted(task.begun):
            yield "is in hand now and is given to others"
        return
    need = task.crew if task.hands_min else 0
    if len(set(placed.workers)) != len(crew):
        yield "has the same worker twice"
    elif len(crew) != need:
        yield f"is given to {len(crew)} at once, where it takes {need}"
    if task.able is not None:
        unable = (who for w, who in zip(placed.workers, crew, strict=True) if w not in task.able)
        yield from (f"is given to {who.name}, who may not do it" for who in unable)


def _hands_broken(task: Task, placed: Placed, crew: Sequence[Worker]) -> Iterator[str]:
    """All of its people at work for just the minutes of its hands."""
    hands = _hands(task)
    if hands == 0:
        if placed.hands_end != placed.start:
            yield f"holds people until {placed.hands_end} and needs none"
        return
    if task.begun is not None and _goes_on_alone(crew, placed, hands):
        return
    parts = _at_once(crew, placed.start, placed.hands_end)
    if _minutes(parts) != hands:
        yield f"has its people for {_minutes(parts)} minutes of work, where {hands} are needed"
    elif parts[-1][1] != placed.hands_end:
        yield f"holds its people until {placed.hands_end}, though their work is over at {parts[-1][1]}"
    if task.begun is not None or not parts:
        return
    if parts[0][0] != placed.start:
        yield f"begins at {placed.start}, when not all of its people are at work"
    for (_, stop), (again, _) in pairwise(parts):
        same_day = all(_day(who, stop - 1) == _day(who, again) for who in crew)
        yield from _pause_broken(task, stop, again, same_day)


def _goes_on_alone(crew: Sequence[Worker], placed: Placed, hands: int) -> bool:
    """Whether what is begun takes longer than its people are ever at work, and is taken by the clock."""
    ever = _at_once(crew, 0, max((span[1] for who in crew for span in who.spans), default=0))
    return _minutes(ever) < hands and placed.hands_end == placed.start + hands


def _pause_broken(task: Task, stop: int, again: int, same_day: bool) -> Iterator[str]:
    if task.pause == "none":
        yield f"pauses from {stop} to {again} and may not be broken"
    if task.pause == "lunch" and not same_day:
        yield f"pauses from {stop} to {again} and may be broken by lunch alone"


def _rest_broken(task: Task, placed: Placed, anybody: Sequence[Piece]) -> Iterator[str]:
    """What is left after its hands: by the clock, or while anybody is at work."""
    rest = task.work - _hands(task)
    if not (task.watched and rest):
        if placed.end != placed.hands_end + rest:
            yield f"ends at {placed.end}, where its work is over at {placed.hands_end + rest}"
        return
    if task.begun is not None and placed.end == placed.hands_end + rest:
        left = sum(p.end - max(p.start, placed.hands_end) for p in anybody if p.end > placed.hands_end)
        if left < rest:
            return  # it takes longer than anybody is ever at work, and is taken by the clock
    first = bisect_right(anybody, placed.hands_end, key=lambda piece: piece.end)
    last = bisect_right(anybody, placed.end - 1, key=lambda piece: piece.start)
    watched = anybody[first:last]
    parts = [(max(p.start, placed.hands_end), min(p.end, placed.end)) for p in watched]
    minutes = sum(b - a for a, b in parts)
    if minutes != rest:
        yield f"has somebody at work for {minutes} of its watched minutes, where {rest} are needed"
    elif parts[-1][1] != placed.end:
        yield f"ends at {placed.end}, where its work is over at {parts[-1][1]}"
    if task.begun is not None or not parts:
        return
    if parts[0][0] != placed.hands_end:
        if placed.hands_end == placed.start:
            yield f"begins at {placed.start}, when nobody is at work"
        else:
            watched = anybody[max(first - 1, 0) : last]
    for before, after in pairwise(watched):
        same_day = bool(before.last_days & after.first_days)
        yield from _pause_broken(task, before.end, after.start, same_day)
