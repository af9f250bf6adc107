"""The drawings of the Floor: one axis for all cures, dials only where something is counting down."""

from datetime import timedelta

from shoptrack.flows.floor import floor
from shoptrack.flows.shopfloor import gather
from shoptrack.web.floor_sheet import FloorSheet, draw, main_mark, reach
from tests.joinery import NOW, BusyDay, Joinery, at


def sheet(joinery: Joinery, later_min: float = 0) -> FloorSheet:
    return draw(floor(gather(joinery.store, NOW + timedelta(minutes=later_min))))


def test_dials_count_the_last_hour_only(joinery: Joinery, day: BusyDay) -> None:
    """At 13:24 the oil is to be wiped off by 13:39; a mark that was missed has no dial."""
    by_role = {(m.miss.role, m.miss.place.tag): m for m in sheet(joinery).misses}
    wipe = next(m for (role, _), m in by_role.items() if role == "wipe")
    assert wipe.left_min == 15
    assert wipe.dial
    assert all(not m.dial for m in by_role.values() if m.miss.missed or not m.miss.soon)


def test_clamps_are_hatched_until_they_may_come_off(joinery: Joinery, day: BusyDay) -> None:
    """Closed at 12:48, off from 13:48 by the warmth of the afternoon."""
    held = next(c for c in sheet(joinery).cures if c.row.place.job == day.elm["job"])
    assert held.line.clamps_to is not None
    assert held.line.clamps_to > 0
    later = next(c for c in sheet(joinery, 25).cures if c.row.place.job == day.elm["job"])
    assert later.row.may_off
    assert later.line.clamps_to is None


def test_the_lettered_mark_is_the_one_waited_for(joinery: Joinery, day: BusyDay) -> None:
    for cured in sheet(joinery).cures:
        if cured.main:
            assert cured.main.role in ("work", "recoat")
    assert main_mark(()) is None


def test_the_axis_ends_while_somebody_is_here(joinery: Joinery, day: BusyDay) -> None:
    """Glue of the afternoon is ready in the night: the axis goes on into the morning after it."""
    drawn = sheet(joinery)
    assert drawn.axis is not None
    night = at("3:00", 1)
    assert reach(drawn.view, [night]) == at("10:00", 1)
    assert reach(drawn.view, [at("15:00")]) == at("15:00")
    assert reach(drawn.view, [night, at("12:00", 9)]) == at("10:00", 1)


def test_nothing_cures_and_nothing_is_drawn(joinery: Joinery) -> None:
    drawn = sheet(joinery)
    assert drawn.axis is None
    assert drawn.cures == drawn.ticks == drawn.misses == ()


def test_people_who_are_away_have_no_line(joinery: Joinery, day: BusyDay) -> None:
    assert [p.at_work.name for p in sheet(joinery).people] == ["Una", "Piet"]
    at_night = draw(floor(gather(joinery.store, NOW - timedelta(days=3))))
    assert at_night.people == ()
    assert [p.name for p in at_night.away] == ["Una", "Piet"]
