"""The invented shops that the planner is measured on: what they hold, and that they can be planned."""

from collections import Counter
from dataclasses import replace

import pytest

from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.problem import trouble
from shoptrack.engine.schedule.rules import best_rule, earliest_date
from tests.bench import shops
from tests.bench.shops import BOOTH, LONG, ROUTER, SHORT, shop


def test_a_shop_is_the_same_each_time_and_another_by_its_number() -> None:
    assert shop(6, 1) == shop(6, 1)
    assert shop(6, 1) != shop(6, 2)
    for load in ("keepable", "overloaded"):
        dateless = [replace(order, due=None) for order in shop(6, 1, load).orders]
        assert dateless == [replace(order, due=None) for order in shop(6, 1).orders]


@pytest.mark.parametrize(("jobs", "seed"), [(n, seed) for n in (3, 6, 10, 30) for seed in range(3)])
def test_every_stage_of_every_shop_can_be_planned(jobs: int, seed: int) -> None:
    asked = shop(jobs, seed, "overloaded")
    assert trouble(asked) == ()
    assert 3 <= len(asked.workers) <= 6
    assert 9 <= len(asked.tasks) / jobs <= 14


def test_what_a_small_shop_is_made_of() -> None:
    """Over some shops every rule of the planner has something to hold."""
    tasks = [task for seed in range(6) for task in shop(10, seed).tasks]
    assert any(t.watched and t.able and t.hands and t.uses == ((ROUTER, 1),) for t in tasks)
    assert any(t.crew == 2 and t.pause == "none" and t.keeps and t.off for t in tasks)
    assert any(t.crew == 0 and t.work > shops.DAY for t in tasks)
    assert any(t.begun and len(t.begun) == t.crew for t in tasks)
    assert any(t.begun == () for t in tasks)
    assert any(t.latest is not None for t in tasks)
    assert any(t.dusty and t.room == shops.FINISHING for t in tasks)
    coats = [t for t in tasks if t.uses == ((BOOTH, 1),)]
    assert all(t.wet and t.room == shops.FINISHING and t.able for t in coats)
    assert any(a.greatest for t in coats for a in t.after)


def test_a_longer_clamp_stands_in_for_a_shorter() -> None:
    """Whoever takes a long one takes it from those of every reach; there are fewest of the longest."""
    asked = shop(10, 1)
    clamps = range(SHORT, LONG + 1)
    assert [asked.resources[n].capacity for n in clamps] == sorted(
        (asked.resources[n].capacity for n in clamps), reverse=True
    )
    for task in asked.tasks:
        reaches = [n for n, _ in task.keeps if n in clamps]
        assert reaches == list(range(SHORT, SHORT + len(reaches)))


def test_what_is_in_hand_fits() -> None:
    for seed in range(8):
        asked = shop(30, seed)
        begun = [task for task in asked.tasks if task.begun is not None]
        assert begun
        people = Counter(w for task in begun for w in task.begun or ())
        assert all(count == 1 for count in people.values())
        held: Counter[int] = Counter()
        for task in begun:
            held.update(dict((*task.uses, *task.keeps)))
        assert all(count <= asked.resources[thing].capacity for thing, count in held.items())


@pytest.mark.parametrize("seed", range(4))
def test_the_dates_of_one_load_can_be_kept_and_of_the_other_not(seed: int) -> None:
    """A simple rule keeps them all, or is days late; either plan keeps the rules of the shop."""
    kept, late = shop(10, seed), shop(10, seed, "overloaded")
    plan = best_rule(kept)
    assert check(kept, plan) == ()
    assert (plan.worth.missed, plan.worth.late) == (0, 0)
    assert earliest_date(late).worth.late > shops.DAY
