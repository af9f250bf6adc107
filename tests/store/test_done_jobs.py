"""Jobs that were promised and are done."""

from datetime import date

from shoptrack.store.done_jobs import DoneJob, done_jobs
from shoptrack.store.jobs import close_job, job_row
from tests.joinery import NOW, Joinery


def test_done_on_the_day_of_delivery_else_of_closing(joinery: Joinery) -> None:
    """One closed, one delivered earlier, one called off, one not promised, one open."""
    closed, delivered, off, open_one = (
        joinery.add("door", f"door {n}", date(2026, 11, 27))["job"] for n in range(4)
    )
    free = joinery.add("door", "no date", None)["job"]
    with joinery.store.writing() as session:
        job_row(session, delivered).delivered_on = date(2026, 11, 23)
        for job in (closed, delivered, free):
            close_job(session, job, NOW)
        close_job(session, off, NOW, called_off_why="moved away")
    with joinery.store.reading() as session:
        found = done_jobs(session)
    assert found == (
        DoneJob(closed, date(2026, 11, 27), date(2026, 11, 25)),
        DoneJob(delivered, date(2026, 11, 27), date(2026, 11, 23)),
    )
    assert open_one not in {each.job for each in found}
