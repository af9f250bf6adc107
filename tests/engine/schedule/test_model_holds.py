import pytest

from shoptrack.engine.schedule import model_holds
from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.model_goals import add_goals
from shoptrack.engine.schedule.model_holds import hold_air, hold_people, hold_things
from shoptrack.engine.schedule.model_people import People
from shoptrack.engine.schedule.model_tasks import Model
from shoptrack.engine.shapes.planned import After, Placed, Problem, Resource, Task
from tests.engine.schedule.hands import DAY, problem, worker
from tests.engine.schedule.solved import takes

pytest.importorskip("ortools")


def made(shop: Problem, apart: bool = True) -> Model:
    """The model of a shop with ten days for everything."""
    plan = build(shop, ())
    model = Model(shop, plan, People(shop, apart), {n: 10 * DAY for n in range(len(shop.orders))})
    assert model.add_tasks()
    hold_people(model)
    hold_things(model)
    hold_air(model)
    add_goals(model, plan)
    return model


def hands(task: int, start: int, end: int, *workers: int) -> Placed:
    return Placed(task, start, end, end, workers or (0,))


def alone(task: int, start: int, end: int) -> Placed:
    return Placed(task, start, start, end)


def test_one_person_does_one_thing_at_a_time() -> None:
    model = made(problem(Task(0, 60), Task(0, 60)))
    assert takes(model, hands(0, 0, 60), hands(1, 60, 120))
    assert not takes(model, hands(0, 0, 60), hands(1, 59, 119))


def test_two_people_do_two_things_and_a_crew_takes_both() -> None:
    model = made(problem(Task(0, 60), Task(0, 60), Task(0, 60, crew=2), people=2))
    assert takes(model, hands(0, 0, 60, 0), hands(1, 0, 60, 1), hands(2, 60, 120, 0, 1))
    assert not takes(model, hands(0, 0, 60, 0), hands(1, 0, 60, 1), hands(2, 59, 119, 0, 1))


def test_those_who_may_are_fewer_than_those_who_are_there() -> None:
    """Two tasks that one alone may do, with people apart and without."""
    able = frozenset({1})
    for apart in (True, False):
        model = made(problem(Task(0, 60, able=able), Task(0, 60, able=able), people=2), apart)
        assert takes(model, hands(0, 0, 60, 1), hands(1, 60, 120, 1))
        assert not takes(model, hands(0, 0, 60, 1), hands(1, 30, 90, 1))


def test_who_is_off_is_not_there() -> None:
    """The second of two is off on the first day."""
    model = made(problem(Task(0, 60), Task(0, 60), workers=(worker(0), worker(1, free=(0,)))))
    assert takes(model, hands(0, DAY, DAY + 60, 0), hands(1, DAY, DAY + 60, 1))
    assert not takes(model, hands(0, 0, 60, 0), hands(1, 0, 60, 1))


def test_a_person_is_held_over_lunch() -> None:
    model = made(problem(Task(0, 60), Task(0, 10)))
    assert takes(model, hands(0, 200, 290), hands(1, 290, 300))
    assert not takes(model, hands(0, 200, 290), hands(1, 280, 290))


def test_what_is_in_hand_holds_its_person_and_its_station_even_where_there_is_none_left() -> None:
    """Two things begun at one station and by one person: the next comes after both."""
    begun = [Task(0, minutes, begun=(0,), uses=((0, 1),)) for minutes in (60, 100)]
    model = made(problem(*begun, Task(0, 10, uses=((0, 1),)), resources=(Resource("saw", 1),)))
    fixed = (hands(0, 0, 60), hands(1, 0, 100))
    assert takes(model, *fixed, hands(2, 100, 110))
    assert not takes(model, *fixed, hands(2, 99, 109))


def test_a_station_holds_so_many_and_none_while_closed() -> None:
    shop = problem(
        *(Task(0, 60, crew=0, uses=((0, amount),)) for amount in (2, 1, 1)),
        resources=(Resource("places", 3, closed=((200, 300),)),),
    )
    model = made(shop)
    assert takes(model, alone(0, 0, 60), alone(1, 0, 60), alone(2, 60, 120))
    assert not takes(model, alone(0, 0, 60), alone(1, 0, 60), alone(2, 59, 119))
    assert not takes(model, alone(0, 0, 60), alone(1, 0, 60), alone(2, 141, 201))
    assert takes(model, alone(0, 0, 60), alone(1, 0, 60), alone(2, 300, 360))


def test_clamps_hang_until_somebody_is_there() -> None:
    """Off at 16:40 where all are gone by 16:30: they hang until the next morning."""
    glue = Task(0, 10, pause="none", keeps=((0, 1),), off=60)
    model = made(problem(glue, glue, resources=(Resource("clamp", 1),)))
    assert takes(model, hands(0, 430, 440), hands(1, 500, 510))
    assert not takes(model, hands(0, 450, 460), hands(1, DAY - 1, DAY + 9))
    assert not takes(model, hands(0, 450, 460), hands(1, 500, 510))
    assert takes(model, hands(0, 450, 460), hands(1, DAY, DAY + 10))


@pytest.mark.parametrize("many", [0, 600])
def test_no_dust_while_a_coat_is_wet(many: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A coat of 10 min is wet for 30 more; sanding in the next room does not matter. By pairs and without."""
    monkeypatch.setattr(model_holds, "MANY_PAIRS", many)
    coat = Task(0, 10, room=1, wet=30, crew=0)
    dust = Task(0, 20, room=1, dusty=True, crew=0)
    model = made(problem(coat, coat, dust, Task(0, 20, room=2, dusty=True, crew=0)))
    others = (alone(0, 0, 10), alone(1, 5, 15), alone(3, 0, 20))
    assert takes(model, *others, alone(2, 45, 65))
    assert not takes(model, *others, alone(2, 44, 64))
    assert takes(model, alone(2, 0, 20), alone(0, 20, 30), alone(1, 30, 40), alone(3, 0, 20))
    assert not takes(model, alone(2, 0, 20), alone(0, 19, 29), alone(1, 30, 40), alone(3, 0, 20))


def test_sanding_between_the_coats_of_an_order_waits_until_they_are_dry() -> None:
    """Dust comes after the coat in its order, so it is clear which of them is first."""
    shop = problem(
        Task(0, 10, room=1, wet=30, crew=0), Task(0, 20, room=1, dusty=True, crew=0, after=(After(0),))
    )
    model = made(shop)
    assert takes(model, alone(0, 0, 10), alone(1, 40, 60))
    assert not takes(model, alone(0, 0, 10), alone(1, 39, 59))
