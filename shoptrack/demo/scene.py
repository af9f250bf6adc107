"""What the story of the invented shop is told with: its calendar, its clock, a tablet to tap on."""

import random
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import cast
from zoneinfo import ZoneInfo

from shoptrack.demo.people import ZONE, People, Rooms
from shoptrack.demo.things import Things
from shoptrack.engine import hours
from shoptrack.engine.shapes import World
from shoptrack.flows.record import Envelope, accept
from shoptrack.store.db import Store
from shoptrack.store.jobs import add_job, close_job
from shoptrack.store.snapshot import world
from shoptrack.store.tables import JobRow

MONTHS = 18
BATCH = 50
Plain = str | int | float | bool | list[int]


def opened(now: datetime) -> tuple[date, datetime]:
    """The day the invented shop began to keep its book: a Monday about eighteen months ago."""
    on = now.astimezone(ZoneInfo(ZONE)).date() - timedelta(days=30 * MONTHS + 8)
    on -= timedelta(days=on.weekday())
    return on, datetime.combine(on, time(0), ZoneInfo(ZONE)).astimezone(UTC)


@dataclass
class Tablet:
    """Collects taps and sends them through the same record as a real tablet, in order of their instants."""

    store: Store
    rng: random.Random
    device: str
    seq: int = 0
    taps: list[dict[str, Plain]] = field(default_factory=list)

    def tap(self, at: datetime, kind: str, person: int | None, *stages: int, **said: Plain) -> str:
        """Tap once; gives the entry's id."""
        return self.tap_as(f"{self.rng.getrandbits(64):016x}", at, kind, person, *stages, **said)

    def tap_as(
        self, entry_id: str, at: datetime, kind: str, person: int | None, *stages: int, **said: Plain
    ) -> str:
        """Tap once with an id that was drawn elsewhere; gives it."""
        made: dict[str, Plain] = {"id": entry_id, "kind": kind, "at": at.isoformat(), **said}
        if person is not None:
            made["person"] = person
        if stages:
            made["stages"] = list(stages)
        self.taps.append(made)
        return entry_id

    def send(self, now: datetime, full: bool = False) -> None:
        """Send what was tapped, oldest first, in batches; with ``full`` a batch that is not full waits."""
        self.taps.sort(key=lambda t: datetime.fromisoformat(str(t["at"])))
        while len(self.taps) >= (BATCH if full else 1):
            for tap in self.taps[:BATCH]:
                self.seq += 1
                tap["seq"] = self.seq
            receipt = accept(self.store, Envelope(self.device, now, tuple(self.taps[:BATCH])), now)
            refused = [a for a in receipt.answers if a.status != "done"]
            assert not refused, refused  # the story taps only what a shop can tap
            del self.taps[:BATCH]

    def waits(self, stages: Collection[int]) -> bool:
        """Whether a tap on one of these stages has not been sent yet."""
        return any(set(stages) & set(cast(list[int], tap.get("stages", []))) for tap in self.taps)


@dataclass
class Scene:
    """The invented shop while its story is written; ``stage_at`` is the instant the story has come to."""

    store: Store
    people: People
    rooms: Rooms
    things: Things
    patterns: Mapping[str, int]
    rng: random.Random
    now: datetime
    tablet: Tablet
    world: World

    @classmethod
    def of(
        cls,
        store: Store,
        people: People,
        rooms: Rooms,
        things: Things,
        patterns: Mapping[str, int],
        rng: random.Random,
        now: datetime,
    ) -> "Scene":
        """The scene of a shop that has just been written."""
        with store.reading() as session:
            seen = world(session)
        tablet = Tablet(store, rng, "bench-tablet")
        return cls(store, people, rooms, things, patterns, rng, now, tablet, seen)

    def day(self, person: int | None, on: date) -> tuple[tuple[datetime, datetime], ...]:
        """The working spans of somebody's day."""
        return hours.day_spans(self.world.calendar, person, on)

    def local_day(self, at: datetime) -> date:
        """The local day of an instant."""
        return hours.local(self.world.calendar, at).date()

    def today(self) -> date:
        """The local day of ``now``."""
        return self.local_day(self.now)

    def work_days(self, first_on: date, end_on: date) -> Iterator[date]:
        """The days from one to before another on which the shop is open."""
        for n in range((end_on - first_on).days):
            if self.day(None, first_on + timedelta(days=n)):
                yield first_on + timedelta(days=n)

    def work_day(self, on: date, days: int) -> date:
        """The day so many open days after (before, where negative) a day."""
        step = timedelta(days=1 if days > 0 else -1)
        left = abs(days)
        while left:
            on += step
            left -= bool(self.day(None, on))
        return on

    def last_instant(self) -> datetime:
        """Now while the shop works (or has its lunch), else the last closing."""
        on = self.today()
        while not (span := hours.open_day(self.world.calendar, on)) or span[0] >= self.now:
            on -= timedelta(days=1)
        return min(self.now, span[1])

    def back(self, at: datetime, minutes: float) -> datetime:
        """The instant so many of the shop's working minutes before another."""
        on = self.local_day(at)
        while True:
            for opens, closes in reversed(self.day(None, on)):
                if opens < at:
                    length = (min(at, closes) - opens).total_seconds() / 60
                    if minutes <= length:
                        return min(at, closes) - timedelta(minutes=minutes)
                    minutes -= length
            on -= timedelta(days=1)

    def add_job(
        self, pattern: str, title: str, customer: str, pieces: int, added_at: datetime, promised_on: date
    ) -> int:
        """Take an order, and have the world know it."""
        with self.store.writing() as session:
            row = add_job(
                session,
                title=title,
                customer=customer,
                pieces=pieces,
                promised_on=promised_on,
                revision_id=self.patterns[pattern],
                now=added_at,
                price_cents=self.rng.randrange(240, 900) * 100 * (pieces if pieces < 4 else 3),
            )
            number = row.id
        self.look_again()
        return number

    def look_again(self) -> None:
        """Have the world know what was just written down."""
        with self.store.reading() as session:
            self.world = world(session)

    def close_job(self, job: int, at: datetime) -> None:
        """Hand a job over."""
        with self.store.writing() as session:
            if session.get_one(JobRow, job).closed_at is None:
                close_job(session, job, at)

    def stage(self, job: int, name: str) -> int:
        """A stage of a job by its name."""
        return next(s.id for s in self.world.stages.values() if s.job == job and s.name == name)
