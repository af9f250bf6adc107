"""One future, event by event: whoever is free takes the first task that can start."""

from bisect import bisect_right
from heapq import heappop, heappush

from shoptrack.engine.dispatch import judged
from shoptrack.engine.dispatch.presence import bits
from shoptrack.engine.dispatch.state import State
from shoptrack.engine.shapes.planned import Uses
from shoptrack.engine.shapes.promised import NEVER

_ALL, _HANDS, _END, _READY, _MET, _KEPT, _DRY = range(7)
_KIND, _TIME = 24, 28
_RANKS, _EVENT = (1 << _KIND) - 1, (1 << _TIME) - 1
"""An event is one number: its minute, its kind, the rank that it is about."""


class Future(State):
    """One future while it is lived."""

    def live(self) -> None:
        """Let it all happen."""
        edges, events = self.t.presence.edges, self.events
        n = bisect_right(edges, 0)
        self.turn(n - 1)
        self._begin()
        self._start_all(0)
        while self.left:
            now = events[0] >> _TIME if events else NEVER
            if n < len(edges) and edges[n] <= now:
                now = edges[n]
                self.turn(n)
                n += 1
                self._bring_back(self.aside[-1])
            if now > self.t.problem.horizon:
                break
            while events and events[0] >> _TIME == now:
                self._happen(heappop(events), now)
            if self.alone or self.fresh or (self.stirred and self.ready):
                self._start_all(now)

    def _begin(self) -> None:
        """What is in hand goes on, at every hour that there is; what waits for nothing may start."""
        for rank, people in enumerate(self.t.begun):
            if people >= 0:
                self.missing[rank] = -1
                self._carry_on(rank, people)
        for rank, missing in enumerate(self.missing):
            if not missing:
                self._open(rank, 0)

    def _carry_on(self, rank: int, people: int) -> None:
        for bit in bits(people):
            self.held[bit] += 1
        self._take(rank, people, 0)
        self._tell(rank, people, *self.t.carried_on(rank, people, self.work[rank]))

    # --- what happens ---------------------------------------------------------------------------------

    def _happen(self, event: int, now: int) -> None:
        kind, rank = (event & _EVENT) >> _KIND, event & _RANKS
        if kind <= _HANDS:
            self._let_go(rank)
        if kind <= _END and kind != _HANDS:
            self._end(rank, now)
        elif kind == _READY:
            (self.fresh if self.t.crew[rank] else self.alone).append(rank)
        elif kind == _MET:
            self._met(rank, now)
        elif kind == _KEPT:
            self._give_back(self.t.keeps[rank])
        elif kind == _DRY:
            self.wet[self.t.room[rank]] -= 1
            self._clear_air(self.t.room[rank])

    def _let_go(self, rank: int) -> None:
        self.stirred = True
        if self.t.begun[rank] < 0:
            self.free |= self.crew_of[rank]
            return
        for bit in bits(self.crew_of[rank]):
            self.held[bit] -= 1
            if not self.held[bit]:
                self.free |= 1 << bit

    def _end(self, rank: int, now: int) -> None:
        t = self.t
        self.ends[rank] = now
        if t.order[rank] < self.given:
            self.left -= 1
        if t.uses[rank]:
            self._give_back(t.uses[rank])
        if t.keeps[rank]:
            self._push(_KEPT, rank, t.presence.somebody_at(now + t.off[rank]))
        room = t.room[rank]
        if room >= 0:
            if t.wet[rank]:
                self._push(_DRY, rank, now + t.wet[rank])
            if t.dusty[rank]:
                self.dust[room] -= 1
                self._clear_air(room)
        for follower, least in t.after[rank]:
            if now + least > self.opens[follower]:
                self.opens[follower] = now + least
            self.missing[follower] -= 1
            if not self.missing[follower]:
                self._open(follower, now)

    def _met(self, rank: int, now: int) -> None:
        """One thing less that a task waits for."""
        self.missing[rank] -= 1
        if not self.missing[rank]:
            self._open(rank, now)

    def _open(self, rank: int, now: int) -> None:
        at = self.opens[rank]
        if at <= now:
            (self.fresh if self.t.crew[rank] else self.alone).append(rank)
        else:
            self._push(_READY, rank, at)

    def _push(self, kind: int, rank: int, at: int) -> None:
        if at < NEVER:
            heappush(self.events, at << _TIME | kind << _KIND | rank)

    def _give_back(self, uses: Uses) -> None:
        for resource, amount in uses:
            self.have[resource] += amount
            if self.aside[resource]:
                self._bring_back(self.aside[resource])

    def _clear_air(self, room: int) -> None:
        if self.airless[room] and not self.dust[room] and not self.wet[room]:
            self._bring_back(self.airless[room])

    def _bring_back(self, waiting: list[int]) -> None:
        for rank in waiting:
            (self.fresh if self.t.crew[rank] else self.alone).append(rank)
        waiting.clear()

    # --- what is begun --------------------------------------------------------------------------------

    def _start_all(self, now: int) -> None:
        """Begin all that can begin: where hands came free all that lacks them is asked, else what is new."""
        if self.alone:
            alone, self.alone = sorted(self.alone), []
            self.alone += [rank for rank in alone if not (self._lacks(rank) or self._moves(rank, now, 0))]
        if self.stirred or (self.kept_for and self.fresh):
            self.stirred = False
            self.kept_for, self.kept_until = 0, NEVER
            self.ready += self.fresh
            self.ready.sort()
            if self.free & self.here:
                self.ready = self._ask(self.ready, now)
            self.fresh.clear()
        elif self.fresh:
            self.ready += self._ask(sorted(self.fresh), now) if self.free & self.here else self.fresh
            self.fresh.clear()

    def _ask(self, ready: list[int], now: int) -> list[int]:
        """Those that are still there when each was asked in its turn."""
        free, kept_for, gone = self.free & self.here, self.kept_for, False
        able, takes = self.t.able, self.t.hands
        for n, rank in enumerate(ready):
            hands = able[rank] & free
            if not hands or (not hands & ~kept_for and now + takes[rank] > self.kept_until):
                continue
            if self._lacks(rank) or self._moves(rank, now, hands):
                ready[n] = -1
                gone = True
                free = self.free & self.here
                if not free:
                    break
            kept_for = self.kept_for
        return [rank for rank in ready if rank >= 0] if gone else ready

    def _lacks(self, rank: int) -> bool:
        """Whether a task is laid aside until something that it needs is given back."""
        have = self.have
        for resource, amount in self.t.needs[rank]:
            if have[resource] < amount:
                self.aside[resource].append(rank)
                return True
        return False

    def _moves(self, rank: int, now: int, hands: int) -> bool:
        """Whether a task is begun, or laid aside until people come, the air is clear, something is open."""
        t = self.t
        if t.plain[rank] and not hands & self.kept_for:
            self._start(rank, hands & -hands, now)
            return True
        people = judged.people(self, rank, now, hands)
        if people == judged.NOBODY:
            return False
        if people == judged.NOBODY_HERE:
            self.aside[-1].append(rank)
        elif t.room[rank] >= 0 and not judged.air_is_clear(self, rank, now, people):
            self.airless[t.room[rank]].append(rank)
        elif t.shuts[rank] and (at := judged.open_from(self, rank, now, people)) > now:
            self._push(_READY, rank, at)
        else:
            self._start(rank, people, now)
        return True

    def _start(self, rank: int, people: int, now: int) -> None:
        t, work = self.t, self.work[rank]
        if people and t.urgent[rank] and self._missed(rank, now):
            work += t.redo_min
        self._take(rank, people, now)
        hands_end, end = judged.run(self, rank, people, now, work)
        if people and hands_end == end:
            if end < NEVER:
                heappush(self.events, end << _TIME | _ALL << _KIND | rank)
        else:
            self._tell(rank, people, hands_end, end)
        for follower, least in t.overlaps[rank]:
            expected = judged.run(self, rank, people, now, t.expected[rank])[1]
            self._push(_MET, follower, max(now, min(end, expected + least)))

    def _missed(self, rank: int, now: int) -> bool:
        late = any(now > self.ends[before] + greatest for before, greatest in self.t.windows[rank])
        return late or now > self.t.latest[rank]

    def _take(self, rank: int, people: int, now: int) -> None:
        t = self.t
        for resource, amount in t.needs[rank]:
            self.have[resource] -= amount
        self.begins[rank], self.crew_of[rank] = now, people
        self.free &= ~people
        while people:
            low = people & -people
            self.doing[low.bit_length() - 1] = rank
            people ^= low
        room = t.room[rank]
        if room < 0:
            return
        if t.wet[rank]:
            self.wet[room] += 1
        if t.dusty[rank]:
            self.dust[room] += 1
            self.clear_at[room] = max(
                self.clear_at[room], judged.run(self, rank, self.crew_of[rank], now, t.expected[rank])[1]
            )

    def _tell(self, rank: int, people: int, hands_end: int, end: int) -> None:
        """Put down when its people are free and when it ends."""
        if people and hands_end == end:
            self._push(_ALL, rank, end)
            return
        if people:
            self._push(_HANDS, rank, hands_end)
        self._push(_END, rank, end)
