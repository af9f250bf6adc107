"""What is taken of people, things and rooms → the first place where a task finds all it needs free."""

from bisect import bisect_left, bisect_right

from shoptrack.engine.schedule.axis import Axis
from shoptrack.engine.schedule.bench import Bench
from shoptrack.engine.schedule.profile import FOREVER, Profile
from shoptrack.engine.shapes import Interruption
from shoptrack.engine.shapes.planned import Placed, Resource, Task

_AIR = Resource("air", 1)


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
        rooms = {task.room for task in self.tasks if task.room is not None and (task.wet or task.dusty)}
        self.wet = {room: Profile(_AIR) for room in rooms}
        self.dusty = {room: Profile(_AIR) for room in rooms}

    def first_place(self, n: int, low: int) -> Placed | None:
        """The first place from a minute on, by the end it comes to; None: none before the horizon."""
        best: Placed | None = None
        soonest, most = low + self.tasks[n].work, FOREVER
        for crew in self.bench.crews[n]:
            found = self._place_for(n, crew, low, most)
            if found is not None:
                best, most = found, found.end - 1
                if most < soonest:
                    break
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
            self._keep_busy(w, placed.start, self._free_from(w, placed.hands_end))
        self._hold(task, placed, 1)

    def give_back(self, placed: Placed) -> None:
        """Give back what a task took."""
        for w in placed.workers if placed.hands_end > placed.start else ():
            self._let_go(w, placed.start, self._free_from(w, placed.hands_end))
        self._hold(self.tasks[placed.task], placed, -1)

    def _free_from(self, w: int, minute: int) -> int:
        """When somebody can begin again: two tasks that leave nothing between them become one stretch."""
        at = self.bench.hours[w].next(minute)
        return minute if at is None else at

    def _keep_busy(self, w: int, start: int, end: int) -> None:
        starts, ends = self.starts[w], self.ends[w]
        at = bisect_left(starts, start)
        if at and ends[at - 1] >= start:  # next to each other; or several things in one pair of hands now
            at -= 1
            ends[at] = max(ends[at], end)
        else:
            starts.insert(at, start)
            ends.insert(at, end)
        if at + 1 < len(starts) and starts[at + 1] <= ends[at]:
            ends[at] = max(ends[at], ends[at + 1])
            del starts[at + 1], ends[at + 1]

    def _let_go(self, w: int, start: int, end: int) -> None:
        starts, ends = self.starts[w], self.ends[w]
        at = bisect_right(starts, start) - 1
        rest = [(a, b) for a, b in ((starts[at], start), (end, ends[at])) if a < b]
        starts[at : at + 1] = [a for a, _ in rest]
        ends[at : at + 1] = [b for _, b in rest]

    def _hold(self, task: Task, placed: Placed, sign: int) -> None:
        for resource, amount in task.uses:
            self.profiles[resource].take(placed.start, placed.end, sign * amount)
        if task.keeps:
            until = self._off_at(placed.end + task.off)
            for resource, amount in task.keeps:
                self.profiles[resource].take(placed.start, until, sign * amount)
        if task.room is not None and task.dusty:
            self.dusty[task.room].take(placed.start, placed.end, sign)
        if task.room is not None and task.wet:
            self.wet[task.room].take(placed.start, placed.end + task.wet, sign)

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
            found = self._hours(task, crew, axis, minute, most)
            if found is None:
                return None
            start, hands_end, end = found
            if end > most or end > self.horizon or start > most:
                return None
            again = hands_end if end < 0 else self._taken_until(task, start, end)
            if again is None:
                return Placed(n, start, hands_end, end, crew)
            minute = again

    def _hours(
        self, task: Task, crew: tuple[int, ...], axis: Axis | None, minute: int, most: int
    ) -> tuple[int, int, int] | None:
        """Start, end of hands and end by hours alone; None: never. An end of −1: not from there, but
        perhaps from the minute given as the end of the hands.
        """
        start = hands_end = minute
        if axis is not None:
            place = self._free_hands(task, crew, axis, minute, most)
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
        self, task: Task, crew: tuple[int, ...], axis: Axis, minute: int, most: int
    ) -> tuple[int, int] | None:
        """The first time from a minute on at which all of a crew are free for the hands of a task.

        None: not so that they end before ``most``.
        """
        hands, pause = task.hands_min, task.pause
        if len(crew) == 1:
            return self._free_pair(crew[0], axis, minute, hands, pause, most)
        while True:
            place = axis.earliest(minute, hands, pause)
            if place is None or place[1] > most:
                return None
            start, end = place
            busy = -1
            for w in crew:
                at = bisect_left(self.starts[w], end) - 1
                if at >= 0:
                    busy = max(busy, self.ends[w][at])
            if busy <= start:
                return place
            minute = busy

    def _free_pair(
        self, w: int, axis: Axis, minute: int, hands: int, pause: Interruption, most: int
    ) -> tuple[int, int] | None:
        """The same for one person: the first gap between what they have that is long enough."""
        starts, ends = self.starts[w], self.ends[w]
        at, count = bisect_right(ends, minute), len(starts)
        while minute + hands <= most:
            if at < count and starts[at] - minute < hands:
                minute = ends[at]
                at += 1
                continue
            place = axis.earliest(minute, hands, pause)
            if place is None or at == count or place[1] <= starts[at]:
                return place if place is None or place[1] <= most else None
            minute = ends[at]
            at += 1
        return None

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
            until = max(until, self._air_until(task.room, task, start, end))
        return until if until >= 0 else None

    def _air_until(self, room: int, task: Task, start: int, end: int) -> int:
        """When the dust or the wet coats that are in its way are gone; −1: none are."""
        wet = self.wet[room].busy_until(start, end, 1) if task.dusty else None
        dusty = self.dusty[room].busy_until(start, end + task.wet, 1) if task.wet else None
        return max(-1 if wet is None else wet, -1 if dusty is None else dusty)


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
