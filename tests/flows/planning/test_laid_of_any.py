"""Any shop with any log, laid out at any minute: plans keep all rules, and nothing that is left gets lost."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from random import Random

import pytest

from shoptrack.engine.shapes import Awaited, ClampNeed, Need, Pin, Stage, Station, World
from shoptrack.flows.planning.ground import left_of
from shoptrack.flows.planning.laid import Laid
from shoptrack.flows.shopfloor import Sight
from tests.engine.shop import ANN, BEN, CLEO, LONG, OIL, PVA, QUICK, SHORT, Pencil, at, shop, stage
from tests.flows.planning.laying import laid_at, planned, seen

COUNT = 40
KINDS = (
    "start",
    "start",
    "start",
    "pause",
    "closed",
    "finish",
    "round",
    "unclamp",
    "spoil",
    "put-aside",
    "recount",
)


def any_stage(rng: Random, number: int, job: int, before: list[int]) -> Stage:
    """A stage that needs some of those before it in its job."""
    needs = tuple(
        Need(n, rng.random() < 0.4, rng.choice((0.0, 0.0, 45.5)), rng.choice((None, None, 3000.0)))
        for n in rng.sample(before, min(len(before), rng.randint(0, 2)))
    )
    attendance = rng.choice(("hands-on",) * 6 + ("within earshot", "none"))
    clamps = tuple(
        ClampNeed(rng.choice((LONG, SHORT)), rng.randint(1, 3), rng.random() < 0.5)
        for _ in range(rng.randint(0, 2))
    )
    return stage(
        number,
        job=job,
        rule=(rng.choice((0, 10)), rng.choice((0, 4, 15))),
        quantity=rng.choice((1, 3, 6.5, 12)),
        needs=needs,
        attendance=attendance,
        interruption=rng.choice(("any", "lunch", "none")),
        rounds=rng.random() < 0.4,
        station=rng.choice((None, 1, 2, 3)),
        room=rng.choice((None, 1)),
        clamps=clamps,
        recipes=rng.choice(((), ((at("mon 8:00"), rng.choice((PVA, QUICK, OIL))),))),
        people=rng.choice((1, 1, 1, 2)),
        dusty=rng.random() < 0.4,
        kind_id=rng.randint(1, 4),
    )


def any_world(rng: Random) -> World:
    stages, before = [], dict[int, list[int]]()
    for number in range(1, rng.randint(4, 14)):
        own = before.setdefault(rng.randint(1, 4), [])
        job = next(j for j, of in before.items() if of is own)
        stages.append(any_stage(rng, number, job, own))
        own.append(number)
    world = shop(*stages, c=rng.choice((20.0, 20.0, 9.0)), night_c=rng.choice((None, 12.0)))
    people = {
        p: replace(who, never=frozenset(rng.sample((1, 2, 3, 4), rng.randint(0, 2))))
        for p, who in world.people.items()
    }
    days = [date(2026, 3, day) for day in (9, 11, 12, 20)]
    awaited = tuple(
        Awaited(n, s.job, "boards", rng.choice((None, s.id)), rng.choice(days), rng.choice((None, *days)))
        for n, s in enumerate(rng.sample(stages, min(2, len(stages))))
        if rng.random() < 0.4
    )
    pinned = rng.choice(stages)
    pins = (
        {pinned.id: Pin(pinned.id, rng.choice(days), rng.choice((None, ANN)))} if rng.random() < 0.4 else {}
    )
    rack = Station(3, "rack", places=2, through_cure=True)
    stations = {**world.stations, 2: Station(2, "planer", 1, makes_dust=True), 3: rack}
    return replace(world, people=people, awaited=awaited, pins=pins, stations=stations)


def any_log(rng: Random, world: World) -> Pencil:
    book, when = Pencil(), at("mon 8:00")
    for _ in range(rng.randint(0, 40)):
        when += timedelta(minutes=rng.choice((1, 7, 20, 45, 200)))
        any_tap(rng, world, book, when)
    return book


def any_tap(rng: Random, world: World, book: Pencil, when: datetime) -> None:
    kind, person, said = rng.choice(KINDS), rng.choice((ANN, BEN, CLEO)), dict[str, object]()
    chosen = rng.sample(sorted(world.stages), min(len(world.stages), rng.choice((1, 1, 1, 2))))
    if kind in ("closed", "round", "spoil"):
        said["count"] = rng.choice((None, 1.0, 2.0)) if kind != "spoil" else 1.0
    if kind == "spoil":
        said |= {"out_of": 4.0, "way_back": chosen[0], "cause": "wood"}
    if kind == "put-aside":
        said |= {"reason": "lumber", "look_again_on": rng.choice((None, date(2026, 3, 12)))}
    if kind == "recount":
        said |= {"pool": LONG, "count": float(rng.randint(0, 9))}
    if kind == "pause":
        said["goes_on"] = rng.random() < 0.5
    book.tap(when, kind, person, *(() if kind == "recount" else chosen), **said)


@pytest.mark.parametrize("seed", range(COUNT))
def test_a_plan_of_any_shop_keeps_all_rules(seed: int) -> None:
    rng = Random(seed)
    world = any_world(rng)
    book = any_log(rng, world)
    now = at("mon 8:00") + timedelta(minutes=rng.randint(0, 4 * 24 * 60))
    laid = laid_at(world, now, book)
    plan = planned(laid)
    assert len(plan.placed) + len(plan.left) == len(laid.problem.tasks)
    holds_all_that_is_left(laid, seen(world, book, now))


def holds_all_that_is_left(laid: Laid, sight: Sight) -> None:
    """Of every stage either all that is left is a task, or its job is said not to be planned as a whole."""
    for own in sight.world.stages.values():
        left = sum(work.quantity - work.count_done for work in left_of(sight, own))
        cut = sum(laid.pieces[n].count for n in laid.tasks_of.get(own.id, ()))
        assert cut == pytest.approx(left) or (not cut and own.job in laid.not_whole)
    for n, own_shares in enumerate(laid.parts):
        drawn = own_shares and not laid.pieces[n].past
        assert bool(drawn) == (not laid.pieces[n].past and not is_rest(sight, laid, n))


def is_rest(sight: Sight, laid: Laid, n: int) -> bool:
    return sight.world.stages[laid.pieces[n].stage].attendance == "none"
