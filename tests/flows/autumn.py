"""A small autumn for the tests of months: work over the end of October, and a job sold in it."""

from datetime import UTC, date, datetime

from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from tests.joinery import PIET, Joinery

OCTOBER, NOVEMBER = date(2026, 10, 1), date(2026, 11, 1)


def on(day: date, clock: str) -> datetime:
    """A wall time of the small shop: four hours behind UTC until 1 November 2026, five after."""
    hour, minute = map(int, clock.split(":"))
    behind = 4 if day < date(2026, 11, 1) else 5
    return datetime(day.year, day.month, day.day, hour + behind, minute, tzinfo=UTC)


FRIDAY, MONDAY = date(2026, 10, 30), date(2026, 11, 2)


def over_the_end(joinery: Joinery) -> dict[str, int]:
    """A tray ordered in October: Una mills it from Friday 16:00 until Monday 9:00, Piet sweeps on Friday.

    Gives its stages, the job itself under "job". The clocks go back in that night of Sunday.
    """
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        edit(session, job_row(session, tray["job"]), None, on(FRIDAY, "8:00"), added_at=on(FRIDAY, "8:00"))
    joinery.tap("start", on(FRIDAY, "11:30"), person=PIET, text="sweeping")
    joinery.tap("pause", on(FRIDAY, "13:00"), person=PIET)
    joinery.tap("start", on(FRIDAY, "16:00"), tray["milling"])
    joinery.tap("finish", on(MONDAY, "9:00"), tray["milling"])
    return tray
