"""Days of a plan as they are drawn: one scale of hours, lunch a gap, nights of 14 and of 16 hours."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from shoptrack.flows.planning.lanes import Lane
from shoptrack.flows.planning.nights import Curing
from shoptrack.flows.planning.view import Night
from shoptrack.web.plan_drawing import Scale, day_lines, scale_of
from tests.web.planned import GLUE, WALL, at, day, hours, named, piece, shut, view

NINE = Scale(timedelta(hours=8), timedelta(hours=9))


def test_the_scale_holds_all_hours_in_whole_hours() -> None:
    """8:00 to 17:00; somebody who begins at 6:40 on Thursday widens it for all days."""
    assert scale_of((day(), day(1)), WALL) == NINE
    early = day(1, lanes=(Lane(1, "Una", ((at("6:40", 1), at("14:10", 1)),), (), 0.0),))
    assert scale_of((day(), early), WALL) == Scale(timedelta(hours=6), timedelta(hours=11))
    assert scale_of((shut(3),), WALL) == NINE


def test_work_is_a_line_with_lunch_a_gap_and_its_length_on_it() -> None:
    """9:00 to 14:00 with half an hour of lunch; the next begins where it ends, and bounds its label."""
    una = day_lines(day(), view(), NINE, WALL, 6).lanes[0]
    first, second = una.pieces
    assert first.stretches == ((11.11, 44.44), (50.0, 66.67))
    assert (first.length, first.length_at) == ("4 h 30", 27.77)
    assert first.label_width == round(66.67 - 11.11, 2)
    assert (second.x, second.length) == (66.67, "")
    assert second.label_width > 30
    assert una.hours == ((0.0, 44.44), (50.0, 100.0))


def test_now_is_drawn_today_alone() -> None:
    assert day_lines(day(), view(), NINE, WALL, 6).now_x == 60.0
    assert day_lines(day(1), view(), NINE, WALL, 6).now_x is None


def test_a_machine_that_runs_by_itself_has_a_line_of_its_own() -> None:
    (run,) = day_lines(day(), view(), NINE, WALL, 6).runs
    assert (run.x, run.to_x, run.run.named.station) == (77.78, 88.89, "router")
    assert (run.until, run.runs_on) == ("16:00", False)


def test_a_machine_that_runs_on_past_the_day_says_on_which_it_ends() -> None:
    (run,) = day_lines(day(), view(), NINE, WALL, 6).runs
    longer = replace(run.run, to_at=at("8:30", 1))
    (run,) = day_lines(day(runs=(longer,)), view(), NINE, WALL, 6).runs
    assert (run.to_x, run.until, run.runs_on) == (100.0, "Thu 8:30", True)


def test_a_cure_is_drawn_across_its_night_and_off_it_where_it_lasts() -> None:
    """Closed 16:30, before the night of 17:00 to 8:00; clamps off 18:30; it goes on at 8:30, after it."""
    night = day_lines(day(), view(), NINE, WALL, 6).night
    assert night is not None
    assert night.lasts == "15 h"
    (cure,) = night.cures
    assert (cure.x, cure.clamps_to, cure.to_x, cure.runs_on) == (0.0, 10.0, 100.0, True)
    assert cure.ticks == (10.0,)


def test_a_night_draws_so_many_cures_and_counts_the_rest() -> None:
    """Five glue-ups, three of them drawn."""
    cures = tuple(replace(GLUE, named=named(tag=f"K{n}")) for n in range(5))
    night = day_lines(day(night=Night(at("17:00"), at("8:00", 1), cures)), view(), NINE, WALL, 3).night
    assert night is not None
    assert (len(night.cures), night.more) == (3, 2)


def test_a_rest_without_clamps_has_no_hatching() -> None:
    rest = Curing(named(name="rest"), at("9:00"), 0, None, at("7:00", 1), None, planned=True)
    night = day_lines(day(night=Night(at("17:00"), at("8:00", 1), (rest,))), view(), NINE, WALL, 6).night
    assert night is not None
    (cure,) = night.cures
    assert (cure.clamps_to, cure.to_x, cure.runs_on) == (None, 93.33, False)


def test_the_night_in_which_the_clocks_change_is_as_long_as_it_is() -> None:
    """1 November 2026 in New York has 25 hours: from Saturday 17:00 to Sunday 8:00 are 16."""
    saturday = datetime(2026, 10, 31, tzinfo=UTC)
    spans = ((saturday + timedelta(hours=12), saturday + timedelta(hours=21)),)
    opens = datetime(2026, 11, 1, 13, tzinfo=UTC)
    row = day(lanes=(Lane(1, "Una", spans, (), 0.0),), runs=(), night=Night(spans[0][1], opens, ()))
    lines = day_lines(row, view(), NINE, WALL, 6)
    assert lines.night is not None
    assert lines.night.lasts == "16 h"
    assert lines.lanes[0].hours == ((0.0, 100.0),)


def test_the_hours_of_a_day_whose_clock_changes_in_the_night_stay_where_they_are() -> None:
    """Sunday 1 November: 8:00 is nine hours after midnight, and at the left edge all the same."""
    sunday = datetime(2026, 11, 1, 13, tzinfo=UTC)
    worked = ((sunday, sunday + timedelta(hours=4)),)
    row = day(lanes=(Lane(1, "Una", worked, (), 0.0),), runs=(), night=None)
    lines = day_lines(row, view(), NINE, WALL, 6)
    assert lines.lanes[0].hours == ((0.0, 44.44),)
    assert [WALL.local(t.at).hour for t in lines.hours] == list(range(8, 18))


def test_a_day_without_work_has_no_lines() -> None:
    lines = day_lines(shut(3), view(), NINE, WALL, 6)
    assert (lines.lanes, lines.night, lines.hours) == ((), None, ())


def test_a_stretch_of_a_quarter_of_an_hour_keeps_room_for_its_tag() -> None:
    """Two in a row: the first label is cut at the second, which gives way to its tag."""
    both = (piece(named(), ("9:00", "9:15")), piece(named("B3"), ("9:15", "9:30")))
    lines = day_lines(day(lanes=(Lane(1, "Una", hours(), both, 0.0),)), view(), NINE, WALL, 6)
    first, second = lines.lanes[0].pieces
    assert (first.label_x, first.label_width) == (11.11, 2.78)
    assert (second.x, second.label_x, second.label_width) == (13.89, 15.11, 84.89)
    assert [(each.last, each.tight) for each in (first, second)] == [(False, True), (True, False)]
