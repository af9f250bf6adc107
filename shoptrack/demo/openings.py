"""The open orders of the invented shop, worked up to where the story of the last days takes them over."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from shoptrack.demo.days import Crew
from shoptrack.demo.left import MIN, Spans
from shoptrack.demo.programs import attach_program
from shoptrack.demo.scene import Scene
from shoptrack.demo.works import Work, real
from shoptrack.engine.shapes import Stage


@dataclass(frozen=True)
class Opening:
    """An order that is open now: taken so many open days ago, promised so many days from today.

    No stage named in ``stops``, nor what follows one, is begun before the story says so.
    """

    key: str
    pattern: str
    title: str
    customer: str
    pieces: int
    days_ago: int
    promised_in: int
    stops: tuple[str, ...]


ROUGH_DOOR = "rough stiles, rails and panels"
SEATS = ("mill the seats", "resaw the leaves")
OPENINGS = (
    Opening("seal", "inlaid door", "larder door, elm", "Wren Sabry", 1, 14, 15, ("seal the doors",)),
    Opening("timer", "bentwood stool", "kitchen stools, ash", "Pia Larkmead", 3, 13, 9, ("sand the stools",)),
    Opening("table", "dining table", "table for ten, elm", "Odd Fellner", 1, 13, 19, ("join the halves",)),
    Opening("window", "inlaid box", "letter box, cherry", "Nell Arkwood", 1, 12, 11, ("varnish the boxes",)),
    Opening("oil", "serving tray", "six trays, ash", "the Fernside inn", 6, 11, 5, ("oil the trays",)),
    Opening("spoiled", "inlaid box", "tea boxes, cherry", "Mott & Daughter", 6, 10, 22, ("inlay the lids",)),
    Opening("rounds", "inlaid box", "boxes with leaves", "Juno Halder", 4, 10, 17, ("inlay the lids",)),
    Opening("router", "inlaid door", "two reed doors", "Ilse Quarrier", 2, 10, 3, ("carve the panels",)),
    Opening("cold", "bentwood stool", "low stools, ash", "Corvin Ade", 2, 8, 24, ("glue the bends",)),
    Opening("lumber", "serving tray", "wide trays, ash", "Yusu Brandt", 4, 6, 26, ("rough the blanks",)),
    Opening("seats", "bentwood stool", "bar stools, ash", "Bram Kestle", 4, 5, 31, SEATS),
    Opening("resting", "inlaid door", "pantry door, elm", "Tamsin Orrel", 1, 4, 38, (ROUGH_DOOR,)),
    Opening("strips", "game board", "two game boards", "Juno Halder", 2, 3, 29, ("mill the strips",)),
)  # fmt: skip


@dataclass
class LateCrew(Crew):
    """The crew of the last days: on some of them people stop early, and every clamp is seen to.

    ``until`` has, by day and person, the instant at which the story takes over.
    """

    until: dict[tuple[date, int], datetime] = field(default_factory=dict)

    def day(self, on: date) -> None:
        """A day's work up to where the story takes over; nothing is left open there."""
        super().day(on)
        for work in [w for w in self.works.values() if w.open_by is not None]:
            assert work.open_by is not None
            spans = self.hours_of(work.open_by, on)
            if spans:
                self.scene.tablet.tap(spans[-1][1], "pause", work.open_by, work.stage.id)
            work.open_by = None

    def hours_of(self, person: int, on: date) -> Spans:
        """The spans of a day up to where the story takes over."""
        spans, stop = super().hours_of(person, on), self.until.get((on, person))
        return spans if stop is None else tuple((a, min(b, stop)) for a, b in spans if a < stop)

    def _clamps_off(self, at: datetime, person: int) -> None:
        for due in sorted(d for d in self.later if d[0] <= at):
            self.later.remove(due)
            self.scene.tablet.tap(at, "unclamp", person, due[1])

    def _closing(self, person: int, work: Work, at: datetime) -> datetime:
        """In the last days nobody forgets the squeeze-out."""
        after = super()._closing(person, work, at)
        if any(m.role == "scrape" for m in work.stage.recipes[-1][1].marks):
            closed = next(t for t in reversed(self.scene.tablet.taps) if t["kind"] == "closed")
            scraped = datetime.fromisoformat(str(closed["at"])) + 30 * MIN
            self.scene.tablet.tap(scraped, "tended", person, work.stage.id, choice="scrape")
        return after


def take_orders(scene: Scene, crew: Crew, orders: Iterable[Opening], today_on: date) -> dict[str, int]:
    """Write orders down; the crew may work on what comes before their stops. Gives job ids by key."""
    jobs = {}
    for place, order in enumerate(orders):
        added_at = scene.day(None, scene.work_day(today_on, -order.days_ago))[0][0]
        promised_on = today_on + timedelta(days=order.promised_in)
        promised_on += timedelta(days=(7 - promised_on.weekday()) if promised_on.weekday() > 4 else 0)
        job = scene.add_job(order.pattern, order.title, order.customer, order.pieces, added_at, promised_on)
        attach_program(scene, job, order.pattern, order.pieces, added_at)
        jobs[order.key] = job
        stages = [s for s in scene.world.stages.values() if s.job == job]
        held = held_back(stages, order.stops)
        works = (real(s, order.pattern, scene.rng, added_at) for s in stages if s.id not in held)
        crew.add(works, today_on + timedelta(days=place))
    return jobs


def held_back(stages: Iterable[Stage], stops: Iterable[str]) -> set[int]:
    """The stages named and all that follow them."""
    held: set[int] = set()
    for stage in sorted(stages, key=lambda s: s.position):
        if stage.name in stops or any(n.stage in held for n in stage.needs):
            held.add(stage.id)
    return held


def undone(crew: Crew) -> Mapping[int, Work]:
    """What the crew was to do and has not done."""
    return {s: w for s, w in crew.works.items() if w.done_at is None and w.stage.attendance != "none"}
