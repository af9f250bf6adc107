"""Whose hands a task takes and how long: in hand, done together, set down, running, resting."""

from dataclasses import replace

import pytest

from shoptrack.engine.shapes import Person, World
from shoptrack.engine.shapes.planned import Task
from shoptrack.flows.planning.laid import Laid
from tests.engine.shop import ANN, BEN, CLEO, Pencil, at, shop, stage
from tests.flows.planning.laying import laid_at, placed, planned, tasks

ROUTING = stage(
    1, "carving", attendance="within earshot", station=1, rule=(15, 1), quantity=85, hands_at_min=(20.0,)
)


def only(laid: Laid, number: int) -> Task:
    (found,) = tasks(laid, number)
    return found


def worker(laid: Laid, person: int) -> int:
    return laid.worker_of[person]


def test_what_is_not_begun_takes_its_rule_of_thumb_shared_by_its_people() -> None:
    """An hour by one; a long panel wants two for half an hour each."""
    laid = laid_at(shop(stage(1), stage(2, people=2)), "9:00")
    assert [(t.work, t.crew, t.hands, t.begun) for n in (1, 2) for t in tasks(laid, n)] == [
        (60, 1, None, None),
        (30, 2, None, None),
    ]
    shares = [laid.parts[n][0] for n in (0, 1)]
    assert [(s.share, s.people) for s in shares] == [(1.0, 1), (1.0, 2)]
    assert [laid.draws[s.draw].stage for s in shares] == [1, 2]


def test_what_is_in_hand_is_theirs_with_what_is_left() -> None:
    """Twenty of sixty minutes spent: some forty left, in Ann's hands from now on."""
    book = Pencil()
    book.tap("8:40", "start", ANN, 1)
    laid = laid_at(shop(stage(1), stage(2, job=2)), "9:00", book)
    task = only(laid, 1)
    assert (task.begun, task.crew, task.after) == ((worker(laid, ANN),), 1, ())
    assert 38 <= task.work <= 46
    draw = laid.draws[laid.parts[laid.tasks_of[1][0]][0].draw]
    assert draw.part.spent_min == 20
    assert placed(laid, 1)[0].start == 0


def test_two_at_one_stage_share_what_is_left() -> None:
    """Ann since half past eight, Ben since a quarter to nine: 45 minutes given, the rest by both."""
    book = Pencil()
    book.tap("8:30", "start", ANN, 1)
    book.tap("8:45", "start", BEN, 1)
    laid = laid_at(shop(stage(1, quantity=12)), "9:00", book)
    task = only(laid, 1)
    assert task.begun == (worker(laid, ANN), worker(laid, BEN))
    assert task.crew == 2
    share = laid.parts[0][0]
    part = laid.draws[share.draw].part
    assert (part.spent_min, share.people) == (45, 2)
    assert 37 <= task.work <= 48


def test_done_together_it_ends_together() -> None:
    """Three jobs' boards through the planer at once: Ann is at all of them for the sum of their minutes."""
    book = Pencil()
    book.tap("8:59", "start", ANN, 1, 2, 3)
    world = shop(*(stage(n, job=n, station=2) for n in (1, 2, 3)), stage(4, job=1, after=(1,)))
    laid = laid_at(world, "9:00", book)
    first, second, third = (only(laid, n) for n in (1, 2, 3))
    assert first.begun == (worker(laid, ANN),)
    assert (second.begun, second.crew, second.watched) == ((), 0, True)
    assert first.work == second.work == third.work
    assert 176 <= first.work <= 181
    assert [len(laid.parts[laid.tasks_of[n][0]]) for n in (1, 2, 3)] == [3, 3, 3]
    plan = planned(laid)
    assert {placed(laid, n, plan)[0].end for n in (1, 2, 3)} == {placed(laid, 1, plan)[0].end}
    assert placed(laid, 4, plan)[0].start >= placed(laid, 1, plan)[0].end


def test_two_people_may_be_at_several_things_each() -> None:
    """Ann is at two stages at once, Ben with her at the second: that one is Ben's, for what is left of it."""
    book = Pencil()
    book.tap("8:50", "start", ANN, 1, 2)
    book.tap("8:55", "start", BEN, 2)
    laid = laid_at(shop(stage(1), stage(2, job=2)), "9:00", book)
    assert [only(laid, n).begun for n in (1, 2)] == [(worker(laid, ANN),), (worker(laid, BEN),)]
    planned(laid)


def test_a_job_that_was_closed_while_somebody_was_at_it_is_left_out() -> None:
    book = Pencil()
    book.tap("8:50", "start", ANN, 1, 2)
    world = shop(stage(1), stage(2, job=2))
    closed = replace(world, jobs={**world.jobs, 2: replace(world.jobs[2], closed_at=at("8:55"))})
    laid = laid_at(closed, "9:00", book)
    assert only(laid, 1).begun == (worker(laid, ANN),)
    assert laid.tasks_of.keys() == {1}


def test_set_down_it_is_anybody_s() -> None:
    """Ann left it after half of its hour: somewhat more than that is left, and Ben may take it."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:30", "pause", ANN, 1)
    laid = laid_at(shop(stage(1)), "9:00", book)
    assert only(laid, 1).begun is None
    assert 30 <= only(laid, 1).work <= 40


def test_in_the_hands_of_somebody_who_left_the_shop_it_is_anybody_s() -> None:
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    world = shop(stage(1))
    world = replace(world, people={**world.people, ANN: Person(ANN, "Ann", retired=True)})
    assert only(laid_at(world, "8:30", book), 1).begun is None


def test_a_machine_is_set_up_by_hand_and_then_watched() -> None:
    """A hundred minutes from its start, the first fifteen of them in somebody's hands."""
    task = only(laid_at(shop(ROUTING), "9:00"), 1)
    assert (task.work, task.hands, task.crew, task.watched) == (100, 15, 1, True)


@pytest.mark.parametrize(("goes_on", "begun"), [(True, ()), (False, None)])
def test_a_running_machine_needs_nobody_s_hands(goes_on: bool, begun: tuple[int, ...] | None) -> None:
    """Set up at eight and left running: the rest of its program; stopped, it wants to be started again."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "pause", ANN, 1, goes_on=goes_on)
    laid = laid_at(shop(ROUTING), "8:50", book)
    task = only(laid, 1)
    assert task.begun == begun
    assert task.watched
    if goes_on:
        assert (task.work, task.hands_min) == (50, 0)
    else:
        assert (task.work, task.hands) == (80, 1)
    planned(laid)


def test_a_machine_in_somebody_s_hands_frees_them_after_its_set_up() -> None:
    """Ten of fifteen minutes of set-up are over."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    laid = laid_at(shop(ROUTING, stage(2, job=2)), "8:10", book)
    task = only(laid, 1)
    assert (task.begun, task.hands) == ((worker(laid, ANN),), 5)
    assert task.work == 90


def resting(*, after: tuple[int, ...] = ()) -> World:
    rest = stage(2, "rest", attendance="none", rule=(0, 24 * 60), quantity=3, after=after)
    return shop(stage(1), rest, stage(3, "milling", after=(2,)))


def test_a_rest_takes_its_days_on_the_wall() -> None:
    """Roughed by ten, three days of rest over the weekend or not: milled on Friday."""
    laid = laid_at(resting(after=(1,)), "thu 9:00")
    rest = only(laid, 2)
    assert (rest.work, rest.crew, rest.begun, rest.watched) == (3 * 24 * 60, 0, None, False)
    assert laid.parts[laid.tasks_of[2][0]] == ()
    assert laid.instant(placed(laid, 3)[0].start) == at("nextmon 8:00")


def test_a_rest_under_way_has_its_rest() -> None:
    """Begun on Monday at noon, it ends on Thursday at noon; looked at on Tuesday at nine."""
    book = Pencil()
    book.tap("mon 11:00", "start", ANN, 1)
    book.tap("mon 12:00", "finish", ANN, 1)
    laid = laid_at(resting(after=(1,)), "9:00", book)
    rest = only(laid, 2)
    assert (rest.begun, rest.work) == ((), laid.minutes(at("thu 12:00")))
    assert laid.instant(placed(laid, 3)[0].start) == at("thu 12:45")


def test_a_rest_that_is_over_is_no_task() -> None:
    book = Pencil()
    book.tap("mon 11:00", "start", ANN, 1)
    book.tap("mon 12:00", "finish", ANN, 1)
    laid = laid_at(resting(after=(1,)), "fri 9:00", book)
    assert laid.tasks_of.keys() == {3}
    assert only(laid, 3).earliest == 0


def test_who_may_not_do_a_kind_is_not_given_it() -> None:
    """Cleo never carves; milling is everybody's."""
    world = shop(stage(1, "carving", kind_id=5), stage(2, kind_id=6))
    people = {**world.people, CLEO: Person(CLEO, "Cleo", never=frozenset({5}))}
    laid = laid_at(replace(world, people=people), "9:00")
    assert only(laid, 1).able == frozenset({worker(laid, ANN), worker(laid, BEN)})
    assert only(laid, 2).able is None
