"""The invented shop laid out as a problem, as it stands and later without a tap: its plans keep all rules."""

from datetime import timedelta

import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.flows.learning import learned
from shoptrack.flows.planning.laid import lay
from shoptrack.flows.shopfloor import gather, knowing
from tests.demo.conftest import TUESDAY, Make, wall


@pytest.mark.parametrize("later_h", [0, 2, 6, 9, 24, 100, 500])
@pytest.mark.parametrize("taught", [True, False])
def test_a_plan_of_the_invented_shop_keeps_all_its_rules(short: Make, later_h: int, taught: bool) -> None:
    store, now = short(TUESDAY), wall(TUESDAY) + timedelta(hours=later_h)
    known = learned(store, now) if taught else None
    laid = lay(knowing(gather(store, now), known))
    plan = build(laid.problem, range(len(laid.problem.tasks)))
    assert check(laid.problem, plan) == ()
    assert plan.left == ()
    assert len(laid.problem.orders) == 13
    assert {piece.stage for piece in laid.pieces if not piece.past} == set(laid.tasks_of)


def test_the_doubtful_joint_of_the_invented_shop_is_told(short: Make) -> None:
    laid = lay(gather(short(TUESDAY), wall(TUESDAY)))
    assert [told.sentence for told in laid.untold] == [
        "“glue the bends” may not hold: test the joint, and what follows it can be planned."
    ]
    assert len(laid.not_whole) == 1
