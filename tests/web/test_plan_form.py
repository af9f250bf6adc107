"""The what-if form's fields to a change, each refused by its name; what can be chosen, as it is planned."""

from datetime import date, time

import pytest

from shoptrack.engine.shapes import Overtime
from shoptrack.errors import BadInput
from shoptrack.flows.planning.changes import Change, DayOff, ExtraPerson, JobFirst, MoreClamps, PinStage
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.web.plan_form import MOST_STAGES, added, choices
from tests.joinery import NOW, BusyDay, Joinery

DAY = date(2026, 12, 3)


@pytest.mark.parametrize(
    ("fields", "change"),
    [
        ({"off_person": "1", "off_on": "2026-12-03"}, DayOff(1, DAY)),
        ({"off_person": "", "off_on": "2026-12-03"}, DayOff(None, DAY)),
        (
            {"more_person": "1", "more_on": "2026-12-03", "more_opens": "17:00", "more_closes": "18:00"},
            Overtime(1, DAY, time(17), time(18)),
        ),
        ({"one_from": "2026-12-03"}, ExtraPerson(DAY, DAY)),
        ({"one_from": "2026-12-03", "one_until": "2026-12-04"}, ExtraPerson(DAY, date(2026, 12, 4))),
        ({"clamps_pool": "3", "clamps_count": "4"}, MoreClamps(3, 4)),
        ({"first_job": "7"}, JobFirst(7)),
        ({"pin_stage": "11", "pin_on": "2026-12-03", "pin_person": "2"}, PinStage(11, DAY, 2)),
    ],
)
def test_each_form_adds_its_change(fields: dict[str, str], change: Change) -> None:
    kind = next(iter(fields)).partition("_")[0]
    assert added({"add": kind, **fields}) == change


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"add": "off"}, "off_on"),
        ({"add": "off", "off_on": "2026-12-03", "off_person": "me"}, "off_person"),
        ({"add": "more", "more_on": "2026-12-03", "more_closes": "18:00"}, "more_opens"),
        ({"add": "more", "more_on": "2026-12-03", "more_opens": "17:00"}, "more_closes"),
        ({"add": "more", "more_opens": "17:00", "more_closes": "18:00"}, "more_on"),
        ({"add": "more", "more_opens": "25:00"}, "more_opens"),
        ({"add": "one", "one_until": "2026-12-03"}, "one_from"),
        ({"add": "clamps", "clamps_count": "4"}, "clamps_pool"),
        ({"add": "clamps", "clamps_pool": "3", "clamps_count": "0"}, "clamps_count"),
        ({"add": "clamps", "clamps_pool": "3", "clamps_count": "1001"}, "clamps_count"),
        ({"add": "first"}, "first_job"),
        ({"add": "pin", "pin_on": "2026-12-03"}, "pin_stage"),
        ({"add": "pin", "pin_stage": "11"}, "pin_on"),
        ({"add": "wish"}, "add"),
    ],
)
def test_what_is_missing_is_named(fields: dict[str, str], field: str) -> None:
    with pytest.raises(BadInput) as wrong:
        added(fields)
    assert wrong.value.field == field


def test_nothing_sent_adds_nothing() -> None:
    assert added({}) is None


def test_stages_can_be_chosen_in_the_order_in_which_they_are_planned(joinery: Joinery, day: BusyDay) -> None:
    """What is in hand can't be pinned any more."""
    sight = gather(joinery.store, NOW)
    found = choices(sight, plan_now(joinery.store, sight))
    assert found.people == ((1, "Una"), (2, "Piet"))
    assert found.pools == ((1, "600 mm"),)
    assert len(found.jobs) == 5
    stages = [stage for stage, _ in found.stages]
    assert day.hall["frame"] not in stages
    assert stages.index(day.letter["glue-up"]) < stages.index(day.hall["put together"])


def test_a_stage_that_was_asked_for_is_there_however_late(joinery: Joinery) -> None:
    for n in range(20):
        last = joinery.add("tray", f"tray {n}", None)
    sight = gather(joinery.store, NOW)
    planned = plan_now(joinery.store, sight)
    assert len(choices(sight, planned).stages) == MOST_STAGES
    found = choices(sight, planned, last["oiling"])
    assert last["oiling"] in dict(found.stages)
