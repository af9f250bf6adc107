"""A job's story stick: faces by state, the pencil where it stands, branches spliced."""

from dataclasses import replace

from flask.testing import FlaskClient

from shoptrack.flows.jobs import JobLine, job_view
from shoptrack.flows.shopfloor import gather
from shoptrack.store.tables import StageRow
from shoptrack.web.job_sheet import DEEP, StickSheet, cuts, stick_of, top
from tests.joinery import NOW, BusyDay, Joinery


def stick(joinery: Joinery, job: int) -> StickSheet:
    return stick_of(job_view(gather(joinery.store, NOW), job).line)


def test_the_pencil_is_where_the_job_stands(joinery: Joinery, day: BusyDay) -> None:
    """The elm trays are in clamps; the hall door's frame is in hand."""
    drawn = stick(joinery, day.elm["job"])
    assert [d.face for d in drawn.drawn] == ["wood", "held", "paper", "paper", "paper"]
    assert drawn.pencil is not None
    assert drawn.pencil.step.stage.name == "glue-up"
    hall = stick(joinery, day.hall["job"])
    assert hall.pencil is not None
    assert hall.pencil.face == "hand"


def test_a_door_is_spliced_where_panel_and_frame_meet(joinery: Joinery, day: BusyDay) -> None:
    drawn = stick(joinery, day.hall["job"])
    (splice,) = drawn.splices
    together = next(d for d in drawn.drawn if d.step.stage.name == "put together")
    assert splice.x == together.segment.x
    assert top(1) + DEEP < drawn.height < top(2)
    assert {d.y for d in drawn.drawn} == {top(0), top(1)}


def test_stages_are_cut_in_an_order_that_can_be_worked(joinery: Joinery, day: BusyDay) -> None:
    steps = job_view(gather(joinery.store, NOW), day.hall["job"]).line.steps
    seen = set[int]()
    for cut in cuts(tuple(reversed(steps))):
        assert set(cut.needs) <= seen
        seen.add(cut.stage)


def rested(line: JobLine, state: str = "curing") -> JobLine:
    """The line with its first stage a rest of a week."""
    first = line.steps[0]
    rest = replace(first, stage=replace(first.stage, attendance="none"), usual_min=7 * 24 * 60.0, state=state)
    return replace(line, steps=(rest, *line.steps[1:]))


def test_a_rest_is_a_short_centre_line_with_its_length(joinery: Joinery, day: BusyDay) -> None:
    """Drawn as long as an hour, however many days; over, it is a line drawn through."""
    line = job_view(gather(joinery.store, NOW), day.elm["job"]).line
    drawn = stick_of(rested(line)).drawn
    assert [(d.face, d.lasts) for d in drawn[:2]] == [("rest", "7 days"), ("held", "")]
    assert stick_of(rested(line, "done")).drawn[0].face == "rested"
    hour = replace(line, steps=(replace(line.steps[0], usual_min=60.0), *line.steps[1:]))
    assert [d.segment for d in drawn] == [d.segment for d in stick_of(hour).drawn]


def test_a_rest_is_written_on_the_pages(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """The list and the job's page write how long a rest takes, and draw no box for it."""
    job, stage = day.elm["job"], day.elm["milling"]
    boxes = client.get(f"/jobs/{job}").text.count('<rect class="seg')
    with joinery.store.writing() as session:
        session.get_one(StageRow, stage).attendance = "none"
    page, listed = client.get(f"/jobs/{job}").text, client.get("/jobs").text
    assert page.count('<rect class="seg') == boxes - 1
    assert ", a rest of " in page
    for drawn in (page, listed):
        assert drawn.count('class="letters-soft halo at-middle rest-lasts"') == 1
