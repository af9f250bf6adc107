"""Where a task finds all it needs free, with what was taken before; worked out by hand."""

import numpy as np
import pytest

from shoptrack.engine.schedule.bench import bench_of
from shoptrack.engine.schedule.scene import Scene
from shoptrack.engine.shapes import Interruption
from shoptrack.engine.shapes.planned import Placed, Resource, Task
from tests.bench.shops import shop
from tests.engine.schedule.hands import CLOSING, DAY, LUNCH_OVER, problem

SAW = Resource("saw", 1)
CLAMPS = Resource("clamps", 4)


def scene(
    *tasks: Task, people: int = 1, resources: tuple[Resource, ...] = (), horizon: int = 30 * DAY
) -> Scene:
    return Scene(bench_of(problem(*tasks, people=people, resources=resources, horizon=horizon)))


def put(stage: Scene, n: int, low: int = 0) -> Placed:
    """Take the first place there is."""
    found = stage.first_place(n, low)
    assert found is not None
    stage.take(found)
    return found


def standing(stage: Scene) -> list[object]:
    """All that is taken, minute by minute where there are levels."""
    levels = [*stage.profiles, *stage.wet.values(), *stage.dusty.values()]
    minutes = range(0, 3 * DAY, 7)
    free = [
        [p.busy_until(m, m + 1, k) is None for m in minutes] for p in levels for k in range(1, p.capacity + 1)
    ]
    return [stage.starts, stage.ends, free]


def test_a_gap_is_filled_where_it_is_long_enough() -> None:
    """An hour from nine is taken: half an hour fits before it, an hour and a half after it."""
    stage = scene(Task(0, 60), Task(1, 60), Task(2, 90))
    stage.take(Placed(0, 60, 120, 120, (0,)))
    assert stage.first_place(1, 0) == Placed(1, 0, 60, 60, (0,))
    assert stage.first_place(1, 1) == Placed(1, 120, 180, 180, (0,))
    assert stage.first_place(2, 0) == Placed(2, 120, 210, 210, (0,))


def test_whoever_ends_first_has_it() -> None:
    """The first is busy until eleven, the second until ten."""
    stage = scene(Task(0, 180), Task(0, 120), Task(1, 30), people=2)
    put(stage, 0)
    put(stage, 1)
    assert stage.first_place(2, 0) == Placed(2, 120, 150, 150, (1,))


def test_work_that_leaves_off_at_closing_joins_what_begins_in_the_morning() -> None:
    """To the end of the day, then from opening on: one stretch, and half of it given back is free again."""
    stage = scene(Task(0, 60), Task(1, 60))
    evening = put(stage, 0, CLOSING - 60)
    morning = put(stage, 1, CLOSING)
    assert (evening.end, morning.start) == (CLOSING, DAY)
    assert (stage.starts, stage.ends) == ([[CLOSING - 60]], [[DAY + 60]])
    stage.give_back(evening)
    assert (stage.starts, stage.ends) == ([[DAY]], [[DAY + 60]])
    assert stage.first_place(0, CLOSING - 60) == evening


def test_given_back_from_the_middle_leaves_both_ends() -> None:
    stage = scene(*(Task(0, 30) for _ in range(3)))
    first, second, third = (put(stage, n) for n in range(3))
    assert (first.end, second.end, third.end) == (30, 60, 90)
    stage.give_back(second)
    assert (stage.starts, stage.ends) == ([[0, 60]], [[30, 90]])


def test_a_copy_keeps_its_own() -> None:
    """People, clamps, wet air and dusty air: what is taken in the copy is not in the first."""
    coat = Task(0, 30, uses=((0, 1),), keeps=((1, 4),), room=1, wet=60, pause="none")
    stage = scene(coat, Task(1, 30, room=1, dusty=True), resources=(SAW, CLAMPS))
    before = standing(stage)
    other = stage.copy()
    put(other, 0)
    put(other, 1)
    assert standing(stage) == before
    assert standing(other) != before


def test_clamps_are_free_when_somebody_can_take_them_off() -> None:
    """Off mark at ten in the evening: nobody has them before opening."""
    glue = [Task(n, 30, pause="none", keeps=((0, 4),), off=300) for n in (0, 1)]
    stage = scene(*glue, resources=(CLAMPS,))
    assert put(stage, 0, 450).end == 480
    assert stage.first_place(1, 450) == Placed(1, DAY, DAY + 30, DAY + 30, (0,))


def test_clamps_of_the_last_day_stay_on() -> None:
    """Nobody comes after it: they are held to the end of what is planned and beyond the mark."""
    glue = [Task(n, 30, pause="none", keeps=((0, 4),), off=600) for n in (0, 1)]
    stage = scene(*glue, resources=(CLAMPS,), horizon=29 * DAY + CLOSING)
    assert put(stage, 0, 29 * DAY).end == 29 * DAY + 30
    assert stage.first_place(1, 29 * DAY) is None


def test_with_nobody_clamps_come_off_by_the_clock() -> None:
    glue = [Task(n, 30, crew=0, keeps=((0, 4),), off=600) for n in (0, 1)]
    stage = scene(*glue, people=0, resources=(CLAMPS,))
    assert put(stage, 0).end == 30
    assert stage.first_place(1, 0) == Placed(1, 630, 630, 660, ())


def test_dust_and_wet_coats_keep_apart_in_one_room() -> None:
    """Sanding from nine to ten: a coat that is wet for an hour must be dry by nine, or waits until ten."""
    sanding, coat = Task(0, 60, room=1, dusty=True), Task(1, 30, room=1, wet=60, crew=0)
    stage = scene(sanding, coat, coat)
    stage.take(Placed(0, 60, 120, 120, (0,)))
    assert stage.first_place(1, 0) == Placed(1, 120, 120, 150, ())
    elsewhere = scene(sanding, Task(1, 30, room=2, wet=60, crew=0))
    elsewhere.take(Placed(0, 60, 120, 120, (0,)))
    assert elsewhere.first_place(1, 0) == Placed(1, 0, 0, 30, ())


def test_two_coats_may_be_wet_together_and_sanding_waits_for_both() -> None:
    coats = [Task(0, 30, room=1, wet=wet, crew=0) for wet in (60, 100)]
    stage = scene(*coats, Task(1, 30, room=1, dusty=True))
    assert [put(stage, n).start for n in (0, 1)] == [0, 0]
    assert stage.first_place(2, 0) == Placed(2, 130, 160, 160, (0,))


def test_a_crew_begins_when_the_last_of_them_is_free() -> None:
    stage = scene(Task(0, 50), Task(0, 80), Task(1, 30, crew=2), people=2)
    put(stage, 0)
    put(stage, 1)
    assert stage.first_place(2, 0) == Placed(2, 80, 110, 110, (0, 1))


@pytest.mark.parametrize(
    ("pause", "start", "end"),
    [("any", 400, DAY + 90), ("lunch", DAY, DAY + 200), ("none", DAY, DAY + 200)],
)
def test_a_watched_machine_runs_as_its_pauses_allow(pause: Interruption, start: int, end: int) -> None:
    """Twenty minutes of hands from twenty to three on, then three hours with somebody there."""
    machine = Task(0, 200, hands=20, watched=True, pause=pause)
    found = scene(machine).first_place(0, 400)
    assert found is not None
    assert (found.start, found.end) == (start, end)


def test_a_watched_machine_that_needs_no_hands_begins_when_somebody_is_there() -> None:
    found = scene(Task(0, 60, crew=0, watched=True)).first_place(0, 240)
    assert found == Placed(0, LUNCH_OVER, LUNCH_OVER, LUNCH_OVER + 60, ())


def test_what_is_in_hand_takes_its_place_though_it_is_taken() -> None:
    """Two things in one pair of hands now, five hours each over lunch; one runs on by itself."""
    stage = scene(Task(0, 300, begun=(0,)), Task(1, 300, hands=60, begun=(0,)), Task(2, 90, begun=()))
    assert stage.begun_place(0) == Placed(0, 0, 330, 330, (0,))
    assert stage.begun_place(1) == Placed(1, 0, 60, 300, (0,))
    assert stage.begun_place(2) == Placed(2, 0, 0, 90, ())
    for n in range(2):
        stage.take(stage.begun_place(n))
    assert (stage.starts, stage.ends) == ([[0]], [[330]])


def test_nothing_ends_after_the_horizon() -> None:
    stage = scene(Task(0, 60), horizon=100)
    assert stage.first_place(0, 40) == Placed(0, 40, 100, 100, (0,))
    assert stage.first_place(0, 41) is None


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_is_given_back_leaves_the_shop_as_it_was(seed: int) -> None:
    """An invented shop half planned; more is put in and taken out in another order: nothing stays."""
    bench = bench_of(shop(4, seed))
    rng = np.random.default_rng(seed)
    stage = Scene(bench)
    line = [
        n
        for n in rng.permutation(len(bench.problem.tasks)).tolist()
        if bench.crews[n] and n not in bench.fixed
    ]
    for n in line[:12]:
        put(stage, n)
    before = standing(stage)
    more = [put(stage, n) for n in line[12:24]]
    assert standing(stage) != before
    for at in rng.permutation(len(more)):
        stage.give_back(more[at])
    assert standing(stage) == before
