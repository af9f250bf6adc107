"""Plans that are nearly right: the checker finds what somebody finds who walks through every minute."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.shapes.planned import Placed, Plan, Problem, Worth
from tests.engine.schedule.minutes import Minutes, is_kept, reckoned
from tests.engine.schedule.shops import small_shop

LAST = 36 * 24 * 60
Change = Callable[[np.random.Generator, Minutes, Placed], Placed]


def moved(rng: np.random.Generator, minutes: Minutes, each: Placed) -> Placed:
    """It begins somewhat earlier or later, and takes what it takes from there."""
    start = max(0, each.start + int(rng.choice((-600, -60, -5, -1, 1, 5, 60, 600))))
    walk = minutes.walk(minutes.problem.tasks[each.task], start, each.workers)
    return Placed(each.task, start, walk.hands_end, walk.end, each.workers)


def to_another(rng: np.random.Generator, minutes: Minutes, each: Placed) -> Placed:
    """Others do it."""
    most = len(minutes.problem.workers)
    crew = tuple(int(w) for w in rng.integers(0, most, len(each.workers)))
    walk = minutes.walk(minutes.problem.tasks[each.task], each.start, crew)
    return Placed(each.task, each.start, walk.hands_end, walk.end, crew)


def stretched(rng: np.random.Generator, minutes: Minutes, each: Placed) -> Placed:
    """It ends a little off its time."""
    off = int(rng.choice((-5, -1, 1, 5)))
    if rng.random() < 0.5 and each.hands_end > each.start:
        return replace(each, hands_end=each.hands_end + off)
    return replace(each, end=each.end + off)


def fewer(rng: np.random.Generator, minutes: Minutes, each: Placed) -> Placed:
    """One of its people is gone, or there is one too many."""
    if rng.random() < 0.5:
        return replace(each, workers=each.workers[1:])
    return replace(each, workers=(*each.workers, int(rng.integers(0, len(minutes.problem.workers)))))


CHANGES: tuple[Change, ...] = (moved, moved, moved, to_another, stretched, fewer)


def changed(rng: np.random.Generator, minutes: Minutes, plan: Plan) -> Plan:
    """The plan with one task moved, lengthened or given to others, and reckoned again."""
    places = list(plan.placed)
    which = int(rng.integers(0, len(places)))
    change = CHANGES[int(rng.integers(0, len(CHANGES)))]
    places[which] = change(rng, minutes, places[which])
    return reckoned(minutes.problem, replace(plan, placed=tuple(places)))


def misreckoned(rng: np.random.Generator, plan: Plan) -> Plan:
    """One number of the plan is wrong by one, or a missed wait is not told."""
    worth, which = plan.worth, int(rng.integers(0, 3))
    if which == 0 and plan.missed:
        return replace(plan, missed=plan.missed[1:], worth=replace(worth, missed=worth.missed - 1))
    if which == 1:
        return replace(plan, worth=Worth(worth.missed, worth.late + 1, worth.flow))
    known = [n for n, at in enumerate(plan.ready) if at is not None]
    ready = list(plan.ready)
    ready[known[0]] = 1 + (plan.ready[known[0]] or 0)
    return replace(plan, ready=tuple(ready), worth=replace(worth, flow=worth.flow + 1))


def shop_and_plan(rng: np.random.Generator) -> tuple[Problem, Plan]:
    problem = small_shop(rng, int(rng.integers(1, 4)), int(rng.integers(1, 4)))
    while not problem.tasks:
        problem = small_shop(rng)
    return problem, build(problem, [int(n) for n in rng.permutation(len(problem.tasks))])


def test_the_checker_finds_what_every_minute_shows() -> None:
    """Forty shops; of each the plan that was built, and thirty that are nearly it."""
    rng = np.random.default_rng(5)
    seen: Counter[bool] = Counter()
    for shop in range(40):
        problem, plan = shop_and_plan(rng)
        minutes = Minutes(problem, LAST)
        plans = [plan, misreckoned(rng, plan)] + [changed(rng, minutes, plan) for _ in range(30)]
        for tried in plans:
            kept = is_kept(minutes, tried)
            told = check(problem, tried)
            assert (not told) == kept, (shop, told, tried)
            seen[kept] += 1
        assert check(problem, plan) == ()
    assert min(seen.values()) > 100, seen


def test_what_is_told_names_the_task_that_was_changed() -> None:
    """One task is moved and lengthened, and nothing else: a sentence names it."""
    rng = np.random.default_rng(6)
    told = 0
    for _ in range(40):
        problem, plan = shop_and_plan(rng)
        minutes = Minutes(problem, LAST)
        which = int(rng.integers(0, len(plan.placed)))
        places = list(plan.placed)
        places[which] = stretched(rng, minutes, moved(rng, minutes, places[which]))
        name = problem.tasks[places[which].task].name
        found = check(problem, reckoned(problem, replace(plan, placed=tuple(places))))
        own = [sentence for sentence in found if f"“{name}”" in sentence]
        assert found == () or own, (name, found)
        told += len(own)
    assert told > 30
