"""A router's own factor from its logged runs, and what its next runs are foretold to take."""

from math import exp, log

import pytest

from shoptrack.engine.shapes import Rule
from shoptrack.flows.learning import learned
from shoptrack.flows.planning.left import Foretold
from shoptrack.flows.programs import attach as flow
from shoptrack.flows.programs.pace import factor_of, foretold_runs
from shoptrack.flows.shopfloor import gather
from shoptrack.store.routers import Ran, runs_by_router
from tests.flows.programs.shop import ONE_BIT, Router
from tests.joinery import NOW, PIET, UNA, at

TOTAL = 6.6


def run_it(router: Router, minutes: int) -> None:
    """The router is set going at nine, with somebody at it all the time."""
    router.joinery.tap("start", at("9:00"), router.routing, person=PIET, insisted=True)
    router.joinery.tap("finish", at(f"9:{minutes}"), router.routing, person=PIET)


def attach_before(router: Router) -> None:
    work = flow.attach(router.store, router.job, router.routing, sent(), UNA, at("8:00"))
    for _ in work:
        pass


def sent() -> flow.Sent:
    from tests.flows.programs.shop import TWO_BITS, on_disk

    return flow.Sent(on_disk(TWO_BITS), "tray.nc")


def test_the_set_up_is_taken_off_a_run_first() -> None:
    """24 minutes with a set-up of 15 are 9 of the program's 6: half as long again, as far as one run says."""
    one, none = factor_of([Ran(24.0, 6.0, 15.0)]), factor_of([])
    assert one.runs == 1
    assert none.runs == 0
    assert none.p50 == pytest.approx(1.15)
    assert 1.15 < one.p50 < 1.5 < one.p90
    assert factor_of([Ran(24.0, 6.0, 15.0)] * 50).p50 == pytest.approx(1.5, abs=0.01)
    assert factor_of([Ran(12.0, 6.0, 15.0)]).runs == 0, "no longer than the set-up: it says nothing"


def test_only_the_newest_runs_count() -> None:
    old, new = [Ran(12.0, 6.0, 0.0)] * 500, [Ran(6.6, 6.0, 0.0)] * 100
    assert factor_of(old + new).p50 == pytest.approx(1.1, abs=0.01)


def test_a_logged_run_of_a_program_teaches(router: Router) -> None:
    attach_before(router)
    run_it(router, 25)
    with router.store.reading() as session:
        (ran,) = runs_by_router(session)[router.station]
    assert (ran.machine_min, ran.setup_min) == (pytest.approx(25.0), 15.0)
    assert ran.program_min == pytest.approx(TOTAL)


def test_a_program_that_was_attached_afterwards_teaches_nothing(router: Router) -> None:
    run_it(router, 25)
    router.attach(router.routing)
    with router.store.reading() as session:
        assert runs_by_router(session) == {}


def test_an_open_stage_is_foretold_by_its_program(router: Router) -> None:
    router.attach(router.routing)
    with router.store.reading() as session:
        kind = router.row(router.routing).kind_id
        (told,) = foretold_runs(session, {kind: 15.0}).values()
    assert exp(told.loc) == pytest.approx(15 + TOTAL * 1.15)
    assert told.scale > 0


def test_the_plan_takes_it_where_no_log_of_the_kind_says_better(router: Router) -> None:
    known = learned(router.store, NOW)
    assert known.runs == {}
    made = router.attach(router.routing)
    known = learned(router.store, NOW)
    sight = gather(router.store, NOW)
    stage = sight.world.stages[router.routing]
    foretold = Foretold(known, {router.job: None}, NOW)
    assert foretold.machine(stage, stage.quantity).loc == pytest.approx(log(15 + TOTAL * 1.15), abs=0.01)
    # of some pieces that are made again a program says nothing
    part = foretold.machine(stage, stage.quantity / 2)
    assert exp(part.loc) == pytest.approx(Rule(15, 1).minutes(stage.quantity / 2))
    flow.remove(router.store, router.job, made, UNA, NOW)
    assert learned(router.store, NOW).runs == {}


def test_two_programs_of_a_stage_are_one_run(router: Router) -> None:
    router.attach(router.routing)
    router.attach(router.routing, ONE_BIT)
    with router.store.reading() as session:
        (told,) = foretold_runs(session, {}).values()
    assert exp(told.loc) == pytest.approx((TOTAL + TOTAL - 1) * 1.15)
