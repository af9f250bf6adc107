"""Ten invented years in a shop of six, gone through day by day → every tap that was made, and its jobs."""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from itertools import count
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from shoptrack.engine.shapes import Entry
from tests.bench.blunt import Blunt
from tests.bench.plans import (
    DAY,
    PEOPLE,
    SECTIONAL,
    SPRING,
    Order,
    Step,
    plan_order,
    rule_min,
    tags,
)

LUNCH, CLOSING = DAY[0][1], DAY[1][1]
SHOP_TIME = ("sweeping", "phone", "honing", "ordering")
CAUSES = ("moved in glue-up", "tear-out", "wrong cut", "wood")


@dataclass
class Years:
    """The shop while the years go by; ``entries`` and ``orders`` are what they leave behind."""

    rng: Random
    zone: ZoneInfo
    first_on: date
    until: datetime
    weekdays: set[int]
    jobs: int
    taps: int
    open_jobs: int
    entries: list[Entry] = field(default_factory=list)
    orders: list[Order] = field(default_factory=list)
    at_work: list[Order] = field(default_factory=list)
    today: list[tuple[datetime, dict[str, Any]]] = field(default_factory=list)
    pace: float = 1.0
    runs: list[Step] = field(default_factory=list)
    stage_ids: Iterator[int] = field(default_factory=lambda: count(1))
    seqs: dict[str, int] = field(default_factory=dict)
    tags: list[str] = field(default_factory=tags)

    def __post_init__(self) -> None:
        self.edges = Blunt(Random(f"edges of {self.first_on}"), self.today)

    def go_through(self) -> None:
        """Work every day from the first to the last; what would come after ``until`` is not tapped."""
        days = [self.first_on + timedelta(n) for n in range((self._local_day() - self.first_on).days + 1)]
        days = [day for day in days if day.weekday() in self.weekdays]
        for n, day in enumerate(days):
            # people go faster or slower, so that the taps come out as many as were asked for
            due = self.taps * (n + 1) / len(days)
            self.pace = min(6.0, max(0.4, ((len(self.entries) + self.taps / len(days)) / due) ** 10))
            self._open_shop(day)
            self._work(day)
            self._put_in_log()

    def _local_day(self) -> date:
        return self.until.astimezone(self.zone).date()

    def _at(self, day: date, clock: time) -> datetime:
        return datetime.combine(day, clock, self.zone).astimezone(UTC)

    # --- the day's frame -----------------------------------------------------------------------------

    def _open_shop(self, day: date) -> None:
        """Close what was done the day before, take new orders in, look again at what was put aside."""
        opens = self._at(day, DAY[0][0])
        for order in [o for o in self.at_work if o.done]:
            order.closed_at = opens - timedelta(minutes=30)
            self.at_work.remove(order)
            self.tags.append(order.tag)
        while len(self.at_work) < self.open_jobs:
            self._take_order(opens)
        self.edges.morning(opens)
        for room in (1, 2):
            self._tap(opens, 1, "temperature", room=room, value_c=round(self.rng.gauss(18, 2), 1))
        if day.day == 1:
            pool = self.rng.choice((SECTIONAL, SPRING))
            self._tap(opens, 2, "recount", pool=pool, count=float(self.rng.randint(50, 60)))
        for order in self.at_work:
            self._put_aside_or_take_up(order, opens)

    def _take_order(self, opens: datetime) -> None:
        closed = len(self.orders) - len(self.at_work)
        a_job = len(self.entries) / closed if closed > 200 else self.taps / self.jobs
        usual = 11.0 * (self.taps / self.jobs / a_job) ** 5
        # the jobs that are open at the end are large ones, whatever came before
        length = round(self.rng.gauss(12.0 if self._late(opens, 90) else usual, 1.5))
        tag = self.tags.pop(self.rng.randrange(len(self.tags)))
        before = opens - timedelta(hours=1)
        order = plan_order(self.rng, len(self.orders) + 1, 0, min(15, max(5, length)), before, tag)
        for step in order.steps:
            step.id = next(self.stage_ids)
        self.orders.append(order)
        self.at_work.append(order)

    def _late(self, at: datetime, days: int = 7) -> bool:
        return at > self.until - timedelta(days=days)

    def _last_hours(self, at: datetime) -> bool:
        return at > self.until - timedelta(hours=4)

    def _put_aside_or_take_up(self, order: Order, opens: datetime) -> None:
        if order.aside_until is not None and order.aside_until <= opens:
            order.aside_until = None
            self._tap(opens, 3, "take-up", stages=tuple(s.id for s in order.aside))
        elif order.aside_until is None and self.rng.random() < (0.02 if self._late(opens) else 0.004):
            order.aside = [s for s in order.steps if s.ready(opens) and s.kind != "rest"]
            if order.aside:
                order.aside_until = opens + timedelta(days=self.rng.randint(3, 20))
                look = order.aside_until.date()
                stages = tuple(s.id for s in order.aside)
                self._tap(opens, 3, "put-aside", stages=stages, reason="lumber", look_again_on=look)

    def _work(self, day: date) -> None:
        """Everybody does one thing after another until closing."""
        closing = self._at(day, CLOSING)
        opens = self._at(day, DAY[0][0])
        people = [(opens + timedelta(minutes=3 * p), p) for p in range(1, len(PEOPLE) + 1)]
        heapq.heapify(people)
        while people and people[0][0] <= self.until:
            at, person = heapq.heappop(people)
            at = self._after_lunch(at, day)
            if at >= closing - timedelta(minutes=15):
                continue
            heapq.heappush(people, (self._do_something(person, at, closing), person))

    def _after_lunch(self, at: datetime, day: date) -> datetime:
        out, back = self._at(day, LUNCH), self._at(day, DAY[1][0])
        return back + timedelta(minutes=self.rng.randint(0, 5)) if out <= at < back else at

    # --- one thing -----------------------------------------------------------------------------------

    def _do_something(self, person: int, at: datetime, closing: datetime) -> datetime:
        """One stretch of work; gives when the person is free again."""
        stop = min(closing, at + timedelta(hours=4))
        step = None if self.rng.random() < 0.04 else self._choose(at)
        if step is None:
            self._tap(at, person, "start", text=self.rng.choice(SHOP_TIME))
            return at + self._min(25)
        if step.begun and step.runs_until is not None:
            return self._finish_run(step, person, at)
        if not step.begun:
            # the pace is this shop's own, so its rule of thumb would be too; one in a hundred overruns it
            usual = max(rule_min(step.kind, step.quantity), 2 * step.left_min * self.pace)
            step.limit_min = usual * (0.3 if self.rng.random() < 0.01 else 2)
        self._tap(at, person, "start", stages=(step.id,), limit_min=step.limit_min)
        step.begun = True
        if step.kind == "routing":
            return self._run(step, person, at)
        if step.kind in ("glue-up", "inlay", "finishing"):
            return self._close_round(step, person, at, stop)
        return self._by_hand(step, person, at, stop)

    def _choose(self, at: datetime) -> Step | None:
        """The machine that has run its program, else some ready stage of some job."""
        ended = [s for s in self.runs if s.ready(at)]
        if ended:
            return ended[0]
        if self._last_hours(at) and not self.runs:  # so that the router runs when it is looked at
            programs = [s for o in self.at_work for s in o.steps if s.kind == "routing" and s.ready(at)]
            if programs:
                return programs[0]
        for order in self.rng.sample(self.at_work, len(self.at_work)):
            for step in order.steps:
                if step.ready(at) and not (step in order.aside and order.aside_until is not None):
                    if step.kind == "rest":
                        step.done_at, step.cured_at = at, at + timedelta(days=2)
                    elif step.kind != "routing" or not self.runs:
                        return step
        return None

    def _min(self, minutes: float) -> timedelta:
        """Minutes at the pace of the day, a few more or less, not on the full minute."""
        return timedelta(seconds=round(60 * max(1.0, minutes * self.pace * self.rng.uniform(0.8, 1.25))))

    def _by_hand(self, step: Step, person: int, at: datetime, stop: datetime) -> datetime:
        """Plain work: finished, or paused at closing or because something came between."""
        end = at + self._min(step.left_min)
        breaks_off = self.rng.random() < 0.15
        if breaks_off or end > stop:
            end = min(at + (end - at) / 2, stop) if breaks_off else stop
            step.left_min = max(5.0, step.left_min - (end - at).total_seconds() / 60)
            self._tap(end, person, "pause", stages=(step.id,))
            step.free_at = end + timedelta(minutes=self.rng.randint(1, 300))
            return end + self._min(3)
        self._odd_things(step, person, at, end)
        return self._finish(step, person, end)

    def _finish(self, step: Step, person: int, end: datetime) -> datetime:
        self._tap(end, person, "finish", stages=(step.id,), moved=self.rng.random() < 0.004)
        step.done_at = step.cured_at = end
        self.edges.done(step, person, end)
        if self.rng.random() < 0.004 and len(step.needs) == 1:
            return self._spoiled(step, person, end + timedelta(seconds=20))
        return end + self._min(4)

    def _run(self, step: Step, person: int, at: datetime) -> datetime:
        """Set the machine going and turn to something else."""
        away = at + self._min(12)
        self._tap(away, person, "pause", stages=(step.id,), goes_on=True)
        step.free_at = step.runs_until = at + self._min(rule_min(step.kind, step.quantity))
        step.free_at = max(step.free_at, away + timedelta(minutes=1))
        if self._last_hours(at):
            step.free_at = max(step.free_at, self.until + timedelta(minutes=25))
        self.runs.append(step)
        return away + timedelta(seconds=20)

    def _finish_run(self, step: Step, person: int, at: datetime) -> datetime:
        step.runs_until = None
        self.runs.remove(step)
        return self._finish(step, person, at)

    def _close_round(self, step: Step, person: int, at: datetime, stop: datetime) -> datetime:
        """Glue a joint or lay a coat: cure begins; the last round ends the stage."""
        pieces = step.kind != "finishing"
        end = min(at + self._min(step.left_min / step.rounds_left), stop)
        if pieces:
            self._tap(end - (end - at) / 3, person, "spread", stages=(step.id,))
        step.rounds_left -= 1
        share = max(1.0, step.quantity // (step.rounds_left + 2))
        some = share if step.kind == "inlay" and step.rounds_left else None
        self._tap(end, person, "closed", stages=(step.id,), count=some)
        hands = end + timedelta(minutes=15 if not pieces else 35)
        if hands < stop:
            self._tap(hands, person, "tended", stages=(step.id,), choice="scrape" if pieces else "wipe")
        if pieces and self.rng.random() < 0.6:
            self._tap(end + timedelta(minutes=90), person, "unclamp", stages=(step.id,))
        waits = timedelta(hours=2 if step.kind == "inlay" else 8)
        step.free_at = end + waits
        if step.rounds_left == 0:
            step.done_at, step.cured_at = end, end + timedelta(hours=20)
            self._tap(end + timedelta(seconds=40), person, "finish", stages=(step.id,))
        return end + timedelta(minutes=1)

    def _spoiled(self, step: Step, person: int, at: datetime) -> datetime:
        """One piece is spoiled: it goes back a stage, and both are done again for it."""
        back = step.needs[0]
        cause = self.rng.choice(CAUSES)
        pieces = float(step.job.pieces)
        self._tap(
            at, person, "spoil", stages=(step.id,), count=1.0, out_of=pieces, way_back=back.id, cause=cause
        )
        for again in (back, step):
            self._tap(at + timedelta(seconds=30), person, "start", stages=(again.id,), limit_min=60.0)
            at += self._min(18)
            self._tap(at, person, "finish", stages=(again.id,))
        return at + self._min(4)

    def _odd_things(self, step: Step, person: int, at: datetime, end: datetime) -> None:
        """What happens beside the work: somebody lends a hand, mends, writes a note, takes a tap back."""
        half = at + (end - at) / 2
        chance, one = self.rng.random(), (step.id,)
        if chance < 0.01:
            other = person % len(PEOPLE) + 1
            self._tap(half, person, "help", stages=one, helper=other, minutes=10.0)
        elif chance < 0.025:
            self._tap(half, person, "note", stages=one, text="grain runs the other way on the second board")
        elif chance < 0.035:
            self._tap(half, person, "mend", stages=one, minutes=12.0, cents=350)
        elif chance < 0.045:
            wrong = self._tap(half, person, "mend", stages=one, minutes=90.0)
            self._tap(half + timedelta(seconds=15), person, "strike", of=wrong)

    # --- taps ----------------------------------------------------------------------------------------

    def _tap(self, at: datetime, person: int, kind: str, moved: bool = False, **said: object) -> str:
        """Note a tap of the day; one that was made late is moved to where it belongs a moment later."""
        id = f"{self.rng.getrandbits(128):032x}"
        tapped_at = at + timedelta(minutes=10) if moved else at
        self.today.append((tapped_at, {"id": id, "kind": kind, "person": person, **said}))
        if moved:
            self._tap(tapped_at + timedelta(seconds=10), person, "retime", of=id, to_at=at)
        return id

    def _put_in_log(self) -> None:
        """The day's taps in the order in which they were made, each numbered by its tablet."""
        self.today.sort(key=lambda tap: tap[0])
        for at, said in self.today:
            if at <= self.until:
                device = f"tablet-{said['person'] % 3}"
                seq = self.seqs[device] = self.seqs.get(device, 0) + 1
                self.entries.append(Entry(device=device, seq=seq, at=at, tapped_at=at, **said))
        self.today.clear()
