"""What is printed: a job's stages with all they need, and the list of what cures, by what comes next."""

from datetime import date, timedelta

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.jobs import set_closed
from shoptrack.flows.sheets import CuringLine, StageSheet, curing_list, job_sheet
from shoptrack.store.tables import StageRow
from tests.joinery import NOW, PIET, BusyDay, Joinery, at


def stages(joinery: Joinery, job: int) -> dict[str, StageSheet]:
    return {s.stage.name: s for s in job_sheet(joinery.store, job, NOW).stages}


def lines(joinery: Joinery, stage: int, later_min: float = 0) -> list[CuringLine]:
    found = curing_list(joinery.store, NOW + timedelta(minutes=later_min))
    return [line for line in found.lines if line.place.stage == stage]


def test_a_stage_says_what_it_follows_and_what_to_set_out(joinery: Joinery, day: BusyDay) -> None:
    found = stages(joinery, day.elm["job"])
    assert [s.step.number for s in found.values()] == [1, 2, 3, 4, 5]
    glue_up = found["glue-up"]
    assert [(a.number, a.name, a.by_rounds) for a in glue_up.after] == [(1, "milling", False)]
    assert [(c.count, c.name, c.per_piece) for c in glue_up.clamps] == [(4, "600 mm", False)]
    assert glue_up.recipe is not None
    assert glue_up.recipe.name == "bone white"
    assert glue_up.settings == ("cauls waxed",)
    assert found["inlay"].clamps[0].per_piece
    assert found["carving the well"].step.station == "router"
    assert found["oiling"].after[0].by_rounds
    assert found["oiling"].cautions == ("Oily rags heat themselves: spread them out to dry outside.",)


def test_the_size_of_the_work_is_printed_where_it_is_known(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        row = session.get(StageRow, tray["milling"])
        assert row is not None
        row.width_mm, row.length_mm = 300.0, 900.0
    found = stages(joinery, tray["job"])
    assert (found["milling"].width_mm, found["milling"].length_mm) == (300, 900)
    assert found["glue-up"].width_mm is None


def test_boxes_to_pencil_in_one_a_stage_one_a_coat_and_some_rounds(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    found = stages(joinery, tray["job"])
    assert found["milling"].boxes == ("",)
    assert found["inlay"].boxes == ("round 1", "round 2", "round 3")
    assert found["oiling"].boxes == ("coat 1", "coat 2", "coat 3")


def test_what_is_done_leaves_its_times_and_only_the_rest_to_pencil_in(joinery: Joinery, day: BusyDay) -> None:
    """The letter tray has two rounds of inlay and one coat on; the elm trays are milled since 9:20."""
    letter = stages(joinery, day.letter["job"])
    assert letter["inlay"].boxes == ("round 3", "round 4", "round 5")
    assert letter["oiling"].boxes == ("coat 2", "coat 3")
    milled = stages(joinery, day.elm["job"])["milling"]
    assert (milled.boxes, milled.started_at, milled.finished_at) == (("",), at("8:05"), at("9:20"))


def test_many_coats_share_the_lines_of_rounds(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        row = session.get(StageRow, tray["oiling"])
        assert row is not None
        row.quantity = 40
    assert len(stages(joinery, tray["job"])["oiling"].boxes) == 3


def test_a_closed_job_can_be_printed_and_one_that_is_not_there_can_not(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", date(2026, 12, 1))
    set_closed(joinery.store, tray["job"], True, None, NOW)
    assert len(job_sheet(joinery.store, tray["job"], NOW).stages) == 5
    with pytest.raises(NotFound):
        job_sheet(joinery.store, 99, NOW)


def test_the_list_is_sorted_by_what_comes_next(joinery: Joinery, day: BusyDay) -> None:
    """In doubt since yesterday; wipe off by 13:39; the trays' clamps off 13:48; inlays work from tomorrow."""
    found = curing_list(joinery.store, NOW).lines
    assert [line.place.stage for line in found] == [
        day.larder["panel glue-up"],
        day.letter["oiling"],
        day.elm["glue-up"],
        day.letter["inlay"],
    ]
    assert [line.next_at for line in found] == sorted(line.next_at for line in found)


def test_a_mark_to_meet_stands_with_its_round_once(joinery: Joinery, day: BusyDay) -> None:
    """A coat: wipe off by 13:39 is to be met; "recoat from, by" is one mark and is said once."""
    (coat,) = lines(joinery, day.letter["oiling"])
    assert coat.row is not None
    assert [m.role for m in coat.musts] == ["wipe"]
    assert [(m.role, m.until_at is not None) for m in coat.row.marks] == [("recoat", True)]


def test_of_rounds_that_read_alike_the_newest_has_the_mark(joinery: Joinery) -> None:
    tray = joinery.add("tray", "second tray", None)
    joinery.tap("start", at("13:00"), tray["inlay"], person=PIET, insisted=True)
    joinery.tap("closed", at("13:01"), tray["inlay"], person=PIET, count=2)
    joinery.tap("closed", at("13:20"), tray["inlay"], person=PIET, count=2)
    found = {
        line.row.since: [m.role for m in line.musts] for line in lines(joinery, tray["inlay"]) if line.row
    }
    assert found == {at("13:01"): [], at("13:20"): ["scrape"]}


def test_a_mark_past_stands_alone_when_its_round_cures_no_more(joinery: Joinery, day: BusyDay) -> None:
    """69 hours on nothing of the coat cures, but nobody wiped it and nobody put the next on: one line."""
    (coat,) = lines(joinery, day.letter["oiling"], later_min=69 * 60)
    assert coat.row is None
    assert [(m.role, m.missed) for m in coat.musts] == [("wipe", True), ("recoat", True)]


def test_nothing_cures(joinery: Joinery) -> None:
    assert curing_list(joinery.store, NOW).lines == ()
