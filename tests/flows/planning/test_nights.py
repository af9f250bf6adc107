"""What cures through a night, by the log and by the plan, and clamps at the fullest moment of a day."""

from datetime import date

from shoptrack.engine.days import day_of
from shoptrack.flows.planning.lanes import Names
from shoptrack.flows.planning.nights import Curing, Held, cures_of, held_of, in_use, through
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, BusyDay, Joinery, at

TODAY = date(2026, 11, 25)


def cures(joinery: Joinery) -> tuple[Curing, ...]:
    sight = gather(joinery.store, NOW)
    planned = plan_now(joinery.store, sight)
    return cures_of(sight, planned.laid, planned.plan, Names(sight, planned.laid, planned.plan))


def test_what_cures_already_is_there_once_beside_what_is_planned(joinery: Joinery, day: BusyDay) -> None:
    """The trays' glue-up was closed 12:48; the letter tray's is still to come."""
    found = [c for c in cures(joinery) if c.named.name == "glue-up"]
    (elm,) = [c for c in found if c.named.job == day.elm["job"]]
    assert (elm.planned, elm.since, elm.clamps, elm.off_at) == (False, at("12:48"), 4, at("13:48"))
    (letter,) = [c for c in found if c.named.job == day.letter["job"]]
    assert letter.planned
    assert letter.clamps == 4
    assert letter.off_at is not None
    assert letter.next_at is not None
    assert letter.since > NOW
    assert letter.since < letter.off_at < letter.next_at == letter.until_at


def test_a_coat_has_the_day_by_which_the_next_must_be_on(joinery: Joinery, day: BusyDay) -> None:
    coats = [c for c in cures(joinery) if c.named.name == "oiling" and c.planned]
    assert any(c.by_at is not None and c.next_at is not None and c.by_at > c.next_at for c in coats)
    assert all(c.clamps == 0 and c.off_at is None for c in coats)


def test_a_night_has_what_lasts_into_it_clamps_first(joinery: Joinery, day: BusyDay) -> None:
    night = (at("17:00"), at("8:00", 1))
    found = through(cures(joinery), night)
    assert found
    assert all(c.since < night[1] and c.until_at > night[0] for c in found)
    held = [bool(c.clamps) for c in found]
    assert held == sorted(held, reverse=True)
    assert through(cures(joinery), (at("17:00", 300), at("8:00", 301))) == ()


def test_clamps_at_the_fullest_moment_never_exceed_those_owned(joinery: Joinery, day: BusyDay) -> None:
    """12 are owned; 4 on the trays, 3 on the panel in doubt and 0 to 5 more are planned today."""
    sight = gather(joinery.store, NOW)
    planned = plan_now(joinery.store, sight)
    held = held_of(planned.laid, planned.plan)
    (pool,) = in_use(planned.laid, held, day_of(sight.world.calendar, TODAY))
    assert (pool.name, pool.owned) == ("600 mm", 12)
    assert 7 <= pool.used <= 12
    assert in_use(planned.laid, held, day_of(sight.world.calendar, date(2027, 6, 1))) == ()


def test_the_fullest_moment_is_one_moment(joinery: Joinery, day: BusyDay) -> None:
    """Four from 9 to 10, three from 10 to 12 and two from 11 to 13: five at most, not nine."""
    laid = plan_now(joinery.store, gather(joinery.store, NOW)).laid
    (pool,) = laid.pool_of
    said = ((4, "9:00", "10:00"), (3, "10:00", "12:00"), (2, "11:00", "13:00"))
    held = [Held(pool, count, at(a), at(b)) for count, a, b in said]
    (found,) = in_use(laid, held, (at("0:00"), at("0:00", 1)))
    assert found.used == 5
