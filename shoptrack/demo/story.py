"""The last three days of the invented shop, told tap by tap: what is in clamps, in hand and open now."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from shoptrack.demo.scene import Plain, Scene
from shoptrack.engine import hours

SLOT_MIN = 115
"""Working minutes at the end of a day that belong to the story."""
EARLY_MIN = 40
"""With less of the day worked than this, the story is that of the last closing and of a short morning."""


@dataclass(frozen=True)
class Stage:
    """Where the story plays: the day it ends on, the instant it has come to, and whether the shop is at work.

    ``opened_at`` is set when it is early: the story proper ended with the closing before.
    """

    on: date
    at: datetime
    working: bool
    opened_at: datetime | None = None


def setting(scene: Scene) -> Stage:
    """What ``now`` is to the shop: the middle of a day, its lunch, an early morning, or after closing."""
    calendar, at = scene.world.calendar, scene.last_instant()
    on = hours.local(calendar, at - timedelta(seconds=1)).date()
    opened_at = scene.day(None, on)[0][0]
    worked = hours.worked_min(calendar, None, opened_at, at)
    working = at == scene.now and hours.is_working(calendar, None, at)
    if worked < EARLY_MIN:
        before_on = scene.work_day(on, -1)
        return Stage(before_on, scene.day(None, before_on)[-1][1], False, opened_at)
    return Stage(on, at, working)


@dataclass
class Story:
    """Tells the last days; ``jobs`` are the open ones by what they are for."""

    scene: Scene
    jobs: Mapping[str, int]
    stage: Stage

    def ago(self, minutes: float, on: date | None = None) -> datetime:
        """So many working minutes before the story's instant, closer together where the day is young.

        With a day: so many before that day's closing.
        """
        if on is not None:
            return self.scene.back(self.scene.day(None, on)[-1][1], minutes)
        opened_at = self.scene.day(None, self.stage.on)[0][0]
        worked = hours.worked_min(self.scene.world.calendar, None, opened_at, self.stage.at)
        return self.scene.back(self.stage.at, minutes * min(1.0, worked / SLOT_MIN))

    def before(self, days: int) -> date:
        """So many open days before the story's."""
        return self.scene.work_day(self.stage.on, -days)

    def tap(self, at: datetime, kind: str, person: int | None, key: str, *names: str, **said: Plain) -> str:
        """A tap on stages of a job by their names."""
        stages = [self.scene.stage(self.jobs[key], name) for name in names]
        return self.scene.tablet.tap(at, kind, person, *stages, **said)

    def two_days_before(self) -> None:
        """Bends go into their forms, and the heater fails that night."""
        on, maren = self.before(2), self.scene.people.maren
        bench = self.scene.rooms.bench
        self.tap(self.ago(75, on), "start", maren, "cold", "glue the bends")
        self.tap(self.ago(48, on), "spread", maren, "cold", "glue the bends")
        self.tap(self.ago(30, on), "closed", maren, "cold", "glue the bends")
        self.tap(self.ago(22, on), "finish", maren, "cold", "glue the bends")
        closing = self.ago(0, on)
        self.scene.tablet.tap(closing - timedelta(minutes=3), "temperature", maren, room=bench, value_c=14.2)
        self.tap(self.ago(62, on), "start", self.scene.people.idris, "oil", "oil the trays")
        self.tap(self.ago(50, on), "closed", self.scene.people.idris, "oil", "oil the trays")
        self.tap(self.ago(36, on), "tended", self.scene.people.idris, "oil", "oil the trays", choice="wipe")
        self.tap(self.ago(34, on), "pause", self.scene.people.idris, "oil", "oil the trays")

    def the_day_before(self) -> None:
        """A cold morning, two spoiled lids, no ash to be had, elm stacked to rest, the first inlays."""
        on, people, tablet = self.before(1), self.scene.people, self.scene.tablet
        opening = self.scene.day(None, on)[0][0]
        self.tap(opening + timedelta(minutes=4), "note", people.maren, "cold", "glue the bends",
                        text="heater out overnight, 57 °F at the bench this morning")  # fmt: skip
        for minutes, c in ((3, 13.1), (95, 16.4), (180, 18.6)):
            at = opening + timedelta(minutes=minutes)
            tablet.tap(at, "temperature", people.maren, room=self.scene.rooms.bench, value_c=c)
        spoil: dict[str, Plain] = {"count": 2, "out_of": 6, "cause": "dull edge"}
        spoil["way_back"] = self.scene.stage(self.jobs["spoiled"], "mill the lid panels")
        self.tap(self.ago(108, on), "spoil", people.maren, "spoiled", "carve the lids",
                 text="two leaves torn out along the grain", **spoil)  # fmt: skip
        self.tap(self.ago(104, on), "put-aside", people.maren, "lumber", "rough the blanks", reason="lumber",
                 look_again_on=(self.stage.on + timedelta(days=6)).isoformat())  # fmt: skip
        tablet.tap(self.ago(102, on), "start", people.maren, text="ordering")
        tablet.tap(self.ago(84, on), "pause", people.maren)
        self.tap(self.ago(82, on), "start", people.maren, "resting", "rough stiles, rails and panels")
        self.tap(self.ago(40, on), "finish", people.maren, "resting", "rough stiles, rails and panels")
        self._inlays(on, 110, 70, 7)
        tablet.tap(self.ago(12, on), "start", people.idris, text="sweeping")
        tablet.tap(self.ago(1, on), "pause", people.idris)

    def _inlays(self, on: date | None, start: float, closed: float, count: int) -> None:
        idris = self.scene.people.idris
        self.tap(self.ago(start, on), "start", idris, "rounds", "inlay the lids")
        self.tap(self.ago(closed, on), "closed", idris, "rounds", "inlay the lids", count=count)
        self.tap(self.ago(closed - 5, on), "pause", idris, "rounds", "inlay the lids")

    def timer(self, on: date) -> None:
        """Wilda begins to sand in the morning, goes home, and nobody stops her timer."""
        at = self.scene.day(self.scene.people.wilda, on)[0][0] + timedelta(minutes=4)
        self.tap(at, "start", self.scene.people.wilda, "timer", "sand the stools")

    def today(self) -> None:
        """What is in clamps, on the router and in hand now."""
        self._window()
        self._seal()
        self._idris()
        self._maren()
        if self.stage.opened_at is not None:
            self._morning(self.stage.opened_at)

    def _idris(self) -> None:
        """The last inlays, the table top joined, then three jobs' boards through the planer at once."""
        idris = self.scene.people.idris
        self._inlays(None, 114, 96, 5)
        self.tap(self.ago(90), "start", idris, "table", "join the halves")
        self.tap(self.ago(73), "spread", idris, "table", "join the halves")
        self.tap(self.ago(67), "closed", idris, "table", "join the halves")
        self.tap(self.ago(62), "finish", idris, "table", "join the halves")
        self._inlays(None, 60, 42, 4)
        self.tap(self.ago(36), "tended", idris, "table", "join the halves", choice="scrape")
        self._mill(self.ago(34))
        if not self.stage.working:
            self.tap(self.ago(12), "tended", idris, "rounds", "inlay the lids", choice="scrape")
            self._mill_paused(self.ago(4))

    def _boards(self) -> list[int]:
        named = (
            ("strips", "mill the strips"),
            ("seats", "mill the seats"),
            ("spoiled", "mill the lid panels"),
        )
        return [self.scene.stage(self.jobs[key], name) for key, name in named]

    def _mill(self, at: datetime) -> None:
        self.scene.tablet.tap(at, "start", self.scene.people.idris, *self._boards())

    def _mill_paused(self, at: datetime) -> None:
        self.scene.tablet.tap(at, "pause", self.scene.people.idris, *self._boards())

    def _maren(self) -> None:
        """The router is set going within earshot; oil goes on the trays and must come off again."""
        maren = self.scene.people.maren
        self.scene.tablet.tap(self.ago(64), "start", maren, text="honing")
        self.scene.tablet.tap(self.ago(41), "pause", maren)
        self.tap(self.ago(40), "start", maren, "router", "carve the panels")
        if self.stage.working:
            self.tap(self.ago(22), "start", maren, "oil", "oil the trays")
            self.tap(self.ago(9), "closed", maren, "oil", "oil the trays")
            return
        self.tap(self.ago(36), "start", maren, "oil", "oil the trays")
        self.tap(self.ago(24), "closed", maren, "oil", "oil the trays")
        self.tap(self.ago(10), "tended", maren, "oil", "oil the trays", choice="wipe")
        self.tap(self.ago(8), "finish", maren, "oil", "oil the trays")
        self.tap(self.ago(7), "start", maren, "router", "carve the panels")
        self.tap(self.ago(3), "pause", maren, "router", "carve the panels")

    def _seal(self) -> None:
        """Epoxy on the larder door: the next coat has three days."""
        maren = self.scene.people.maren
        self.tap(self.ago(113), "start", maren, "seal", "seal the doors")
        self.tap(self.ago(84), "closed", maren, "seal", "seal the doors")
        self.tap(self.ago(80), "pause", maren, "seal", "seal the doors")

    def _window(self) -> None:
        """A coat of quick varnish, where its window still runs now."""
        maren = self.scene.people.maren
        if self.scene.now - self.stage.at > timedelta(hours=16):
            return
        self.tap(self.ago(79), "start", maren, "window", "varnish the boxes")
        self.tap(self.ago(70), "closed", maren, "window", "varnish the boxes")
        self.tap(self.ago(67), "pause", maren, "window", "varnish the boxes")

    def _morning(self, opened_at: datetime) -> None:
        """The first minutes of a day: both makers go on where they stopped."""
        elapsed = self.scene.now - opened_at
        first_at = opened_at + min(timedelta(minutes=3), elapsed / 3)
        self._mill(first_at)
        self.tap(first_at + min(timedelta(minutes=2), elapsed / 3), "start", self.scene.people.maren,
                 "router", "carve the panels")  # fmt: skip

    def opening(self) -> None:
        """The last day begins: last night's clamps off, the thermometer read."""
        opening = self.scene.day(None, self.stage.on)[0][0]
        people, bench = self.scene.people, self.scene.rooms.bench
        self.tap(opening + timedelta(minutes=5), "unclamp", people.idris, "rounds", "inlay the lids", count=7)
        self.tap(opening + timedelta(minutes=6), "unclamp", people.maren, "cold", "glue the bends")
        at = opening + timedelta(minutes=2)
        self.scene.tablet.tap(at, "temperature", people.maren, room=bench, value_c=18.3)


def midnight(scene: Scene, on: date) -> datetime:
    """The instant at which a local day begins."""
    return hours.instant(scene.world.calendar, on, time(0))
