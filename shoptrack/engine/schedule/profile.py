"""What is taken of one thing over time → whether more of it is free, and if not until when it is not."""

from bisect import bisect_left, bisect_right

from shoptrack.engine.shapes.planned import Resource

FOREVER = 1 << 40


class Profile:
    """How many of a resource are taken from each minute on; the last level is nought and goes on for ever."""

    __slots__ = ("capacity", "levels", "times")

    def __init__(self, resource: Resource) -> None:
        self.capacity = resource.capacity
        self.times = [-FOREVER]
        self.levels = [0]
        for start, end in resource.closed:
            self.take(start, end, resource.capacity)

    def copy(self) -> "Profile":
        """Another one that stands as this does."""
        made = object.__new__(Profile)
        made.capacity, made.times, made.levels = self.capacity, self.times[:], self.levels[:]
        return made

    def busy_until(self, start: int, end: int, amount: int, least: int = 0) -> int | None:
        """None where so many are free from ``start`` up to ``end``; else the first minute after the last
        stretch in which they are not from which they are free for ``least`` minutes.
        """
        times, levels, most = self.times, self.levels, self.capacity - amount
        if start >= times[-1] or end <= start:
            return None
        n = bisect_left(times, end) - 1
        first = bisect_right(times, start) - 1
        while n >= first:
            if levels[n] > most:
                return self._gap(n + 1, most, least)
            n -= 1
        return None

    def _gap(self, n: int, most: int, least: int) -> int:
        """The first minute from a level on at which no more than ``most`` are taken for so long."""
        times, levels = self.times, self.levels
        free_at = times[n]
        while n + 1 < len(times):
            if levels[n] > most:
                free_at = times[n + 1]
            elif times[n + 1] - free_at >= least:
                break
            n += 1
        return free_at

    def take(self, start: int, end: int, amount: int) -> None:
        """Take so many from ``start`` up to ``end``; with a negative amount give them back."""
        if end <= start:
            return
        first, last = self._cut(start), self._cut(end)
        levels = self.levels
        for n in range(first, last):
            levels[n] += amount

    def _cut(self, minute: int) -> int:
        """The place of the level that begins at a minute, made where there is none."""
        times = self.times
        if minute > times[-1]:
            times.append(minute)
            self.levels.append(self.levels[-1])
            return len(times) - 1
        n = bisect_left(times, minute)
        if times[n] != minute:
            times.insert(n, minute)
            self.levels.insert(n, self.levels[n - 1])
        return n
