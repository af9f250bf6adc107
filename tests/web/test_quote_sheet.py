"""A kept quote as it is drawn: its price on the scale of its cost, its stages on one scale, what is left."""

import pytest

from shoptrack.flows.quoting.wanted import Wanted, WantedLine
from shoptrack.flows.quoting.work_out import judged_at
from shoptrack.web.quote_sheet import drawn_of, leaves_of
from tests.flows.quoting.shop import price_all, tray, worked_out
from tests.joinery import Joinery


@pytest.fixture(autouse=True)
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def test_the_stages_share_one_scale(joinery: Joinery, wood: int) -> None:
    kept = worked_out(joinery, tray(joinery, wood))
    drawn = drawn_of(kept)
    assert [s.number for s in drawn.stages] == [1, 2, 3, 4, 5]
    assert max(s.hands.p90.x for s in drawn.stages if s.hands) == 97
    longest = max(kept.worked.stages, key=lambda s: s.hands_min.p90)
    assert next(s for s in drawn.stages if s.hands and s.hands.p90.x == 97).work.stage.name == longest.name
    assert [p.name for p in drawn.stick] == [s.name for s in kept.made.stages]
    assert drawn.money.price.amount == kept.judged.price_cents


def test_what_is_left_adds_up(joinery: Joinery, wood: int) -> None:
    """At the price asked and at any other: cost and what is left make the price."""
    kept = worked_out(joinery, tray(joinery, wood))
    for judged in (kept.judged, judged_at(kept, 12_345)):
        found = leaves_of(kept.worked.cents, judged)
        assert [line.cost_cents + line.left_cents for line in found] == [judged.price_cents] * 3
        assert [line.cost_cents for line in found] == sorted(line.cost_cents for line in found)
        assert all((line.left_cents < 0) == ((line.margin or 0) < 0) for line in found)


def test_what_is_only_bought_has_no_hours(joinery: Joinery) -> None:
    wanted = Wanted("Odile Marr", "glue", bought=(WantedLine("other", "glue", 2, cents_each=500),))
    drawn = drawn_of(worked_out(joinery, wanted))
    assert (drawn.stages, drawn.stick) == ((), ())
    assert drawn.money.cost.p10.x == drawn.money.cost.p90.x
    assert drawn.money.cost.p90.amount == 1000
