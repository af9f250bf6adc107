"""What tasks are made from: the passes with work left, the room and the waits of a stage."""

from dataclasses import replace

from shoptrack.flows.planning.ground import done_of, left_of
from tests.engine.shop import ANN, BEFORE, OIL, PVA, Pencil, at, glue_up, shop, stage
from tests.flows.planning.laying import laid_at, planned, seen, tasks

COATS = stage(1, "finishing", recipe=OIL, rounds=True, quantity=3)


def test_a_pass_has_work_left_until_all_of_it_is_closed() -> None:
    """Three coats: one on, all on but nobody said done, done."""
    book = Pencil()
    world = shop(COATS)
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1, count=1.0)
    sight = seen(world, book, "9:00")
    (work,) = left_of(sight, COATS)
    assert (work.quantity, done_of(work)) == (3, 1)
    book.tap("9:10", "closed", ANN, 1, count=2.0)
    assert left_of(seen(world, book, "9:20"), COATS) == []
    book.tap("9:30", "finish", ANN, 1)
    assert not left_of(seen(world, book, "wed 9:40"), COATS)


def test_a_room_s_warmth_is_that_of_its_stage() -> None:
    """The same glue in a cold room waits longer than in a warm one; so does a plan."""
    world = shop(glue_up(1), glue_up(2, job=2, room=2))
    cold = replace(
        world.rooms[1],
        id=2,
        profiles=tuple(
            (at, replace(p, heated_c=(15.0,) * 12, unheated_c=(15.0,) * 12))
            for at, p in world.rooms[1].profiles
        ),
    )
    laid = laid_at(replace(world, rooms={**world.rooms, 2: cold}), "9:00")
    (warm,), (other,) = tasks(laid, 1), tasks(laid, 2)
    assert (warm.room, other.room) == (1, 2)
    assert warm.off == 60 < other.off
    assert warm.tail == 24 * 60 < other.tail
    planned(laid)


def test_without_rooms_it_is_one_room() -> None:
    world = replace(shop(COATS, stage(2, job=2, dusty=True)), rooms={})
    laid = laid_at(world, "9:00")
    assert {task.room for task in laid.problem.tasks} == {0}
    planned(laid)


def test_the_recipe_in_force_says_how_long_it_waits() -> None:
    """From tomorrow on another glue is used; today's plan goes by today's."""
    later = replace(PVA, marks=(replace(PVA.marks[2], from_min=60.0),))
    two = replace(glue_up(1), recipes=((BEFORE, PVA), (at("wed 8:00"), later)))
    assert tasks(laid_at(shop(two), "9:00"), 1)[0].tail == 24 * 60
    assert tasks(laid_at(shop(two), "wed 9:00"), 1)[0].tail == 60
