"""What is worth doing and the chances of dates follow the plan that is shown, once the taps pause."""

from concurrent.futures import Future
from datetime import date, datetime, timedelta
from typing import Any, cast

import pytest
from sqlalchemy import delete

from shoptrack.flows.planning.foreteller import Foreteller
from shoptrack.flows.planning.outlook import last_outlooks
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.planner import Planner
from shoptrack.flows.planning.worker import JOBS
from shoptrack.flows.planning.worthwhile import hints_shown
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.due import dues_shown
from shoptrack.store.tables import ShopRow
from tests.flows.tooling.sharp import planer
from tests.joinery import NOW, Joinery


class AtOnce:
    """Stands in for a planner whose worker answers at once."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.trouble = ""

    def work_out(self, job: str, given: object) -> "Future[Any]":
        self.asked.append(job)
        found: Future[Any] = Future()
        if self.trouble:
            found.set_exception(RuntimeError(self.trouble))
        else:
            found.set_result(JOBS[job](given, lambda _: None, lambda: False))
        return found


def beside(joinery: Joinery) -> tuple[Foreteller, AtOnce, list[datetime]]:
    planner, now = AtOnce(), [NOW]
    return Foreteller(joinery.store, lambda: now[0], cast(Planner, planner)), planner, now


def test_it_waits_for_a_pause_and_tells_each_plan_once(joinery: Joinery) -> None:
    job = joinery.add("door", "one", date(2026, 12, 18))["job"]
    joinery.add("door", "two", date(2026, 12, 18))
    teller, planner, now = beside(joinery)
    assert not teller.look()
    now[0] += timedelta(seconds=4)
    assert teller.look()
    assert planner.asked == ["worthwhile", "outlook"]
    sight = gather(joinery.store, now[0])
    found = last_outlooks(joinery.store, sight)
    assert found is not None
    assert found.of[job].chance is not None
    assert not teller.look()  # the chances that were written moved the head: it is told of once more
    now[0] += timedelta(seconds=4)
    assert teller.look()
    assert hints_shown(joinery.store, plan_now(joinery.store, gather(joinery.store, now[0])).number).together
    for _ in range(3):
        now[0] += timedelta(seconds=4)
        assert not teller.look()
    assert len(planner.asked) == 4


def test_it_keeps_when_edges_are_due_and_looks_again_on_another_day(joinery: Joinery) -> None:
    knives = planer(joinery)
    knives.to_plane(18, date(2026, 12, 18))
    teller, _, now = beside(joinery)
    assert not teller.look()
    now[0] += timedelta(seconds=4)
    assert teller.look()
    assert [due.edge for due in dues_shown(joinery.store, gather(joinery.store, now[0])).of] == [knives.first]
    for _ in range(3):  # the chances that were written moved the head
        now[0] += timedelta(seconds=4)
        teller.look()
    assert not teller.look()
    now[0] += timedelta(days=1)
    assert teller.look()


def test_an_empty_shop_and_one_where_the_worker_fails(joinery: Joinery) -> None:
    teller, planner, now = beside(joinery)
    now[0] += timedelta(seconds=4)
    teller.look()
    joinery.add("door", "one", None)
    planner.trouble = "no room"
    teller.look()
    now[0] += timedelta(seconds=4)
    with pytest.raises(RuntimeError, match="no room"):
        teller.look()
    planner.trouble = ""
    assert not teller.look()  # until the next change


def test_a_shop_that_is_not_set_up_has_nothing_to_tell(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        session.execute(delete(ShopRow))
    teller, planner, now = beside(joinery)
    assert not teller.look()
    now[0] += timedelta(seconds=4)
    assert not teller.look()
    assert planner.asked == []


def test_it_starts_and_stops(joinery: Joinery) -> None:
    teller, _, _ = beside(joinery)
    teller.start()
    teller.stop()
