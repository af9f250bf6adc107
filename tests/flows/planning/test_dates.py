"""Jobs against their promised days: working days late and early, the late ones first, what is not planned."""

from datetime import date, timedelta

from shoptrack.flows.planning.dates import JobDate, job_dates, late_days, working_days
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, BusyDay, Joinery

FRIDAY, MONDAY = date(2026, 11, 27), date(2026, 11, 30)


def dates(joinery: Joinery) -> tuple[JobDate, ...]:
    sight = gather(joinery.store, NOW)
    planned = plan_now(joinery.store, sight)
    return job_dates(sight, planned.laid, planned.plan)


def test_working_days_skip_the_weekend(joinery: Joinery) -> None:
    calendar = gather(joinery.store, NOW).world.calendar
    assert working_days(calendar, FRIDAY, MONDAY) == 1
    assert working_days(calendar, MONDAY, FRIDAY) == -1
    assert working_days(calendar, FRIDAY, FRIDAY) == 0
    assert working_days(calendar, FRIDAY, FRIDAY + timedelta(days=14)) == 10
    assert working_days(calendar, FRIDAY, FRIDAY + timedelta(days=1)) == 0


def test_the_late_ones_lead_and_the_latest_leads_them(joinery: Joinery, day: BusyDay) -> None:
    """The letter tray was promised for yesterday; the larder doors have no date."""
    found = dates(joinery)
    late = [line.late for line in found]
    assert late == sorted(late, reverse=True)
    days = [line.days or 0 for line in found if line.late]
    assert days == sorted(days, reverse=True)
    assert next(line for line in found if line.job == day.letter["job"]).late
    assert late_days(found) == sum(days)


def test_a_job_without_a_date_is_never_late(joinery: Joinery, day: BusyDay) -> None:
    larder = next(line for line in dates(joinery) if line.job == day.larder["job"])
    assert (larder.promised_on, larder.days, larder.late) == (None, None, False)


def test_a_job_of_which_a_joint_is_in_doubt_is_not_whole(joinery: Joinery, day: BusyDay) -> None:
    found = {line.job: line.whole for line in dates(joinery)}
    assert found[day.larder["job"]] is False
    assert found[day.hall["job"]] is True


def test_late_on_the_very_day_counts_as_one_day() -> None:
    line = JobDate(1, "K7", "", FRIDAY, False, NOW, FRIDAY, 0, late=True, whole=True)
    assert late_days((line,)) == 1
    assert late_days(()) == 0


def test_a_shop_without_a_job_has_no_dates(joinery: Joinery) -> None:
    assert dates(joinery) == ()
