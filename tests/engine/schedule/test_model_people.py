from shoptrack.engine.schedule.model_people import People, Pool
from shoptrack.engine.shapes.planned import Problem, Task
from tests.engine.schedule.hands import problem, worker


def three() -> Problem:
    """Two who work alike, one of whom may coat, and one who is off on the first day."""
    return problem(
        Task(0, 10),
        Task(0, 10, crew=2),
        Task(0, 10, able=frozenset({1})),
        Task(0, 10, crew=0),
        workers=(worker(0), worker(1), worker(2, free=(0,))),
    )


def test_the_same_hours_make_a_group() -> None:
    people = People(three(), apart=False)
    assert people.groups == (frozenset({0, 1}), frozenset({2}))
    assert [people.ways(task) for task in three().tasks] == [((0,), (1,)), ((0, 0), (0, 1)), ((0,),), ((),)]
    assert people.way_of((2, 0)) == (0, 1)
    assert people.choices() == 6


def test_apart_who_may_do_more_is_in_a_group_of_their_own() -> None:
    people = People(three(), apart=True)
    assert people.groups == (frozenset({0}), frozenset({1}), frozenset({2}))
    assert people.ways(three().tasks[1]) == ((0, 1), (0, 2), (1, 2))


def test_a_task_takes_from_every_pool_that_has_all_who_may_do_it() -> None:
    people, tasks = People(three(), apart=False), three().tasks
    assert people.pools == (Pool(0, frozenset({0, 1})), Pool(0, frozenset({1})), Pool(1, frozenset({2})))
    assert [people.draws(pool, tasks[0], (0,)) for pool in people.pools] == [1, 0, 0]
    assert [people.draws(pool, tasks[1], (0, 1)) for pool in people.pools] == [1, 0, 1]
    assert [people.draws(pool, tasks[2], (0,)) for pool in people.pools] == [1, 1, 0]


def test_a_crew_has_the_hours_that_it_has_in_common() -> None:
    assert People(three(), apart=False).axis((0, 1)).starts[0] == 1440


def test_hands_of_no_minutes_need_nobody() -> None:
    assert People(problem(Task(0, 10, hands=0)), apart=True).ways(Task(0, 10, hands=0)) == ((),)
