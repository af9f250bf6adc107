"""A job's story stick: faces by state, the pencil where it stands, branches spliced."""

from shoptrack.flows.jobs import job_view
from shoptrack.flows.shopfloor import gather
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
