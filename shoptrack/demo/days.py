"""People of the invented shop work through their days, each doing one thing at a time, and tap as they go."""

import heapq
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from shoptrack.demo.left import MIN, Left, Spans, after_minutes, at_work, inside
from shoptrack.demo.scene import Plain
from shoptrack.demo.works import Work, wait

SHOP_TIME = ("sweeping", "phone", "honing", "jigs", "ordering")
CAUSES = ("tear-out", "wood", "wrong cut")
CHUNK = timedelta(minutes=30)


@dataclass
class Crew(Left):
    """The people of the invented shop at work; ``later`` are clamps that will have to come off."""

    later: list[tuple[datetime, int, int, float]] = field(default_factory=list)

    def day(self, on: date) -> None:
        """Everybody who works that day works it, the one who is free first choosing first."""
        turns: list[tuple[datetime, int, Spans]] = []
        for person in self.scene.people.all:
            spans = self.hours_of(person, on)
            if spans:
                arrives = spans[0][0] + timedelta(minutes=self.rng.uniform(0, 9))
                heapq.heappush(turns, (arrives, person, spans))
        self._read_thermometer(on)
        self.wear.morning(on)
        while turns:
            at, person, spans = heapq.heappop(turns)
            self._clamps_off(at, person)
            after = self._turn(person, at, spans)
            if after < spans[-1][1] - 4 * MIN:
                heapq.heappush(turns, (at_work(after, spans), person, spans))

    def hours_of(self, person: int, on: date) -> Spans:
        """The spans of a day in which somebody works on jobs."""
        return self.scene.day(person, on)

    def _read_thermometer(self, on: date) -> None:
        if self.rng.random() < 0.4:
            opens = self.scene.day(None, on)[0][0]
            room = self.rng.choice((self.scene.rooms.bench, self.scene.rooms.finish))
            c = round(self.rng.gauss(17.5, 1.2), 1)
            person = self.scene.people.maren
            self.scene.tablet.tap(opens + 6 * MIN, "temperature", person, room=room, value_c=c)

    def _clamps_off(self, at: datetime, person: int) -> None:
        """Whoever is free takes off what may come off; now and then nobody says so."""
        for due in sorted(self.later):
            if due[0] > at:
                break
            self.later.remove(due)
            if self.rng.random() < 0.8:
                self.scene.tablet.tap(at, "unclamp", person, due[1], count=int(due[3]))

    def _turn(self, person: int, at: datetime, spans: Spans) -> datetime:
        """One thing that a person does; gives the instant at which they are free again."""
        mine = next((w for w in self.works.values() if w.open_by == person), None)
        work = mine or self.choose(person, at, spans)
        if work is None:
            return self._nothing(person, at, spans)
        if work.stage.attendance == "within earshot":
            return self._watched(person, work, at)
        if work.stage.recipes:
            return self._closing(person, work, at)
        return self._plain(person, work, at, spans)

    def _nothing(self, person: int, at: datetime, spans: Spans) -> datetime:
        """Nothing may be touched: shop time, or half an hour with a coffee and the catalogue."""
        until = at + CHUNK
        if self.rng.random() < 0.05 and inside(at, until, spans):
            self.scene.tablet.tap(at, "start", person, text=self.rng.choice(SHOP_TIME))
            self.scene.tablet.tap(until, "pause", person)
        return until

    def _start(self, person: int, work: Work, at: datetime) -> None:
        if self.rng.random() < 0.015:  # the wrong line, struck at once
            wrong = self.scene.tablet.tap(
                at - MIN, "start", person, work.stage.needs[0].stage if work.stage.needs else work.stage.id
            )
            self.scene.tablet.tap(at - 0.5 * MIN, "strike", person, of=wrong)
        work.start_id = self.scene.tablet.tap(at, "start", person, work.stage.id)

    def _finish(self, person: int, work: Work, at: datetime) -> None:
        work.done_at, work.left, work.open_by = at, 0.0, None
        work.next_at = max(work.next_at, at)
        self.scene.tablet.tap(at, "finish", person, work.stage.id)
        if work.worked_min > 1.9 * work.stage.rule_min(at) and self.rng.random() < 0.85:
            said: dict[str, Plain] = {"of": work.start_id, "asks": "still-on", "choice": "all"}
            self.scene.tablet.tap(at + 2 * MIN, "answer", person, **said)

    def _plain(self, person: int, work: Work, at: datetime, spans: Spans) -> datetime:
        """Work that may be broken off: over lunch with or without a tap, over the night mostly with one."""
        if work.open_by is None:
            also = self.beside(work, at, spans)
            if also is not None:
                return self._together(person, work, also, at, spans)
            self._start(person, work, at)
        closes = spans[-1][1]
        end = after_minutes(at, work.minutes_left, spans)
        self._spice(person, work, at, min(end or closes, closes))
        if end is not None and end <= closes:
            self.wear.cut(work.stage, work.minutes_left, person, end)
            work.worked_min += work.minutes_left
            self._finish(person, work, end)
            self._hold(work, at, end)
            return end + self.rng.uniform(1, 6) * MIN
        worked = sum((b - max(a, at)).total_seconds() / 60 for a, b in spans if b > at)
        self.wear.cut(work.stage, worked, person, closes)
        left_min = max(1.0, work.minutes_left - worked)
        work.worked_min += worked
        work.left = left_min / work.rate_min if work.rate_min else 0.1
        forgets = self.rng.random() < 0.15
        work.open_by = person if forgets and self.wear.may(work.stage) else None
        if work.open_by is None:
            self.scene.tablet.tap(closes - self.rng.uniform(0, 6) * MIN, "pause", person, work.stage.id)
        self._hold(work, at, closes)
        return closes

    def _hold(self, work: Work, at: datetime, until: datetime) -> None:
        if work.stage.station is not None:
            self.busy[work.stage.station] = until
        work.free_at = max(work.free_at, until)

    def _together(self, person: int, work: Work, also: Work, at: datetime, spans: Spans) -> datetime:
        end = after_minutes(at, work.minutes_left + also.rate_min * also.left, spans) or spans[-1][1]
        both = (work.stage.id, also.stage.id)
        self.scene.tablet.tap(at, "start", person, *both)
        self.scene.tablet.tap(end, "finish", person, *both)
        for one in (work, also):
            self.wear.cut(one.stage, one.minutes_left, person, end)
            one.done_at, one.left = end, 0.0
            one.next_at = max(one.next_at, end)
            self._hold(one, at, end)
        return end + 3 * MIN

    def _spice(self, person: int, work: Work, at: datetime, until: datetime) -> None:
        """Now and then somebody helps, something is mended."""
        middle = at + (until - at) / 2
        others = [p for p in self.scene.people.all if p != person]
        if self.rng.random() < 0.04:
            minutes = self.rng.choice((10, 20))
            helper = self.rng.choice(others)
            self.scene.tablet.tap(middle, "help", person, work.stage.id, helper=helper, minutes=minutes)
        if self.rng.random() < 0.02:
            self.scene.tablet.tap(
                middle + MIN, "mend", person, work.stage.id, minutes=self.rng.choice((10, 15, 25)), cents=400
            )

    def _watched(self, person: int, work: Work, at: datetime) -> datetime:
        """The router: set up by hand, then it runs while the person does something else in earshot."""
        minutes = work.minutes_left
        end = at + minutes * MIN
        self._start(person, work, at)
        cause = "dull edge" if self.wear.runs_out(work.stage, minutes, end) else ""
        if self.rng.random() < 0.025:
            cause = cause or self.rng.choice(CAUSES)
        if cause and work.stage.quantity > 20:
            self._spoil(person, work, end, cause)
        else:
            self._finish(person, work, end)
        self.wear.cut(work.stage, minutes, person, end)
        self._hold(work, at, end)
        return at + (work.setup_min + 3) * MIN if self.rng.random() < 0.25 else end + 2 * MIN

    def _spoil(self, person: int, work: Work, end: datetime, cause: str) -> None:
        """One piece spoils at the end of the run and is cut again after it."""
        pieces = self.scene.world.jobs[work.stage.job].pieces
        said: dict[str, Plain] = {
            "count": 1,
            "out_of": max(2, pieces),
            "way_back": work.stage.id,
            "cause": cause,
        }
        self.scene.tablet.tap(end - 2 * MIN, "spoil", person, work.stage.id, **said)
        self.scene.tablet.tap(end, "finish", person, work.stage.id)
        work.left = work.stage.quantity / max(2, pieces)
        work.free_at = end

    def _closing(self, person: int, work: Work, at: datetime) -> datetime:
        """A glue-up or a coat: spread, closed, cleaned up; its clamps are out until somebody comes back."""
        count = self.pieces(work, at)
        setup = work.setup_min if work.stage.kind != "inlay" or not work.worked_min else work.setup_min / 3
        closed = at + (setup + work.rate_min * count) * MIN
        self._start(person, work, at)
        if work.stage.kind == "glue-up" and self.rng.random() < 0.5:
            self.scene.tablet.tap(closed - 7 * MIN, "spread", person, work.stage.id)
        said: dict[str, Plain] = {"count": count} if work.stage.rounds else {}
        self.scene.tablet.tap(closed, "closed", person, work.stage.id, **said)
        off = wait(work, self.scene.world, closed, count)
        self._hang(work, count, off)
        work.left -= count
        work.worked_min += (closed - at).total_seconds() / 60
        end = closed + self.rng.uniform(3, 8) * MIN
        end = self._wipe(person, work, closed, end)
        if work.left <= 1e-9:
            self._finish(person, work, end)
        else:
            self.scene.tablet.tap(end, "pause", person, work.stage.id)
        self._hold(work, at, end)
        return end + MIN

    def _wipe(self, person: int, work: Work, closed: datetime, end: datetime) -> datetime:
        """Oil is wiped off before it gums; the person stays with it."""
        roles = [m.role for m in work.stage.recipes[-1][1].marks]
        if "wipe" not in roles:
            return end
        self.scene.tablet.tap(closed + 14 * MIN, "tended", person, work.stage.id, choice="wipe")
        return closed + 20 * MIN

    def _hang(self, work: Work, count: float, off: datetime) -> None:
        for need in work.stage.clamps:
            held = round(need.count * (count if need.per_piece else 1))
            back = self.clamps.setdefault(need.pool, [])
            back[:] = [b for b in back if b > off - timedelta(days=3)] + [off] * held
            heapq.heappush(self.later, (off, work.stage.id, need.pool, float(held)))
