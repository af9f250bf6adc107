"""What a stage waits for, and the line for the tape, as a maker reads them."""

import pytest

from shoptrack.flows.bench import bench
from shoptrack.flows.in_hand import Tape
from shoptrack.flows.shopfloor import gather
from shoptrack.web.bench_words import TOLD_MOST, early_words, line_for_tape, on_tape, told
from shoptrack.web.render import Wall
from tests.joinery import NOW, UNA, ZONE, BusyDay, Joinery, at

WALL = Wall(name="Sedge Lane Joinery", zone=ZONE)


@pytest.mark.parametrize(
    ("clock", "days", "words"),
    [("14:10", 0, "14:10"), ("8:00", 1, "Thu 8:00"), ("8:00", 6, "Tue 8:00"), ("8:00", 8, "3 Dec 8:00")],
)
def test_on_tape_days_have_names_within_the_week(clock: str, days: int, words: str) -> None:
    """Tape is read on other days too: never "tomorrow"."""
    assert on_tape(at(clock, days), NOW, WALL) == words


def test_a_line_for_the_tape() -> None:
    tape = (Tape("off", at("14:10")), Tape("flattening", at("8:00", 1)))
    assert line_for_tape("K7", tape, NOW, WALL) == "K7 off 14:10 · flattening Thu 8:00"
    assert line_for_tape("K7", (), NOW, WALL) == ""


def test_told_speaks_of_the_stages_that_are_known(joinery: Joinery, day: BusyDay) -> None:
    """Closed ten minutes ago: the marks are ten minutes nearer; a stage nobody knows says nothing."""
    sight = gather(joinery.store, NOW)
    line = told(sight, [day.game["glue-up"]], 0, NOW, WALL)
    assert line.startswith(sight.world.jobs[day.game["job"]].tag + " off ")
    assert told(sight, [day.game["glue-up"]], 10, NOW, WALL) != line
    assert told(sight, [987654], 0, NOW, WALL) == ""
    assert len(line) <= TOLD_MOST


def test_too_early_says_why(joinery: Joinery, day: BusyDay) -> None:
    """The trays' well can't be carved while their blanks are in the clamps; putting a door together needs two
    things."""
    waiting = {c.stage.id: c for c in bench(gather(joinery.store, NOW), UNA, NOW).waiting}
    assert early_words(waiting[day.elm["carving the well"]], NOW, WALL).startswith("in clamps until ")
    assert early_words(waiting[day.hall["put together"]], NOW, WALL) == "waits for frame and panel glue-up"
    assert "the joint of panel glue-up is in doubt" in early_words(
        waiting[day.larder["put together"]], NOW, WALL
    )
