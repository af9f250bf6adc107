"""Stretches at which somebody is at work → when a task that begins at a minute would end, pauses and all."""

from bisect import bisect_right
from collections.abc import Sequence
from functools import cached_property, lru_cache
from itertools import accumulate

from shoptrack.engine.hours import Same
from shoptrack.engine.shapes import Interruption
from shoptrack.engine.shapes.planned import Minutes, Task, Worker


class Axis:
    """The working minutes of a person, of a crew or of anybody, on the wall's minutes.

    ``days`` says of each stretch which day it belongs to.
    """

    def __init__(self, spans: Minutes, days: Sequence[int]) -> None:
        self.starts = [start for start, _ in spans]
        self.ends = [end for _, end in spans]
        self.days = list(days)
        self._before = [0, *accumulate(end - start for start, end in spans)]

    def next(self, minute: int) -> int | None:
        """The first minute from one on at which they are at work; None: never again."""
        n = bisect_right(self.ends, minute)
        return max(minute, self.starts[n]) if n < len(self.starts) else None

    def end_of(self, start: int, work: int, pause: Interruption) -> int | None:
        """When work that begins at ``start`` is done; None where they are not at work then, or it can't be
        done with the pauses allowed.

        Work of no minutes ends where it begins.
        """
        n = bisect_right(self.ends, start)
        if n == len(self.starts) or self.starts[n] > start:
            return None
        return start + work if start + work <= self.ends[n] else self._end_past(n, start, work, pause)

    def _end_past(self, n: int, start: int, work: int, pause: Interruption) -> int | None:
        """The same for work that begins in a stretch and is not done in it."""
        if pause == "none":
            return None
        done = self._before[n] + start - self.starts[n] + work
        last = self._last_of_day[n] if pause == "lunch" else len(self.starts) - 1
        if done > self._before[last + 1]:
            return None
        if pause == "lunch" or last - n < 8:
            n += 1
            while self._before[n + 1] < done:
                n += 1
        else:
            n = bisect_right(self._before, done - 1) - 1
        return self.starts[n] + done - self._before[n]

    def earliest(self, minute: int, work: int, pause: Interruption) -> tuple[int, int] | None:
        """The first start from a minute on that can be done with the pauses allowed, and its end."""
        starts, ends = self.starts, self.ends
        for n in range(bisect_right(ends, minute), len(starts)):
            start = minute if minute > starts[n] else starts[n]
            if start + work <= ends[n]:
                return start, start + work
            end = None if pause == "none" else self._end_past(n, start, work, pause)
            if end is not None:
                return start, end
            if pause == "any":
                return None
        return None

    def day_at(self, minute: int) -> int:
        """The day of the stretch that a minute is in, or comes before."""
        return self.days[bisect_right(self.ends, minute)]

    def stretch_after(self, minute: int) -> int | None:
        """The beginning of the stretch after the one that a minute is in; None: it is the last."""
        n = bisect_right(self.ends, minute) + 1
        return self.starts[n] if n < len(self.starts) else None

    def worked(self, start: int, end: int) -> int:
        """The working minutes from one minute up to another."""
        return self._until(end) - self._until(start)

    def _until(self, minute: int) -> int:
        n = bisect_right(self.starts, minute)
        return self._before[n] - max(0, self.ends[n - 1] - minute) if n else 0

    @cached_property
    def _last_of_day(self) -> list[int]:
        """Of each stretch the last one of its day."""
        found, last = [0] * len(self.days), len(self.days)
        for n in reversed(range(len(self.days))):
            if n + 1 == len(self.days) or self.days[n + 1] != self.days[n]:
                last = n
            found[n] = last
        return found

    @cached_property
    def longest(self) -> int:
        """The longest stretch without a pause."""
        return max((b - a for a, b in zip(self.starts, self.ends, strict=True)), default=0)

    @cached_property
    def longest_day(self) -> int:
        """The most minutes in one day."""
        by_day: dict[int, int] = {}
        for start, end, day in zip(self.starts, self.ends, self.days, strict=True):
            by_day[day] = by_day.get(day, 0) + end - start
        return max(by_day.values(), default=0)


def axis_of(worker: Worker) -> Axis:
    """The working minutes of one person."""
    return Axis(worker.spans, worker.days)


def in_common(workers: Sequence[Worker]) -> Axis:
    """The minutes at which all of a crew are at work. Empty: no crew, or they never meet."""
    if not workers:
        return Axis((), ())
    spans, days = workers[0].spans, workers[0].days
    for other in workers[1:]:
        if other.spans == spans:
            continue
        found, of_day = [], []
        n = 0
        for (start, end), day in zip(spans, days, strict=True):
            while n < len(other.spans) and other.spans[n][1] <= start:
                n += 1
            k = n
            while k < len(other.spans) and other.spans[k][0] < end:
                found.append((max(start, other.spans[k][0]), min(end, other.spans[k][1])))
                of_day.append(day)
                k += 1
        spans, days = tuple(found), tuple(of_day)
    return Axis(spans, days)


def anybody(workers: Sequence[Worker]) -> Axis:
    """The minutes at which somebody is at work."""
    alike = {(w.spans, w.days) for w in workers}
    every = sorted(
        (start, end, day) for spans, days in alike for (start, end), day in zip(spans, days, strict=True)
    )
    joined: list[tuple[int, int, int]] = []
    for start, end, day in every:
        if joined and start <= joined[-1][1]:
            before = joined[-1]
            joined[-1] = (before[0], max(before[1], end), before[2])
        else:
            joined.append((start, end, day))
    return Axis(tuple((a, b) for a, b, _ in joined), tuple(day for _, _, day in joined))


class Hours:
    """The working minutes of every crew of some people, each worked out once; the same for those with the
    same hours.
    """

    def __init__(self, workers: Sequence[Worker]) -> None:
        self._workers = workers
        kinds: dict[tuple[Minutes, tuple[int, ...]], int] = {}
        self._kind = [kinds.setdefault((w.spans, w.days), n) for n, w in enumerate(workers)]
        self._axes: dict[tuple[int, ...], Axis] = {}

    def of(self, crew: Sequence[int]) -> Axis:
        """The minutes at which all of a crew, by their places, are at work."""
        kinds = tuple(dict.fromkeys(self._kind[w] for w in crew))
        if kinds not in self._axes:
            self._axes[kinds] = in_common([self._workers[w] for w in kinds])
        return self._axes[kinds]

    @cached_property
    def anybody(self) -> Axis:
        """The minutes at which somebody is at work."""
        return anybody(self._workers)


def hours_of(workers: tuple[Worker, ...]) -> Hours:
    """The hours of some people; the same object again for the very same people."""
    return _hours_of(Same(workers))


@lru_cache(maxsize=4)
def _hours_of(same: Same[tuple[Worker, ...]]) -> Hours:
    return Hours(same.it)


def run_until(anybody: Axis, start: int, hands_end: int, rest: int, task: Task) -> int | None:
    """When a watched machine ends that runs on from the end of its hands; None: not with these pauses."""
    if not rest:
        return hands_end
    at = anybody.next(hands_end)
    if at is None or (task.pause == "none" and at > hands_end):
        return None
    if task.pause == "lunch" and anybody.day_at(at) != anybody.day_at(start):
        return None
    return anybody.end_of(at, rest, task.pause)
