"""Simple rules of the trade."""

from shoptrack.engine.schedule.rules import best_rule, earliest_date, rules
from shoptrack.engine.shapes.planned import After, Order, Task
from tests.engine.schedule.hands import problem


def test_what_was_promised_first_comes_first() -> None:
    shop = problem(
        Task(0, 60), Task(1, 60), Task(2, 60), orders=(Order("a", 900), Order("b"), Order("c", 300))
    )
    assert earliest_date(shop).priority == (2, 0, 1)


def test_slack_knows_what_is_still_to_come() -> None:
    """The later date has three days of drying behind it, so its first stage comes first."""
    shop = problem(
        Task(0, 60),
        Task(1, 60),
        Task(1, 3 * 1440, crew=0, after=(After(1),)),
        orders=(Order("a", 3000), Order("b", 4000)),
    )
    assert rules(shop)["least slack"][0] == 1
    assert rules(shop)["most to come"][0] == 1
    assert rules(shop)["earliest date"][0] == 0
    assert best_rule(shop).worth.late < earliest_date(shop).worth.late or best_rule(shop).worth.late == 0


def test_short_jobs_first_where_that_is_best() -> None:
    """Without promised dates the least flow is by the shortest job (Smith 1956)."""
    shop = problem(Task(0, 200), Task(1, 20), Task(2, 100))
    assert best_rule(shop).priority == (1, 2, 0)


def test_no_job() -> None:
    assert best_rule(problem()).placed == ()
