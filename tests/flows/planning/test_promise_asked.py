"""What the engine is asked of a quote: the shop with it, waiting for its answer, and without."""

from datetime import date, timedelta

import pytest

from shoptrack.flows.planning.promise_asked import ANSWER_DAYS, question
from shoptrack.store.shop import shop_row
from tests.flows.quoting.shop import made, out, price_all, tray
from tests.joinery import NOW, Joinery


@pytest.fixture
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def test_the_quote_comes_behind_what_is_open_and_waits_for_its_answer(joinery: Joinery, wood: int) -> None:
    job = joinery.add("door", "door", date(2026, 12, 4))["job"]
    quote = made(joinery, tray(joinery, wood))
    asked = question(joinery.store, quote, NOW)
    problem = asked.laid.problem
    assert asked.counted_on == date(2026, 11, 25) + timedelta(days=ANSWER_DAYS)
    assert [order.job for order in problem.orders] == [job, -quote]
    assert (asked.order, asked.weighed, asked.with_it.taken) == (1, 0, ())
    own = [n for n, task in enumerate(problem.tasks) if task.order == 1]
    rank = {task: at for at, task in enumerate(asked.with_it.priority)}
    assert min(rank[n] for n in own) > max(rank[n] for n in range(len(problem.tasks)) if n not in own)
    opening = asked.laid.line.opens(asked.counted_on)
    assert all(problem.tasks[n].earliest >= opening for n in own if not problem.tasks[n].after)
    assert len(asked.without.problem.orders) == 1
    assert len(asked.with_it.jobs) == len(asked.without.jobs) + 1


def test_others_that_are_out_come_behind_it_with_the_chance_that_the_shop_says(
    joinery: Joinery, wood: int
) -> None:
    out(joinery, tray(joinery, wood), "a" * 32)
    quote = made(joinery, tray(joinery, wood), "b" * 32)
    with joinery.store.writing() as session:
        shop_row(session).weigh_quotes_bp = 3000
    asked = question(joinery.store, quote, NOW)
    assert (asked.order, asked.weighed, asked.with_it.taken) == (0, 1, (0.3,))
    assert [order.job for order in asked.laid.problem.orders] == [-quote, -1]
