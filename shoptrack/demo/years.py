"""Eighteen months of finished jobs of the invented shop, tapped day by day."""

from dataclasses import dataclass
from datetime import date, time, timedelta

from shoptrack.demo.days import Crew
from shoptrack.demo.programs import attach_program
from shoptrack.demo.scene import Scene, opened
from shoptrack.demo.wear import Wear
from shoptrack.demo.works import real
from shoptrack.engine import hours

QUIET_DAYS = 50
"""Open days before today in which no job of the past is taken any more; they are finished by then."""

PIECES: dict[str, tuple[int, ...]] = {
    "dining table": (1,),
    "serving tray": (2, 3, 4, 6),
    "inlaid box": (1, 2, 3, 4),
    "game board": (1, 2, 3),
    "inlaid door": (1, 2),
    "bentwood stool": (2, 3, 4),
}
TITLES: dict[str, tuple[str, ...]] = {
    "dining table": ("long table, elm", "kitchen table, elm", "table for eight, elm"),
    "serving tray": ("trays, ash", "breakfast trays, ash", "wide trays, ash"),
    "inlaid box": ("boxes with leaves, cherry", "letter boxes, cherry", "tea boxes, cherry"),
    "game board": ("game boards, cherry and sycamore", "framed boards", "travel boards"),
    "inlaid door": ("reed doors, elm", "cupboard doors, elm", "pantry door, elm"),
    "bentwood stool": ("stools, ash", "bar stools, ash", "low stools, ash"),
}
CUSTOMERS = (
    "Tamsin Orrel", "Bram Kestle", "Juno Halder", "Pia Larkmead", "Corvin Ade", "Wren Sabry",
    "Odd Fellner", "Ilse Quarrier", "Mott & Daughter", "Nell Arkwood", "the Fernside inn", "Yusu Brandt",
)  # fmt: skip


@dataclass
class _Order:
    job: int
    pattern: str


def write_years(scene: Scene, wear: Wear) -> None:
    """Take orders, work and hand over, from the first day to about two months before today."""
    crew = Crew(scene, wear)
    open_orders: list[_Order] = []
    first_on, _ = opened(scene.now)
    wear.begin(scene.work_day(first_on - timedelta(days=1), 1))
    quiet_on = scene.work_day(scene.today(), -QUIET_DAYS)
    end_on = scene.work_day(scene.today(), -22)
    for on in scene.work_days(first_on, end_on):
        if on < quiet_on and len(open_orders) < 8 and scene.rng.random() < 0.22:
            open_orders.append(take_order(crew, scene, on))
        if not open_orders:
            continue
        crew.day(on)
        _hand_over(crew, scene, open_orders, on)
    closing = hours.instant(scene.world.calendar, end_on, time(0))
    scene.tablet.send(closing)
    for order in open_orders:  # whatever the years left undone was given up
        scene.close_job(order.job, closing)


def take_order(crew: Crew, scene: Scene, on: date) -> _Order:
    """A customer orders something; the job begins."""
    pattern = scene.rng.choice(list(PIECES))
    pieces = scene.rng.choice(PIECES[pattern])
    title = scene.rng.choice(TITLES[pattern])
    at = scene.day(None, on)[0][0]
    promised_on = on + timedelta(days=scene.rng.randrange(24, 46))
    job = scene.add_job(pattern, title, scene.rng.choice(CUSTOMERS), pieces, at, promised_on)
    attach_program(scene, job, pattern, pieces, at)
    stages = [s for s in scene.world.stages.values() if s.job == job]
    crew.add((real(s, pattern, scene.rng, at) for s in stages), promised_on)
    return _Order(job, pattern)


def _hand_over(crew: Crew, scene: Scene, orders: list[_Order], on: date) -> None:
    """At the end of a day send full batches, and close what is done and wholly sent."""
    evening = scene.day(None, on)[-1][1] + timedelta(hours=3)
    scene.tablet.send(evening, full=True)
    for order in [o for o in orders if not crew.left(o.job)]:
        if scene.tablet.waits({s for s, w in crew.works.items() if w.stage.job == order.job}):
            continue
        scene.close_job(order.job, evening)
        orders.remove(order)
        crew.works = {s: w for s, w in crew.works.items() if w.stage.job != order.job}
