"""What a plan of the invented shop heeds: who does what, room at stations, overtime, what is awaited."""

from datetime import time, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.demo.openings import OPENINGS
from shoptrack.demo.scene import Scene
from shoptrack.store.awaited import add_awaited, say_came
from shoptrack.store.overtime import say_overtime
from shoptrack.store.skills import say_never
from shoptrack.store.tables import JobRow, PersonRow, StationRow

NEVER = ("drawing and programs", "carving")
"""What the part-timer leaves to the others by now."""
ROOM = {"long bench": (2, False), "spray booth": (3, True)}
"""For how many there is room, and whether work stays there until it may be worked on."""
AWAITED: tuple[tuple[str, str, str, int, int | None], ...] = (
    ("lumber", "lumber", "rough the blanks", 4, None),
    ("seats", "drawing approved", "", 2, None),
    ("strips", "deposit", "", -1, -2),
)
"""The order, what it waits for, for which stage, looked for in so many days, and come so many days ago."""
SATURDAY = 5


def write_planning(scene: Scene) -> None:
    """Say all of it as of now; the log of work knows nothing of it."""
    with scene.store.writing() as session:
        wilda = session.get_one(PersonRow, scene.people.wilda)
        say_never(session, wilda, [scene.things.kinds[kind] for kind in NEVER], scene.people.maren, scene.now)
        for name, (places, stays) in ROOM.items():
            station = session.get_one(StationRow, scene.things.stations[name])
            station.places, station.through_cure = places, stays
        _say_saturday(session, scene)
        for awaited in AWAITED:
            _await(session, scene, *awaited)


def _say_saturday(session: Session, scene: Scene) -> None:
    """Somebody comes on the next Saturday for the order that is promised first."""
    on = scene.today() + timedelta(days=1)
    while on.weekday() != SATURDAY:
        on += timedelta(days=1)
    say_overtime(
        session,
        on=on,
        opens=time(8),
        closes=time(12),
        person=scene.people.idris,
        reason=min(OPENINGS, key=lambda order: order.promised_in).title,
        who=scene.people.maren,
        now=scene.now,
    )


def _await(
    session: Session, scene: Scene, key: str, what: str, stage: str, in_days: int, came_in: int | None
) -> None:
    """Nothing where the order is not among those that are open."""
    title = next(order.title for order in OPENINGS if order.key == key)
    open_ones = select(JobRow).where(JobRow.title == title, JobRow.closed_at.is_(None))
    job = session.scalars(open_ones).one_or_none()
    if job is None:
        return
    row = add_awaited(
        session,
        job.id,
        what=what,
        stage=next((s.id for s in job.stages if s.name == stage), None),
        expected_on=scene.today() + timedelta(days=in_days),
        after=0,
        who=scene.people.maren,
        now=scene.now,
    )
    if came_in is not None:
        say_came(
            session, job.id, row.id, scene.today() + timedelta(days=came_in), scene.people.maren, scene.now
        )
