from dataclasses import replace

from shoptrack.engine.schedule.model_alike import AWAY, alike
from shoptrack.engine.shapes.planned import Task
from tests.engine.schedule.hands import DAY, LUNCH_OVER, problem, worker


def test_a_day_off_becomes_a_task_for_each_stretch_of_it() -> None:
    shop = problem(Task(0, 30), workers=(worker(0, days=3), worker(1, days=3, free=(1,))))
    seen = alike(shop, 3 * DAY)
    assert seen.workers[1].spans == seen.workers[0].spans == shop.workers[0].spans
    assert [(t.earliest, t.latest, t.work, t.able, t.stage) for t in seen.tasks[1:]] == [
        (DAY, DAY, 240, frozenset({1}), AWAY),
        (DAY + LUNCH_OVER, DAY + LUNCH_OVER, 240, frozenset({1}), AWAY),
    ]
    assert {t.order for t in seen.tasks[1:]} == {1}
    assert seen.orders[1].due is None


def test_only_absences_that_matter_are_told() -> None:
    shop = problem(Task(0, 30), workers=(worker(0, days=9), worker(1, days=9, free=(1, 7))))
    assert len(alike(shop, 3 * DAY).tasks) == 3


def test_mornings_only_is_away_in_the_afternoon() -> None:
    half = replace(worker(1, days=2), spans=((0, 240), (DAY, DAY + 180)), days=(0, 1))
    seen = alike(problem(Task(0, 30), workers=(worker(0, days=2), half)), 2 * DAY)
    told = [(t.earliest, t.earliest + t.work) for t in seen.tasks[1:]]
    assert told == [(270, 510), (DAY + 180, DAY + 240), (DAY + 270, DAY + 510)]


def test_other_hours_stay_other_hours() -> None:
    """Who has lunch at another time has no day in which one's hours hold the other's."""
    late = replace(worker(1, days=2), spans=((0, 260), (290, 510)), days=(0, 0))
    shop = problem(Task(0, 30), workers=(worker(0, days=2), late))
    assert alike(shop, 2 * DAY) == shop


def test_who_has_something_in_hand_is_not_away_before_it_is_done() -> None:
    """200 minutes in the hands of somebody who leaves after 60: the rest of this day is not told."""
    short = replace(
        worker(1, days=2), spans=((0, 60), (DAY, DAY + 240), (DAY + 270, DAY + 510)), days=(0, 1, 1)
    )
    begun = Task(0, 200, begun=(1,))
    told = [t.earliest for t in alike(problem(begun, workers=(worker(0, days=2), short)), 2 * DAY).tasks[1:]]
    assert told == [LUNCH_OVER]


def test_a_shop_without_people_stays_as_it_is() -> None:
    shop = problem(Task(0, 5, crew=0), workers=())
    assert alike(shop, DAY) == shop
