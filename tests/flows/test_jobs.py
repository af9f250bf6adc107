"""Jobs with where they stand, a job's page, a new job, closing."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.jobs import NewJob, add, job_view, open_lines, set_closed
from shoptrack.flows.shopfloor import gather, gather_job
from tests.joinery import NOW, PIET, BusyDay, Joinery, at


def asked(pattern: int, **measures: float) -> NewJob:
    by_place = {int(name[1:]): value for name, value in measures.items()}
    return NewJob(pattern, "gate, oak", "Ivo Tarn", 2, date(2026, 12, 24), False, None, "", by_place)


def test_open_jobs_first_promised_first_those_without_a_date_last(joinery: Joinery, day: BusyDay) -> None:
    lines = open_lines(gather(joinery.store, NOW))
    assert [line.job.title for line in lines] == [
        "letter tray",
        "board game tray",
        "six trays, elm",
        "hall door, ash",
        "larder doors, sycamore",
    ]
    assert [line.late for line in lines] == [True, False, False, False, False]


def test_a_promised_day_is_past_the_day_after(joinery: Joinery) -> None:
    """Promised for this Wednesday: not late until midnight by the shop's wall."""
    joinery.add("door", "today's door", date(2026, 11, 25))
    assert not open_lines(gather(joinery.store, at("23:59")))[0].late
    assert open_lines(gather(joinery.store, at("0:01", 1)))[0].late


def test_a_line_tells_what_is_worked_on_first(joinery: Joinery, day: BusyDay) -> None:
    lines = {line.job.id: line for line in open_lines(gather(joinery.store, NOW))}
    letter = lines[day.letter["job"]]
    assert letter.telling[0].stage.name == "oiling"
    assert letter.telling[0].people == ("Piet",)
    assert letter.pencil is not None
    assert letter.pencil.stage.name == "oiling"
    assert not letter.done


def test_a_page_adds_up_the_hours(joinery: Joinery, day: BusyDay) -> None:
    """Elm trays: milling shared 75 min by rule of thumb (135 to 35), and 23 min at the glue-up."""
    view = job_view(gather_job(joinery.store, day.elm["job"], NOW), day.elm["job"])
    milling, glue = view.line.steps[0], view.line.steps[1]
    assert glue.attended_min == pytest.approx(23)
    assert 0 < milling.attended_min < 75
    assert view.attended_min == pytest.approx(milling.attended_min + glue.attended_min)
    assert view.people == ((1, "Una"), (2, "Piet"))
    assert len(view.book) == 6


def test_putting_aside_shows_why_and_when_to_look(joinery: Joinery, day: BusyDay) -> None:
    frame = day.larder["frame"]
    joinery.tap("put-aside", at("13:22"), frame, reason="hardware", look_again_on="2026-12-03", person=PIET)
    step = job_view(gather(joinery.store, NOW), day.larder["job"]).line.steps[0]
    assert step.state == "put aside"
    assert step.aside is not None
    assert (step.aside.reason, step.aside.look_again_on) == ("hardware", date(2026, 12, 3))


def test_a_job_that_is_not_there(joinery: Joinery) -> None:
    with pytest.raises(NotFound, match="no such job"):
        job_view(gather(joinery.store, NOW), 99)


def test_a_job_is_added_with_the_measures_that_differ(joinery: Joinery) -> None:
    """Two doors: 8 frame boards by the pattern, 5 of panel stock as asked."""
    job = add(joinery.store, asked(2, p2=5), NOW)
    line = job_view(gather(joinery.store, NOW), job).line
    assert [s.quantity for s in line.steps] == [8, 5, 2, 2]
    assert line.job.promised_on == date(2026, 12, 24)
    assert line.job.added_at == NOW


def test_a_job_needs_a_pattern_and_stages_that_it_has(joinery: Joinery) -> None:
    with pytest.raises(BadInput) as wrong:
        add(joinery.store, asked(9), NOW)
    assert wrong.value.field == "pattern"
    with pytest.raises(BadInput):
        add(joinery.store, asked(2, p9=1), NOW)
    assert open_lines(gather(joinery.store, NOW)) == ()


def test_closing_and_opening_again(joinery: Joinery, day: BusyDay) -> None:
    """Said twice it changes nothing; the page of a closed job can still be read."""
    job = day.hall["job"]
    set_closed(joinery.store, job, True, None, NOW)
    set_closed(joinery.store, job, True, None, at("14:00"))
    assert job not in {line.job.id for line in open_lines(gather(joinery.store, NOW))}
    closed = job_view(gather_job(joinery.store, job, NOW), job)
    assert closed.line.job.closed_at == NOW
    assert closed.book
    set_closed(joinery.store, job, False, None, NOW)
    assert job in {line.job.id for line in open_lines(gather(joinery.store, NOW))}
    with pytest.raises(NotFound):
        set_closed(joinery.store, 99, True, None, NOW)


def test_days_of_rest_are_no_hours_of_work(joinery: Joinery, day: BusyDay) -> None:
    """A stage without hands adds nothing to the usual hours that hours so far are held against."""
    sight = gather(joinery.store, NOW)
    whole = job_view(sight, day.game["job"]).usual_min
    milling = sight.world.stages[day.game["milling"]]
    stages = {**sight.world.stages, milling.id: replace(milling, attendance="none")}
    rested = replace(sight, world=replace(sight.world, stages=stages))
    assert job_view(rested, day.game["job"]).usual_min == whole - milling.rule_min(NOW)
