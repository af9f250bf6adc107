"""What is taken of people, things and rooms → the first place where a task finds all it needs free."""

from bisect import bisect_left, bisect_right
from copy import copy

from shoptrack.engine.schedule.axis import Axis, run_until
from shoptrack.engine.schedule.bench import Bench
from shoptrack.engine.schedule.profile import FOREVER, Profile
from shoptrack.engine.shapes import Interruption
from shoptrack.engine.shapes.planned import Placed, Resource, Task

Found = tuple[int, int, int]
"""Start, end of the hands, and end."""

NEVER: Found = (FOREVER, FOREVER, FOREVER)
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

    def copy(self) -> "Scene":
        """Another one that stands as this does."""
        made = copy(self)
        made.starts, made.ends = [own[:] for own in self.starts], [own[:] for own in self.ends]
        made.profiles = [profile.copy() for profile in self.profiles]
        made.wet = {room: profile.copy() for room, profile in self.wet.items()}
        made.dusty = {room: profile.copy() for room, profile in self.dusty.items()}
        return made

    def first_place(self, n: int, low: int) -> Placed | None:
        """The first place from a minute on, by the end it comes to; None: none before the horizon."""
        best: Found | None = None
        who: tuple[int, ...] = ()
        soonest, most = low + self.tasks[n].work, self.horizon
        taken: dict[tuple[int, int], int | None] = {}
        for crew in self.bench.crews[n]:
            found = self._place_for(n, crew, low, most, taken)
            if found is not None:
                best, who, most = found, crew, found[2] - 1
                if most < soonest:
                    break
        return None if best is None else Placed(n, *best, who)

    def begun_place(self, n: int) -> Placed:
        """The place of what is in hand: from now on, whatever else is taken; it may pause at any break."""
        task = self.tasks[n]
        crew = task.begun or ()
        hands_end = _carried_on(self.bench.axes[crew], 0, task.hands_min) if crew else 0
        rest = task.work - (task.hands_min if crew else 0)
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

    def _place_for(
        self, n: int, crew: tuple[int, ...], low: int, most: int, taken: dict[tuple[int, int], int | None]
    ) -> Found | None:
        """The first place for one crew that ends by ``most``.

        ``taken`` says of a start and an end what was found of all else that the task needs, whoever does it.
        """
        task, hands = self.tasks[n], self.bench.hands[n]
        axis = self.bench.axes[crew] if crew else None
        minute, rest = low, task.work - hands
        while True:
            start = hands_end = minute
            if axis is not None:
                place = self._free_hands(crew, axis, minute, hands, task.pause, most)
                if place is None:
                    return None
                start, hands_end = place
            end = hands_end + rest
            if task.watched:
                start, hands_end, end = self._watched(task, axis, start, hands_end, rest)
            if end > most or start > most:
                return None
            if end < 0:
                minute = hands_end
                continue
            if (start, end) not in taken:
                taken[start, end] = self._taken_until(n, start, end)
            until = taken[start, end]
            if until is None:
                return start, hands_end, end
            minute = until

    def _watched(self, task: Task, axis: Axis | None, start: int, hands_end: int, rest: int) -> Found:
        """The same with the end of what goes on while somebody is at work. An end of −1: not from there, but
        perhaps from the minute given as the end of the hands.
        """
        anybody = self.bench.anybody
        if axis is None:
            at = anybody.next(start)
            if at is None:
                return NEVER
            start = hands_end = at
        end = run_until(anybody, start, hands_end, rest, task)
        if end is not None:
            return start, hands_end, end
        later = (axis or anybody).stretch_after(start)
        return NEVER if later is None or task.pause == "any" else (start, later, -1)

    def _free_hands(
        self, crew: tuple[int, ...], axis: Axis, minute: int, hands: int, pause: Interruption, most: int
    ) -> tuple[int, int] | None:
        """The first time from a minute on at which all of a crew are free for so many minutes of hands.

        None: not so that they end by ``most``.
        """
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

    def _taken_until(self, n: int, start: int, end: int) -> int | None:
        """None where all else it needs is free; else a minute before which it can't begin."""
        until, task = -1, self.tasks[n]
        profiles = self.profiles
        for resource, amount in self.bench.uses[n]:
            busy = profiles[resource].busy_until(start, end, amount, task.work)
            if busy is not None and busy > until:
                until = busy
        if task.keeps:
            off_at = self._off_at(end + task.off)
            for resource, amount in self.bench.keeps[n]:
                busy = profiles[resource].busy_until(start, off_at, amount, task.work)
                if busy is not None and busy > until:
                    until = busy
        if task.room is not None and (task.wet or task.dusty):
            until = max(until, self._air_until(task.room, task, start, end))
        return until if until >= 0 else None

    def _air_until(self, room: int, task: Task, start: int, end: int) -> int:
        """When the dust or the wet coats that are in its way are gone; −1: none are."""
        dry_at, least = end + task.wet, task.work + task.wet
        wet = self.wet[room].busy_until(start, end, 1, task.work) if task.dusty else None
        dusty = self.dusty[room].busy_until(start, dry_at, 1, least) if task.wet else None
        return max(-1 if wet is None else wet, -1 if dusty is None else dusty)


def _carried_on(axis: Axis, minute: int, work: int) -> int:
    """When work is done that goes on at every hour there is, from a minute on."""
    found = axis.earliest(minute, work, "any") if work else None
    return found[1] if found else minute + work
