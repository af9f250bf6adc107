"""What the page of a job's stages shows: places, what is done, minutes, what each waits for, why it stays."""

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.stages_view import one_stage, stages_view, stamp_of
from tests.joinery import NOW, BusyDay, Joinery


def test_the_stages_as_they_stand(joinery: Joinery, day: BusyDay) -> None:
    view = stages_view(joinery.store, day.letter["job"], NOW)
    inlay = view.stages[3]
    assert (inlay.number, inlay.name, inlay.quantity, inlay.done, inlay.unit) == (4, "inlay", 10, 7, "inlays")
    assert (inlay.after, inlay.rounds, inlay.fixed) == (("carving the well",), True, "")
    assert view.newest == day.letter["oiling"]
    done = stages_view(joinery.store, day.elm["job"], NOW).stages[0]
    assert (done.state, done.stays) == ("done", "")
    assert done.fixed.startswith("It is done.")


def test_one_to_change_or_a_new_one(joinery: Joinery, day: BusyDay) -> None:
    one = one_stage(joinery.store, day.letter["job"], day.letter["inlay"], NOW)
    assert one.said is not None
    assert one.stamp == stamp_of(one.said)
    assert one_stage(joinery.store, day.letter["job"], None, NOW).said is None
    with pytest.raises(NotFound):
        one_stage(joinery.store, day.letter["job"], day.elm["inlay"], NOW)
    with pytest.raises(NotFound):
        stages_view(joinery.store, 999, NOW)
