"""What the invented shop wrote down for next time, and the months that it has closed."""

from datetime import date, datetime, time, timedelta

from shoptrack.demo.scene import Scene
from shoptrack.engine import hours
from shoptrack.flows.last_times import keep_for_next_time
from shoptrack.flows.month_figures import next_month
from shoptrack.flows.months import close_month, next_to_close
from shoptrack.store.jobs import closed_jobs

TROUBLE = {
    "glue the blanks": "two boards crept: dry cauls first, then the bars",
    "oil the trays": "left on over lunch; had to be cut back with white spirit",
    "carve the panels": "the bit lifted the grain at the reeds; the second pass at half depth was clean",
    "inlay the lids": "a hair of gap at the tips: run the pockets 0.1 under, not 0.2",
    "mill the strips": "snipe on the short ones; sent through on a carrier board since",
    "glue the bends": "sprang back twice what was allowed; the form is cut closer now",
    "glue the two halves": "the middle bar was a turn short; set it out before spreading",
    "fit the legs": "shoulders by hand, a shaving at a time; the jig is on the wall",
}
LOOKED_BACK = 30
CLOSED_UNTIL_DAYS = 40


def write_remembered(scene: Scene) -> None:
    """Keep what went wrong at stages of the last finished jobs, and close the months that are long over."""
    wanted = dict(TROUBLE)
    with scene.store.reading() as session:
        stages = [
            (stage.id, stage.name, job.closed_at)
            for job in closed_jobs(session, LOOKED_BACK)
            for stage in job.stages
        ]
    people = list(scene.world.people)
    for stage, name, closed_at in stages:
        if name in wanted and closed_at is not None:
            who = people[stage % len(people)]
            keep_for_next_time(scene.store, stage, wanted.pop(name), who, closed_at)
    _close_months(scene, people[0])


def _close_months(scene: Scene, who: int) -> None:
    long_over_on = scene.today() - timedelta(days=CLOSED_UNTIL_DAYS)
    while True:
        with scene.store.reading() as session:
            first_on = next_to_close(session, scene.now)
        if next_month(first_on) > long_over_on:
            return
        close_month(scene.store, first_on, who, _soon_after(scene, next_month(first_on)))


def _soon_after(scene: Scene, on: date) -> datetime:
    """A few days into the next month, before the bench work begins."""
    return hours.instant(scene.world.calendar, on + timedelta(days=3), time(7))
