"""An invented shop minute by minute: people who mostly do as the plan says, are ill at times, and spoil work.

Nothing here is of the program: the hours, the rules of what may start, and what happens are said once more.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tests.bench.planning_months.floor import Doing, Floor, Office, Open, Sheet
from tests.bench.planning_months.invented import DAY, HOURS, KINDS, PEOPLE, STOCK, Given, Kind, Shop

PATIENCE = 45
"""So long somebody without work waits for a mate, out of every four hours."""
PLAN_HOURS = 2
"""The plan on the wall is made anew each morning, with every order that comes, and at least so often."""
SCUFF = (10.0, 35.0)
OPENING, CLOSING = HOURS[0][0], HOURS[-1][1]


@dataclass(frozen=True, slots=True)
class Ways:
    """How often somebody takes another stage than the plan's first, and is away for a day without notice."""

    own_mind: float = 0.2
    ill: float = 0.02


class Makers:
    """The people of a shop, from one morning to the last order that is asked about."""

    def __init__(self, shop: Shop, office: Office, last: int, ways: Ways, rng: np.random.Generator) -> None:
        self.shop, self.office, self.last, self.ways, self.rng = shop, office, last, ways, rng
        self.floor = Floor()
        self.coming = list(enumerate(shop.orders))
        self.ready: dict[int, int] = {}
        self.waited: dict[int, int] = {}
        self.sheet = Sheet({}, {})
        self.stale = True
        self.planned_at = 0

    def work(self, most_days: int) -> dict[int, int]:
        """Work until the first ``last`` orders are ready: when each was."""
        for day in range(most_days):
            if day % 7 < 5:
                self._day(day * DAY)
            if all(n in self.ready for n in range(self.last)):
                break
        return self.ready

    def _day(self, midnight: int) -> None:
        ill = self.rng.random(PEOPLE) < self.ways.ill
        self.floor.away = frozenset(np.flatnonzero(ill).tolist())
        self.office.morning()
        self.stale = True
        minute = OPENING
        while minute < CLOSING or (minute < DAY and any(self._whole(d) for d in self._hands())):
            self._minute(midnight + minute, any(a <= minute < b for a, b in HOURS))
            minute += 1

    def _hands(self) -> Iterator[Doing]:
        return (o.doing for o in self.floor.orders.values() if o.doing is not None)

    def _whole(self, doing: Doing) -> bool:
        """Whether nobody leaves it for a break; what would take longer than any stretch is done by parts."""
        kind = self._kind(self.floor.orders[doing.order])
        return kind.whole and self._expected(self.floor.orders[doing.order]) <= HOURS[0][1] - HOURS[0][0]

    def _minute(self, now: int, open_hours: bool) -> None:
        while self.coming and self.coming[0][1].at <= now:
            self._take_in(now, *self.coming.pop(0))
        if open_hours and len(self.floor.away) < PEOPLE:
            self.floor.clamped = [c for c in self.floor.clamped if c[0] > now]
            busy = {p for doing in self._hands() for p in doing.people}
            for person in range(PEOPLE):
                if person not in busy | self.floor.away:
                    busy |= self._choose(person, busy, now)
        for doing in list(self._hands()):
            if self._whole(doing) or (open_hours and not self.floor.away & set(doing.people)):
                doing.spent += 1
                doing.left -= 1.0
                if doing.left <= 0.0:
                    self._finish(self.floor.orders[doing.order], now + 1)

    def _take_in(self, now: int, number: int, given: Given) -> None:
        order = self.floor.orders[number] = Open(number, given, free_at=now)
        order.due = self.office.promise(now, self.floor, number)
        self.stale = True

    # --- what next ------------------------------------------------------------------------------------

    def _choose(self, person: int, busy: set[int], now: int) -> frozenset[int]:
        """Whom somebody's choice keeps busy."""
        can = [o for o in self.floor.orders.values() if self._may_start(o, person, now)]
        if not can:
            return frozenset()
        if self.stale or now >= self.planned_at + PLAN_HOURS * 60:
            self.sheet, self.stale, self.planned_at = self.office.plan(now, self.floor), False, now
        can.sort(key=lambda o: self.sheet.ranks.get((o.number, o.next), 1 << 30))
        if self.rng.random() < self.ways.own_mind:
            can = [can[n] for n in self.rng.permutation(len(can))]
        mates = [p for p in range(PEOPLE) if p not in busy | self.floor.away | {person}]
        for order in can:
            crew = order.given.stages[order.next].crew
            if crew - 1 <= len(mates):
                self._start(order, (person, *mates[: crew - 1]), now)
                return frozenset({person, *mates[: crew - 1]})
            waited = self.waited[order.number] = self.waited.get(order.number, 0) + 1
            if waited % 240 < PATIENCE:
                return frozenset({person})
        return frozenset()

    def _may_start(self, order: Open, person: int, now: int) -> bool:
        kind = self._kind(order)
        if order.doing is not None or order.free_at > now or person not in kind.able:
            return False
        station, clamped = kind.station, sum(c[1] for c in self.floor.clamped)
        held = [self._kind(o) for o in self.floor.orders.values() if o.doing is not None]
        if station is not None and sum(k.station == station for k in held) >= STOCK[station]:
            return False
        if kind.clamps and clamped + kind.clamps + sum(k.clamps for k in held) > STOCK[-1]:
            return False
        longest = HOURS[0][1] - HOURS[0][0]
        needs = self._expected(order)
        minute = now % DAY
        return not kind.whole or needs > longest or any(a <= minute and minute + needs <= b for a, b in HOURS)

    def _kind(self, order: Open) -> Kind:
        return KINDS[order.given.stages[order.next].kind]

    def _expected(self, order: Open) -> float:
        return self.sheet.minutes.get((order.number, order.next), 30.0)

    # --- begin and end --------------------------------------------------------------------------------

    def _start(self, order: Open, people: tuple[int, ...], now: int) -> None:
        minutes = order.given.honest[order.next] / len(people)
        if order.scuff_after is not None and now > order.scuff_after:
            minutes += self.rng.uniform(*SCUFF)
        order.doing = Doing(order.number, order.next, people, 0, minutes)

    def _finish(self, order: Open, now: int) -> None:
        given, stage, kind = order.given, order.next, self._kind(order)
        spoiled = given.spoiled[stage] and not order.redoing
        self.office.log(order.number, given, stage, given.said[stage], spoiled)
        order.doing, order.redoing = None, spoiled
        order.scuff_after = None
        if kind.clamps:
            self.floor.clamped.append((now + kind.kept, kind.clamps, order.number))
        if spoiled:
            order.free_at = now
            return
        order.next, order.free_at = stage + 1, now + kind.wait
        if kind.soon is not None:
            order.scuff_after = now + kind.wait + kind.soon
        if order.next == len(given.stages):
            self.ready[order.number] = now + kind.wait
            self.office.close(order.number, now)
            del self.floor.orders[order.number]
