"""A stage in the plan: when and by whom, its cure, why it is not there; pinned, moved and let go."""

from datetime import date

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.planning.at_stage import AtStage, pin, unpin
from shoptrack.flows.planning.shown import show_stage
from shoptrack.store.edits import history
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery

TODAY = date(2026, 11, 25)
MONDAY = date(2026, 11, 30)


def look(joinery: Joinery, stage: int) -> AtStage:
    return show_stage(joinery.store, NOW, stage)


def test_a_stage_in_hand_has_its_turn_now(joinery: Joinery, day: BusyDay) -> None:
    found = look(joinery, day.hall["frame"])
    assert [(t.on, t.name, t.piece.named.in_hand) for t in found.turns] == [(TODAY, "Una", True)]
    assert found.pin is None
    assert dict(found.people) == {UNA: "Una", PIET: "Piet"}


def test_a_glue_up_has_its_cure(joinery: Joinery, day: BusyDay) -> None:
    (cure,) = look(joinery, day.letter["glue-up"]).cures
    assert cure.off_at is not None
    assert cure.next_at is not None


def test_a_stage_that_can_not_be_planned_says_why(joinery: Joinery, day: BusyDay) -> None:
    found = look(joinery, day.larder["panel glue-up"])
    assert found.turns == ()
    assert any("may not hold" in words for words in found.why_not)


def test_a_pin_moves_the_stage_to_its_day_and_person(joinery: Joinery, day: BusyDay) -> None:
    """The letter tray's glue-up, planned for today: Piet shall begin it on Monday."""
    stage = day.letter["glue-up"]
    assert look(joinery, stage).turns[0].on == TODAY
    assert pin(joinery.store, stage, MONDAY, PIET, TODAY, UNA, NOW)
    found = look(joinery, stage)
    assert found.pin is not None
    assert [(t.on, t.name, t.piece.named.pinned) for t in found.turns] == [(MONDAY, "Piet", True)]
    assert unpin(joinery.store, stage, UNA, NOW)
    assert look(joinery, stage).turns[0].on == TODAY
    with joinery.store.reading() as session:
        lines = [e for e in history(session, "stages", stage) if e.field == "pinned"]
    assert [(e.before, e.after) for e in lines] == [(None, "2026-11-30 Piet"), ("2026-11-30 Piet", None)]


def test_a_day_that_is_over_is_refused(joinery: Joinery, day: BusyDay) -> None:
    with pytest.raises(BadInput, match="That day is over") as wrong:
        pin(joinery.store, day.hall["put together"], date(2026, 11, 24), None, TODAY, UNA, NOW)
    assert wrong.value.field == "on"


def test_a_stage_that_is_not_there(joinery: Joinery, day: BusyDay) -> None:
    with pytest.raises(NotFound):
        look(joinery, 9999)
