"""What is taken of people, things and rooms → the first place where a task finds all it needs free."""

from bisect import bisect_left

from shoptrack.engine.schedule.axis import Axis
from shoptrack.engine.schedule.bench import Bench
from shoptrack.engine.schedule.profile import FOREVER
from shoptrack.engine.shapes.planned import Placed, Task


class Scene:
    """A plan half made: who is busy when, what is held until when, which rooms are wet or dusty."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.tasks = bench.problem.tasks
        self.horizon = bench.problem.horizon
        workers = range(len(bench.problem.workers))
        self.starts: list[list[int]] = [[] for _ in workers]
        self.ends: list[list[int]] = [[] for _ in workers]
        self.profiles = [profile.copy() for profile in bench.profiles]
        self.wet: dict[int, list[tuple[int, int]]] = {}
        self.dusty: dict[int, list[tuple[int, int]]] = {}

    def first_place(self, n: int, low: int) -> Placed | None:
        """The first place from a minute on, by the end it comes to; None: none before the horizon."""
        best: Placed | None = None
        for crew in self.bench.crews[n]:
            found = self._place_for(n, crew, low, best.end if best else FOREVER)
            if found is not None and (best is None or (found.end, found.start) < (best.end, best.start)):
                best = found
        return best

    def begun_place(self, n: int) -> Placed:
        """The place of what is in hand: from now on, whatever else is taken; it may pause at any break."""
        task = self.tasks[n]
        crew = task.begun or ()
        hands_end = _carried_on(self.bench.axes[crew], 0, task.hands_min) if crew else 0
        rest = task.work - task.hands_min
        end = _carried_on(self.bench.anybody, hands_end, rest) if task.watched else hands_end + rest
        return Placed(n, 0, hands_end, end, crew)

    def take(self, placed: Placed) -> None:
        """Take what a task in its place needs."""
        task = self.tasks[placed.task]
        for w in placed.workers if placed.hands_end > placed.start else ():
            self._keep_busy(w, placed, task.begun is not None)
        self._hold(task, placed, 1)
        if task.room is None:
            return
        if task.dusty:
            self.dusty.setdefault(task.room, []).append((placed.start, placed.end))
        if task.wet:
            self.wet.setdefault(task.room, []).append((placed.start, placed.end + task.wet))

    def give_back(self, placed: Placed) -> None:
        """Give back what a task took."""
        task = self.tasks[placed.task]
        for w in placed.workers if placed.hands_end > placed.start else ():
            at = bisect_left(self.starts[w], placed.start)
            del self.starts[w][at], self.ends[w][at]
        self._hold(task, placed, -1)
        if task.room is None:
            return
        if task.dusty:
            self.dusty[task.room].remove((placed.start, placed.end))
        if task.wet:
            self.wet[task.room].remove((placed.start, placed.end + task.wet))

    def _keep_busy(self, w: int, placed: Placed, begun: bool) -> None:
        starts, ends = self.starts[w], self.ends[w]
        if begun and starts:  # several things in one pair of hands, from now on
            ends[0] = max(ends[0], placed.hands_end)
            return
        at = bisect_left(starts, placed.start)
        starts.insert(at, placed.start)
        ends.insert(at, placed.hands_end)

    def _hold(self, task: Task, placed: Placed, sign: int) -> None:
        for resource, amount in task.uses:
            self.profiles[resource].take(placed.start, placed.end, sign * amount)
        if task.keeps:
            until = self._off_at(placed.end + task.off)
            for resource, amount in task.keeps:
                self.profiles[resource].take(placed.start, until, sign * amount)

    def _off_at(self, minute: int) -> int:
        """When somebody is there to take the clamps off."""
        if not self.bench.problem.workers:
            return minute
        at = self.bench.anybody.next(minute)
        return max(minute, self.horizon) if at is None else at

    def _place_for(self, n: int, crew: tuple[int, ...], low: int, most: int) -> Placed | None:
        """The first place for one crew that ends before ``most``."""
        task = self.tasks[n]
        axis = self.bench.axes[crew] if crew else None
        minute = low
        while True:
            found = self._hours(task, crew, axis, minute)
            if found is None:
                return None
            start, hands_end, end = found
            if start >= most or end > self.horizon:
                return None
            again = hands_end if end < 0 else self._taken_until(task, start, end)
            if again is None:
                return Placed(n, start, hands_end, end, crew)
            minute = again

    def _hours(
        self, task: Task, crew: tuple[int, ...], axis: Axis | None, minute: int
    ) -> tuple[int, int, int] | None:
        """Start, end of hands and end by hours alone; None: never. An end of −1: not from there, but
        perhaps from the minute given as the end of the hands.
        """
        start = hands_end = minute
        if axis is not None:
            place = self._free_hands(task, crew, axis, minute)
            if place is None:
                return None
            start, hands_end = place
        rest = task.work - task.hands_min
        if not task.watched:
            return start, hands_end, hands_end + rest
        if axis is None:
            at = self.bench.anybody.next(minute)
            if at is None:
                return None
            start = hands_end = at
        end = _run_until(self.bench.anybody, start, hands_end, rest, task)
        if end is not None:
            return start, hands_end, end
        later = (axis or self.bench.anybody).stretch_after(start)
        return None if later is None or task.pause == "any" else (start, later, -1)

    def _free_hands(
        self, task: Task, crew: tuple[int, ...], axis: Axis, minute: int
    ) -> tuple[int, int] | None:
        """The first time from a minute on at which all of a crew are free for the hands of a task."""
        hands, pause = task.hands_min, task.pause
        while True:
            place = axis.earliest(minute, hands, pause)
            if place is None:
                return None
            start, end = place
            busy = -1
            for w in crew:
                starts = self.starts[w]
                at = bisect_left(starts, end) - 1
                if at >= 0 and self.ends[w][at] > start and self.ends[w][at] > busy:
                    busy = self.ends[w][at]
            if busy < 0:
                return place
            minute = busy

    def _taken_until(self, task: Task, start: int, end: int) -> int | None:
        """None where all else it needs is free; else a minute before which it can't begin."""
        until = -1
        profiles = self.profiles
        for resource, amount in task.uses:
            busy = profiles[resource].busy_until(start, end, amount)
            if busy is not None and busy > until:
                until = busy
        if task.keeps:
            off_at = self._off_at(end + task.off)
            for resource, amount in task.keeps:
                busy = profiles[resource].busy_until(start, off_at, amount)
                if busy is not None and busy > until:
                    until = busy
        if task.room is not None and end > start:
            until = max(until, self._air_until(task, start, end))
        return until if until >= 0 else None

    def _air_until(self, task: Task, start: int, end: int) -> int:
        """When the dust or the wet coats that are in its way are gone; −1: none are."""
        until = -1
        if task.dusty:
            for a, b in self.wet.get(task.room or 0, ()):
                if a < end and b > start and b > until:
                    until = b
        if task.wet:
            for a, b in self.dusty.get(task.room or 0, ()):
                if a < end + task.wet and b > start and b > until:
                    until = b
        return until


def _carried_on(axis: Axis, minute: int, work: int) -> int:
    """When work is done that goes on at every hour there is, from a minute on."""
    found = axis.earliest(minute, work, "any") if work else None
    return found[1] if found else minute + work


def _run_until(anybody: Axis, start: int, hands_end: int, rest: int, task: Task) -> int | None:
    """When a watched machine ends that runs on from the end of its hands; None: not with these pauses."""
    if not rest:
        return hands_end
    at = anybody.next(hands_end)
    if at is None or (task.pause == "none" and at > hands_end):
        return None
    if task.pause == "lunch" and anybody.day_at(at) != anybody.day_at(start):
        return None
    return anybody.end_of(at, rest, task.pause)
