"""Passes cut into pieces: rounds to come, followers by rounds, pieces that go through again."""

from dataclasses import replace

import pytest

from shoptrack.engine.shapes import ClampNeed, Need, Rule, Stage, World
from shoptrack.engine.shapes.planned import After
from tests.engine.shop import ANN, QUICK, SHORT, Pencil, at, shop, stage
from tests.flows.planning.laying import laid_at, placed, planned, tasks, wall

INLAY = stage(
    1,
    "inlay",
    recipe=QUICK,
    rounds=True,
    quantity=20,
    rule=(10, 5),
    interruption="none",
    clamps=(ClampNeed(SHORT, 1, per_piece=True),),
)
FIT = stage(2, "fitting", quantity=4, rule=(0, 30), needs=(Need(1, by_rounds=True),))


def closed(count: float, *times: str) -> Pencil:
    """So many inlays closed at each of some times."""
    book = Pencil()
    for when in times:
        book.tap(when, "start", ANN, 1)
        book.tap(when, "closed", ANN, 1, count=count)
        book.tap(at(when), "pause", ANN, 1)
    return book


def test_a_follower_begins_with_the_first_round() -> None:
    """Seven short clamps, twenty inlays, four boxes: the first box is fitted while the last inlay cures.

    Each round waits two hours before its box may be worked on.
    """
    laid = laid_at(shop(INLAY, FIT), "8:00")
    rounds, boxes = laid.tasks_of[1], laid.tasks_of[2]
    assert [laid.pieces[n].count for n in rounds] == [7, 7, 6]
    assert [laid.pieces[n].count for n in boxes] == [1, 1, 2]
    assert [laid.problem.tasks[n].after[-1] for n in boxes] == [After(n, 120) for n in rounds]
    assert [t.work for t in tasks(laid, 1)] == [45, 35, 30]
    assert [t.work for t in tasks(laid, 2)] == [30, 30, 60]
    assert placed(laid, 2)[0].start == 45 + 120 < placed(laid, 1)[2].end + 120


def test_a_round_finds_a_place_in_half_a_stretch_of_work() -> None:
    """Twenty minutes an inlay: of the four and a quarter hours of an afternoon six inlays fit into half."""
    slow = replace(INLAY, rule=((at("mon 8:00"), Rule(0, 20)),))
    laid = laid_at(shop(slow), "8:00")
    assert [laid.pieces[n].count for n in laid.tasks_of[1]] == [6, 6, 6, 2]
    anytime = laid_at(shop(replace(slow, interruption="any")), "8:00")
    assert [anytime.pieces[n].count for n in anytime.tasks_of[1]] == [7, 7, 6]


def test_rounds_closed_already_count_by_their_marks() -> None:
    """Seven are dry, seven come at eleven, six are still to be glued: a box now, one at eleven, two later."""
    laid = laid_at(shop(INLAY, FIT), "10:00", closed(7, "7:50", "9:00"))
    assert [laid.pieces[n].count for n in laid.tasks_of[1]] == [6]
    assert [laid.pieces[n].count for n in laid.tasks_of[2]] == [1, 1, 2]
    now, later, last = tasks(laid, 2)
    assert (now.earliest, now.after) == (0, ())
    assert later.earliest == 60
    assert last.after[-1] == After(laid.tasks_of[1][0], 120)


def test_several_rounds_that_are_ready_are_one_piece() -> None:
    """Fourteen of twenty are dry: two boxes at once, without a stop between them."""
    laid = laid_at(shop(INLAY, FIT), "15:00", closed(7, "8:00", "9:10"))
    assert [laid.pieces[n].count for n in laid.tasks_of[2]] == [2, 2]


def test_who_follows_the_whole_waits_for_the_last_round() -> None:
    laid = laid_at(shop(INLAY, replace(FIT, needs=(Need(1),))), "8:00")
    assert [t.after for t in tasks(laid, 2)] == [(After(laid.tasks_of[1][-1], 120),)]


def test_who_follows_by_rounds_a_stage_that_is_done_at_once() -> None:
    plain = replace(INLAY, clamps=())
    laid = laid_at(shop(plain, FIT), "8:00")
    assert [t.after for t in tasks(laid, 2)] == [(After(laid.tasks_of[1][0], 120),)]


@pytest.fixture
def spoiled() -> World:
    return shop(stage(1), stage(2, "carving", after=(1,)), stage(3, "sanding", after=(2,)), pieces=6)


def test_spoiled_pieces_go_through_again(spoiled: World) -> None:
    """Two of six spoiled while carving: milled again for two, carved again after that; sanding takes all.

    The rest of the carving is four pieces, and needs no milling.
    """
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("9:00", "finish", ANN, 1)
    book.tap("9:00", "start", ANN, 2)
    book.tap("9:10", "spoil", ANN, 2, count=2.0, out_of=6.0, way_back=1, cause="tear-out")
    book.tap("9:20", "pause", ANN, 2)
    laid = laid_at(spoiled, "10:00", book)
    assert [(laid.pieces[n].redo, laid.pieces[n].count) for n in laid.tasks_of[1]] == [(1, 2)]
    first, again = laid.tasks_of[2]
    assert [(laid.pieces[n].redo, laid.pieces[n].count) for n in (first, again)] == [(0, 4), (1, 2)]
    assert laid.problem.tasks[first].after == ()
    assert laid.problem.tasks[again].after == (After(laid.tasks_of[1][0], 0),)
    (sanding,) = tasks(laid, 3)
    assert {after.task for after in sanding.after} == {first, again}
    planned(laid)


def test_what_is_done_or_closed_to_the_last_is_no_piece() -> None:
    laid = laid_at(shop(INLAY, FIT), "15:00", closed(20, "8:00"))
    assert laid.tasks_of.keys() == {2}


def test_stages_that_wait_for_each_other_by_rounds_are_told_by_the_problem() -> None:
    """A ring, which no form lets in: no endless search, each is said to wait for itself."""
    one: Stage = replace(INLAY, needs=(Need(2, by_rounds=True),))
    laid = laid_at(shop(one, FIT), "8:00")
    assert len(laid.problem.tasks) >= 2
    planned(laid)


def test_the_morning_after_a_glue_up_at_four() -> None:
    """Glued at four in the afternoon it cures overnight: worked from opening on (common practice, no source).

    Sixteen hours of wait, and the next morning at eight they are over.
    """
    overnight = replace(QUICK, marks=(replace(QUICK.marks[1], from_min=16 * 60.0),))
    world = shop(replace(INLAY, quantity=1, clamps=(), recipes=((at("mon 8:00"), overnight),)), FIT)
    laid = laid_at(world, "15:45")
    assert placed(laid, 1)[0].end == wall(laid, "16:00")
    assert placed(laid, 2)[0].start == wall(laid, "wed 8:00")
