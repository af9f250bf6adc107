from datetime import time

from shoptrack.demo.people import BENCH_ROOM, FINISH_ROOM, MACHINE_ROOM, SHOP
from shoptrack.engine import hours
from shoptrack.flows.shopfloor import gather
from shoptrack.store.shop import shop_row
from tests.demo.conftest import TUESDAY, Make, wall


def test_the_shop_says_that_it_is_a_demo(short: Make) -> None:
    with short(TUESDAY).reading() as session:
        row = shop_row(session)
    assert (row.name, row.is_demo) == (SHOP, True)


def test_the_part_timer_works_three_short_days(short: Make) -> None:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    wilda = next(p.id for p in world.people.values() if p.name == "Wilda")
    day = wall("2026-11-16T00:00").date()
    minutes = [
        sum((b - a).total_seconds() / 60 for a, b in hours.day_spans(world.calendar, wilda, day))
        for day in (day.replace(day=n) for n in range(16, 23))
    ]
    assert minutes == [0, 300, 300, 300, 0, 0, 0]


def test_the_shop_has_its_lunch(short: Make) -> None:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    noon = wall("2026-11-24T12:15")
    assert not hours.is_working(world.calendar, None, noon)
    assert hours.local(world.calendar, noon).time() == time(12, 15)


def test_days_off_are_the_shops_and_peoples_own(short: Make) -> None:
    off = gather(short(TUESDAY), wall(TUESDAY)).world.calendar.off
    assert any(o.person is None and (o.last_on - o.first_on).days == 6 for o in off)
    assert any(o.person is not None for o in off)


def test_only_the_machine_room_falls_below_a_glues_limit_in_winter() -> None:
    """PVA's lower limits, 7 and 10 °C, lie within 40–55 °F (trade sources)."""
    assert min(MACHINE_ROOM.unheated_c) < 7
    assert min(BENCH_ROOM.unheated_c) > 15
    assert min(FINISH_ROOM.unheated_c) > 15
