"""Edges of the invented shop: worn by what is cut, found dull, made sharp again, and tapped as it goes."""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from math import inf, log

from shoptrack.demo.edges import KINDS, TOOLS, KindOf, ToolOf
from shoptrack.demo.scene import Plain, Scene
from shoptrack.engine.shapes import Stage, in_force

SOON = timedelta(seconds=25)
"""Between what is found of an edge and what is done about it; nobody cuts meanwhile."""
ALONG, ALONG_SHARE = 0.55, 0.5
"""An edge of more than this share of its usual life may go along to the sharpener with another."""
ROUGHS_ON, SPOILS = 0.12, 0.5
"""How often planer knives rough on for a while, and how often a dull bit is told of by a spoiled piece."""
METER_FROM_MIN = 1240 * 60
METER_PACE = 1.06
METER_DAYS_AGO = (330, 100)


@dataclass
class Blade:
    """An edge as it truly is: how long this life of it lasts, and how much of that is used up."""

    id: int
    life_h: float
    age_h: float = 0.0
    renewals: int = 0


@dataclass
class Mounted:
    """A tool with the edge that is on it, its spares, and those at the sharpener with the day they come."""

    number: int
    tool: ToolOf
    kind: KindOf
    on: Blade | None
    spares: list[Blade]
    away: list[tuple[date, Blade]] = field(default_factory=list)
    run_min: float = 0.0
    lives: int = 0

    def blades(self) -> Iterator[Blade]:
        """All of them, wherever they are."""
        yield from (self.on,) if self.on is not None else ()
        yield from self.spares
        yield from (blade for _, blade in self.away)


class Wear:
    """All tools of the shop; what is said of their edges goes to the scene's tablet."""

    def __init__(self, scene: Scene, rng: random.Random) -> None:
        self.scene, self.rng = scene, rng
        kinds = {kind.name: kind for kind in KINDS}
        self.tools: dict[int, Mounted] = {}
        for tool in TOOLS:
            number = scene.things.tools[tool.name]
            first, *others = (
                Blade(edge, self._life_h(tool)) for edge in scene.things.edges[tool.name].values()
            )
            self.tools[number] = Mounted(number, tool, kinds[tool.kind], first, others)
        self._odd_ones = {"40-tooth saw blade": self._only_dirty, "1/8 upcut bit": self._break}
        self._meter_ago = list(METER_DAYS_AGO)

    def named(self, name: str) -> Mounted:
        """A tool by its name."""
        return self.tools[self.scene.things.tools[name]]

    def begin(self, on: date) -> None:
        """On the first day it is written down what is on the tools."""
        at = self.scene.day(None, on)[0][0]
        for mounted in self.tools.values():
            self._fitted(mounted, at, self.scene.people.maren)

    # --- the days ---------------------------------------------------------------------------------------

    def morning(self, on: date) -> None:
        """What the sharpener has done is brought back, and the meter read now and then."""
        at = self.scene.day(None, on)[0][0] - timedelta(minutes=2)
        for mounted in self.tools.values():
            for back_on, blade in [one for one in mounted.away if one[0] <= on]:
                mounted.away.remove((back_on, blade))
                self._back(mounted, blade, at)
        while self._meter_ago and on >= self.scene.today() - timedelta(days=self._meter_ago[0]):
            self._meter_ago.pop(0)
            jointer = self.named("jointer knives")
            shown = round(METER_FROM_MIN + METER_PACE * jointer.run_min)
            self.tap(at, jointer, "meter", self.scene.people.idris, minutes=shown)

    def may(self, stage: Stage) -> bool:
        """Whether every tool of a stage has an edge on it."""
        return all(self.tools[tool].on is not None for tool in stage.tools)

    def runs_out(self, stage: Stage, minutes: float, at: datetime) -> bool:
        """Whether a bit goes dull within so many minutes and a piece is spoiled before anybody sees it."""
        dull = any(
            (blade := self.tools[tool].on) is not None and blade.age_h + hours > blade.life_h
            for tool, hours in self._hours(stage, minutes, at)
        )
        return dull and self.rng.random() < SPOILS

    def cut(self, stage: Stage, minutes: float, person: int, end: datetime) -> None:
        """So many minutes of a stage are done: its edges wear, and one that is dull now is found so."""
        for tool, hours in self._hours(stage, minutes, end):
            mounted = self.tools[tool]
            mounted.run_min += minutes * dict(stage.cutting)[tool]
            if mounted.on is None:
                continue
            mounted.on.age_h += hours
            if mounted.on.age_h >= mounted.on.life_h:
                self.find_dull(mounted, person, end + SOON)
            elif mounted.lives == 2 and mounted.on.age_h > 0.5 * mounted.on.life_h:
                odd = self._odd_ones.pop(mounted.tool.name, None)
                if odd is not None:
                    odd(mounted, person, end + SOON)

    def _hours(self, stage: Stage, minutes: float, at: datetime) -> Iterator[tuple[int, float]]:
        worn = () if stage.material is None else self.scene.world.wears.get(stage.material, ())
        wear = in_force(worn, at) if worn else 1.0
        for tool, share in stage.cutting:
            yield tool, minutes * share * wear / 60

    # --- what is done about an edge ---------------------------------------------------------------------

    def find_dull(self, mounted: Mounted, person: int, at: datetime, **said: Plain) -> None:
        """It is dull: sent, turned or replaced, as its kind is; what goes along goes along."""
        roughs = mounted.kind.name == "planer knives" and self.rng.random() < ROUGHS_ON
        self.tap(at, mounted, "rough only" if roughs else "found dull", person, **said)
        mounted.lives += 1
        self.renew(mounted, person, at + SOON)
        if mounted.kind.renewed == "sent":
            for other in self.tools.values():
                if self._goes_along(other):
                    self.renew(other, person, at + 3 * SOON)

    def renew(self, mounted: Mounted, person: int, at: datetime) -> None:
        """The edge on a tool is made sharp again, dull or early."""
        if mounted.kind.renewed == "sent":
            self.send(mounted, person, at)
            return
        blade, most = mounted.on, mounted.kind.most_renewals
        assert blade is not None
        turned = mounted.kind.renewed == "turned" and most is not None and blade.renewals < most
        cents = 0 if turned else mounted.kind.renew_cents * (1 if most is None else most + 1)
        self.tap(at, mounted, "turned" if turned else "replaced", person, cents=cents)
        self._sharp(mounted, blade)
        blade.renewals = blade.renewals if turned else 0

    def send(self, mounted: Mounted, person: int, at: datetime) -> None:
        """A spare goes on where there is one, and the edge that was on goes to the sharpener."""
        blade, on = mounted.on, self.scene.local_day(at)
        assert blade is not None
        mounted.on = None
        self._fit(mounted, at, person)
        asked_on = self.scene.work_day(on, mounted.kind.away_days)
        self.tap(at + SOON, mounted, "sent", person, edge=blade.id, look_again_on=asked_on.isoformat())
        late = 1 if self.rng.random() < 0.2 else 0
        mounted.away.append((self.scene.work_day(on, mounted.kind.away_days + late), blade))

    def _goes_along(self, other: Mounted) -> bool:
        """Whether an edge that still cuts leaves with a dull one, to be sharpened early."""
        if other.kind.renewed != "sent" or other.on is None or not other.spares:
            return False
        return other.on.age_h > ALONG * other.kind.usual_life_h and self.rng.random() < ALONG_SHARE

    def _back(self, mounted: Mounted, blade: Blade, at: datetime) -> None:
        person = self.scene.people.maren
        cents = round(mounted.kind.renew_cents * self.rng.uniform(0.9, 1.15) / 50) * 50
        self.tap(at, mounted, "back", person, edge=blade.id, cents=cents)
        self._sharp(mounted, blade)
        mounted.spares.append(blade)
        if mounted.on is None:
            self._fit(mounted, at + SOON, person)

    def _fit(self, mounted: Mounted, at: datetime, person: int) -> None:
        if mounted.spares:
            mounted.on = mounted.spares.pop(0)
            self._fitted(mounted, at, person)

    def _fitted(self, mounted: Mounted, at: datetime, person: int) -> None:
        assert mounted.on is not None
        self.tap(at, mounted, "fitted", person, edge=mounted.on.id)

    def _sharp(self, mounted: Mounted, blade: Blade) -> None:
        blade.age_h, blade.life_h, blade.renewals = 0.0, self._life_h(mounted.tool), blade.renewals + 1

    def _only_dirty(self, mounted: Mounted, person: int, at: datetime) -> None:
        self.tap(at, mounted, "found dull", person, text="burns in the cut")
        self.tap(at + 12 * SOON, mounted, "cleaned", person, text="pitch, nothing else")

    def _break(self, mounted: Mounted, person: int, at: datetime) -> None:
        self.tap(at, mounted, "broken", person, text="hit a brad from the fixture")
        self.renew(mounted, person, at + SOON)

    def _life_h(self, tool: ToolOf) -> float:
        """How long an edge of a tool lasts this time."""
        scale_h: float = tool.half_h / log(2) ** (1 / tool.shape)
        return self.rng.weibullvariate(scale_h, tool.shape)

    def tap(self, at: datetime, mounted: Mounted, did: str, person: int, **said: Plain) -> None:
        """Say what was done; ids are drawn apart, so that edges change nothing else in the story."""
        made = {name: value for name, value in said.items() if value}
        self.scene.tablet.tap_as(
            f"{self.rng.getrandbits(64):016x}", at, "edge", person, tool=mounted.number, choice=did, **made
        )

    # --- before the story -------------------------------------------------------------------------------

    def nothing_runs_out(self) -> None:
        """From now on no edge goes dull by itself: the story says which does."""
        for mounted in self.tools.values():
            for blade in mounted.blades():
                blade.life_h = inf
