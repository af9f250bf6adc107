"""What a stage waits for, said on the Bench."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from shoptrack.flows.bench import Choice, WaitsFor, bench
from shoptrack.flows.shopfloor import gather
from shoptrack.web.bench_words import early_words, on_tape, told
from shoptrack.web.render import Wall
from tests.joinery import NOW, UNA, ZONE, BusyDay, Joinery, at

WALL = Wall(zone=ZONE)


def choice(joinery: Joinery, *waits: WaitsFor) -> Choice:
    return replace(bench(gather(joinery.store, NOW), UNA, NOW).choices[0], waits=waits)


@pytest.mark.parametrize(
    ("wait", "said"),
    [
        (WaitsFor("curing", "glue-up", True, at("14:10"), None), "in clamps until 14:10"),
        (WaitsFor("curing", "oiling", False, at("9:00", 1), None), "oiling dries until tomorrow 9:00"),
        (WaitsFor("not done", "milling", False, None, None), "waits for milling"),
        (WaitsFor("clamps", "A2 glue-up", True, at("14:10"), 3), "3 clamps short until 14:10"),
        (WaitsFor("clamps", "", False, None, 1), "1 clamp short"),
        (WaitsFor("doubtful", "panel", True, None, None), "the joint of panel is in doubt"),
        (WaitsFor("station", "A2 carving", False, None, None), "A2 carving is on the machine"),
    ],
)
def test_a_wait_in_words(joinery: Joinery, day: BusyDay, wait: WaitsFor, said: str) -> None:
    assert early_words(choice(joinery, wait), NOW, WALL) == said


def test_clamps_that_may_come_off_have_no_past_hour(joinery: Joinery, day: BusyDay) -> None:
    """They could come off yesterday at 10:43 and nobody did it: they may now."""
    wait = WaitsFor("clamps", "A2 glue-up", True, at("10:43", -1), 2)
    assert early_words(choice(joinery, wait), NOW, WALL) == (
        "2 clamps short, those of A2 glue-up may come off now"
    )


def test_what_is_to_be_done_before_is_said_in_one(joinery: Joinery, day: BusyDay) -> None:
    before = [WaitsFor("not done", name, False, None, None) for name in ("milling", "glue-up")]
    assert early_words(choice(joinery, *before), NOW, WALL) == "waits for milling and glue-up"


def test_the_tape_is_told_for_when_it_was_closed(joinery: Joinery, day: BusyDay) -> None:
    """Ten minutes later by the tap: the line for ten minutes ago is earlier by as much."""
    sight = gather(joinery.store, NOW)
    now, then = (told(sight, [day.game["glue-up"]], ago, NOW, WALL) for ago in (0, 60))
    assert " off " in now
    assert now != then
    assert told(sight, [], 0, NOW, WALL) == ""


def test_a_day_by_name_within_the_week() -> None:
    now = datetime(2026, 11, 25, 18, tzinfo=UTC)
    assert on_tape(now + timedelta(days=2), now, WALL) == "Fri 13:00"
    assert on_tape(now + timedelta(days=9), now, WALL) == "4 Dec 13:00"
