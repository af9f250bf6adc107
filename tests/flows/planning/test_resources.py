"""What the shop has of each thing: stations with their places, clamps by reach, tools that are away."""

from dataclasses import replace

from shoptrack.engine.shapes import Station, World
from shoptrack.flows.planning.calendar import timeline
from shoptrack.flows.planning.laid import lay
from shoptrack.flows.planning.resources import Things, things_of
from tests.engine.shop import BEFORE, LONG, SHORT, Pencil, at, glue_up, shop, stage
from tests.flows.planning.laying import laid_at, planned, seen, tasks


def things(world: World, book: Pencil | None = None, when: str = "9:00") -> Things:
    sight = seen(world, book or Pencil(), when)
    return things_of(world, sight, timeline(world.calendar, at(when)), {})


def test_a_longer_clamp_may_stand_in_for_a_shorter() -> None:
    """Eight long and seven short: of the short reach there are fifteen."""
    found = things(shop(stage(1)))
    own = {found.resources[n].name: found.resources[n].capacity for _, n in found.reaches}
    assert own == {"short or longer": 15, "long": 8}
    (_, short), (_, long) = found.reaches
    assert dict(found.clamps([(LONG, 4), (SHORT, 5)])) == {short: 9, long: 4}
    assert found.clamps([(SHORT, 2), (99, 3), (LONG, 0)]) == ((short, 2),)
    assert found.enough([(SHORT, 15)])
    assert not found.enough([(LONG, 9)])
    assert found.pool_of == {short: SHORT, long: LONG}


def test_clamps_that_somebody_did_not_find_are_not_counted_on() -> None:
    """Five long ones on the wall while four are held: there are nine; two short ones, of seven: two."""
    book = Pencil()
    book.tap("8:00", "start", 1, 1)
    book.tap("8:20", "closed", 1, 1)
    book.tap("8:30", "recount", 1, pool=LONG, count=5.0)
    book.tap("8:31", "recount", 1, pool=SHORT, count=2.0)
    found = things(shop(glue_up(1)), book)
    assert found.owned == {LONG: 9, SHORT: 2}


def test_while_clamps_are_lent_what_is_owned_holds() -> None:
    """Ten short ones are held, three of them long: nobody can say from the wall what is missing."""
    world = shop(glue_up(1, clamps=glue_up(1).clamps))
    world = replace(world, pools={**world.pools, SHORT: replace(world.pools[SHORT], owned=((BEFORE, 3),))})
    book = Pencil()
    held = replace(world.stages[1], clamps=(replace(world.stages[1].clamps[0], pool=SHORT, count=5),))
    world = replace(world, stages={1: held})
    book.tap("8:00", "start", 1, 1)
    book.tap("8:20", "closed", 1, 1)
    assert things(world, book).owned == {LONG: 8, SHORT: 3}


def test_a_station_has_its_places_and_always_one() -> None:
    world = replace(
        shop(stage(1)), stations={1: Station(1, "rack", places=4), 2: Station(2, "planer", places=0)}
    )
    found = things(world)
    assert [found.resources[found.stations[n]].capacity for n in (1, 2)] == [4, 1]


def test_a_tool_that_is_away_keeps_its_stages_waiting() -> None:
    """The V-bit is at the sharpener until Thursday noon; milling goes on meanwhile."""
    world = shop(stage(1, tools=(1,)), stage(2, job=2))
    sight = seen(world, Pencil(), "9:00")
    away = lay(sight, tools_away={1: [(at("mon 8:00"), at("wed 9:00")), (at("wed 8:00"), at("thu 12:00"))]})
    tool = away.problem.resources[away.tool_of[1]]
    assert tool.closed == ((0, away.minutes(at("thu 12:00"))),)
    starts = {away.problem.tasks[p.task].stage: away.instant(p.start) for p in planned(away).placed}
    assert starts == {1: at("thu 12:45"), 2: at("9:00")}
    assert tasks(laid_at(world, "9:00"), 1)[0].uses == ()
