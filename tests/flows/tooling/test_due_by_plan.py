"""When edges are due by a plan: walked by hand where every hour is known, and moved when the plan moves."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

import pytest

from shoptrack.engine.edge_life import Life, learn
from shoptrack.engine.shapes import Edge, EdgeKind, EdgeStands, Rack, ToolStands, World
from shoptrack.flows.planning.laid import lay
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.tooling.due import DueOf, Dues, Known
from shoptrack.flows.tooling.due_by_plan import cutting_edge, dues_of, open_days
from tests.engine.shop import CALENDAR, Pencil, shop, stage
from tests.flows.planning.laying import planned, seen

V_BIT = 1
TUESDAY = date(2026, 3, 10)
SENT = EdgeKind(1, "V bit", usual_life_h=10.0, away_days=2)
HERE = replace(SENT, renewed="here", away_days=0)


def edge(number: int, hours: float = 0.0, where: str = "fitted", **more: object) -> EdgeStands:
    made = EdgeStands(Edge(number, V_BIT, f"edge {number}"), where, None, hours, hours)  # type: ignore[arg-type]
    return replace(made, **more)  # type: ignore[arg-type]


def rack(*edges: EdgeStands) -> Mapping[int, ToolStands]:
    fitted = next((each for each in edges if each.where == "fitted"), None)
    return {V_BIT: ToolStands(V_BIT, fitted, edges)}


def known(kind: EdgeKind = SENT, lately_h: float = 0.0) -> Known:
    """So many lives of ten hours that hardly anything else is believed."""
    return Known("V-bit", kind, 10.0, learn([Life(10.0, True)] * 200, 10.0), lately_h)


def long_ones(*hours: float) -> World:
    """Jobs one after another that one person does, each so many hours of the bit."""
    stages = [stage(n, job=n, quantity=6 * h, tools=(V_BIT,)) for n, h in enumerate(hours, 1)]
    world = shop(*stages)
    return replace(world, people={1: world.people[1]})


def dues(world: World, *edges: EdgeStands, of: Known | None = None, when: str = "8:00") -> Dues:
    sight = seen(world, Pencil(), when)
    laid = lay(sight)
    shown = Planned(laid, planned(laid), sight.now, 7, sight.head)
    return dues_of(sight, shown, Rack(sight.now, rack(*edges), {}), {V_BIT: of or known()})


def one(world: World, *edges: EdgeStands, of: Known | None = None) -> DueOf:
    return next(each for each in dues(world, *edges, of=of).of if each.edge == 1)


def days(found: DueOf) -> tuple[int | None, ...]:
    said = (found.p10_on, found.p50_on, found.p90_on)
    return tuple(None if on is None else (on - TUESDAY).days for on in said)


def test_an_edge_is_due_on_the_day_on_which_what_is_planned_uses_it_up() -> None:
    """Eight hours and a quarter a day; at the middle 10 hours are left of it: on the second day."""
    found = one(long_ones(8, 8, 8, 8), edge(1))
    assert days(found)[1] == 1
    assert found.p10_on is not None
    assert found.p50_on is not None
    assert found.p90_on is not None
    assert found.p10_on <= found.p50_on <= found.p90_on
    assert found.chance_dull == pytest.approx(0.0, abs=1e-9)
    assert found.life_h.p50_h == pytest.approx(10.0, rel=0.05)


def test_what_it_has_run_brings_it_nearer() -> None:
    assert days(one(long_ones(8, 8, 8, 8), edge(1, 9.5)))[1] == 0


def test_nothing_planned_and_nothing_cut_lately_is_never_due() -> None:
    found = one(shop(stage(1)), edge(1, 5.0))
    assert (days(found), found.send_by_on, found.gap, found.cuts) == ((None,) * 3, None, None, ())
    assert found.soon_on is None


def test_beyond_the_plan_the_last_weeks_go_on() -> None:
    """Nothing is planned with it; lately it cut two hours a working day: ten are over on the fifth after.

    The plan ends today, so the first such day is Wednesday: Tuesday next.
    """
    found = one(shop(stage(1)), edge(1), of=known(lately_h=2.0))
    assert days(found)[1] == 7


def test_the_same_plan_gives_the_same_days_and_another_plan_others() -> None:
    """A job that comes before them moves the day nearer; one that is taken away, further."""
    two = one(long_ones(4, 4), edge(1, 3.0), of=known(lately_h=0.5))
    assert one(long_ones(4, 4), edge(1, 3.0), of=known(lately_h=0.5)) == two
    more, less = (one(long_ones(*h), edge(1, 3.0), of=known(lately_h=0.5)) for h in ((4, 4, 8), (4,)))
    assert more.p50_on is not None
    assert two.p50_on is not None
    assert less.p50_on is not None
    assert more.p50_on <= two.p50_on < less.p50_on


def test_it_must_leave_so_many_working_days_before_it_is_due() -> None:
    """Due on Monday week or so; two working days away, so it leaves before, and is back by then."""
    found = one(long_ones(3, 1), edge(1, 2.0), of=known(lately_h=0.5))
    assert found.gap is not None
    assert found.send_by_on == found.gap.from_on
    assert found.p50_on is not None
    between = open_days(CALENDAR, found.gap.from_on, found.gap.back_on - found.gap.from_on)
    assert len(between) == 3, "it leaves on the first and is back on the third working day"
    assert found.gap.back_on <= found.p50_on
    assert not found.send_late


def test_too_late_to_be_back_in_time_it_leaves_today_and_stages_wait() -> None:
    found = one(long_ones(4, 8, 8, 8), edge(1, 9.0))
    assert (found.send_by_on, found.send_late) == (TUESDAY, True)
    assert found.gap is not None
    assert found.gap.back_on == TUESDAY + timedelta(days=2)
    assert not found.covered_by_spare
    assert [place.stage for place in found.waits] == [1, 2, 3], "the last begins on Wednesday afternoon"


def test_a_spare_covers_the_gap_where_it_lasts_for_what_is_planned() -> None:
    """In two days some sixteen hours are cut: a spare with eighteen to go covers them, a worn one doesn't."""
    world, long_lived = long_ones(8, 8, 8), Known("V-bit", SENT, 20.0, learn([Life(20.0, True)] * 200, 20.0))
    worn, good = (one(world, edge(1, 18.0), edge(2, hours, "spare"), of=long_lived) for hours in (15.0, 0.5))
    assert good.covered_by_spare
    assert not good.waits
    assert not worn.covered_by_spare
    assert worn.waits


@pytest.mark.parametrize(
    ("other", "covered"),
    [
        (edge(2, 0.0, "spare", dull=True), False),
        (edge(2, 0.0, "spare", dull=True, rough_only=True), False),
        (edge(2, 0.0, "broken"), False),
        (edge(2, 30.0, "away", back_on=TUESDAY), True),
        (edge(2, 30.0, "away", back_on=TUESDAY + timedelta(days=1)), False),
        (edge(2, 30.0, "away", back_on=TUESDAY - timedelta(days=1)), False),
        (edge(2, 30.0, "away"), False),
    ],
)
def test_what_may_stand_in(other: EdgeStands, covered: bool) -> None:
    """Only a sharp one that is here by then; from the sharpener it comes with all its life. No late one."""
    assert one(long_ones(3), edge(1, 9.0), other).covered_by_spare is covered


def test_what_is_made_sharp_here_need_not_leave() -> None:
    found = one(long_ones(8, 8), edge(1, 9.0), of=known(HERE))
    assert (found.send_by_on, found.gap, found.waits) == (None, None, ())
    assert found.p50_on is not None


def test_a_dull_edge_has_no_days_and_leads() -> None:
    """With none in its place, it leaves at once; nothing is foretold of what is dull."""
    found = dues(long_ones(8), edge(1, 4.0, dull=True), edge(2, 0.0, "away", back_on=None))
    first = found.of[0]
    assert (first.edge, first.chance_dull, first.left_h, days(first)) == (1, 1.0, None, (None,) * 3)
    assert first.send_by_on == TUESDAY


def test_the_spare_cuts_while_the_one_on_the_tool_is_dull_and_that_one_is_sent_by_when_it_is_due() -> None:
    dull, spare = (
        next(each for each in dues(long_ones(3, 1), edge(1, 9.0, dull=True), edge(2, 2.0, "spare"),
                                   of=known(lately_h=0.5)).of if each.edge == n)
        for n in (1, 2)
    )  # fmt: skip
    assert spare.p50_on is not None
    assert spare.cuts
    assert dull.send_by_on is not None
    assert TUESDAY < dull.send_by_on < spare.p50_on
    assert dull.send_by_on == spare.send_by_on


def test_it_says_what_is_cut_until_then() -> None:
    """Each stage once, with its hours up to the evening of the middle day; the fourth comes only after it."""
    found = one(long_ones(4, 8, 8, 8), edge(1))
    assert [(cut.place.stage, cut.on, cut.effective_h) for cut in found.cuts] == [
        (1, TUESDAY, 4.0),
        (2, TUESDAY, 8.0),
        (3, TUESDAY + timedelta(days=1), 4.5),
    ]
    assert found.cuts[0].place.tag == "K2"


def test_soon_is_when_one_in_five_is_dull() -> None:
    assert one(long_ones(8, 8), edge(1)).soon_on == TUESDAY + timedelta(days=1)
    assert one(shop(stage(1)), edge(1, 10.0)).soon_on == TUESDAY


@pytest.mark.parametrize(
    ("edges", "cuts"),
    [
        ((edge(1), edge(2, 0.0, "spare")), 1),
        ((edge(1, dull=True), edge(2, 0.0, "spare")), 2),
        ((edge(1, dull=True, rough_only=True), edge(2, 0.0, "spare", dull=True)), None),
        ((edge(1, 0.0, "spare"), edge(2, 0.0, "away")), 1),
        ((edge(2, 0.0, "broken"),), None),
        ((), None),
    ],
)
def test_which_edge_cuts(edges: tuple[EdgeStands, ...], cuts: int | None) -> None:
    found = cutting_edge(rack(*edges)[V_BIT])
    assert (found.edge.id if found else None) == cuts


def test_tools_of_which_nothing_is_known_are_left_out() -> None:
    sight = seen(shop(stage(1)), Pencil(), "9:00")
    laid = lay(sight)
    shown = Planned(laid, planned(laid), sight.now, 7, sight.head)
    found = dues_of(sight, shown, Rack(sight.now, rack(edge(1)), {}), {})
    assert (found.of, found.number, found.made_at) == ((), 7, sight.now)


def test_a_shop_that_is_shut_for_good_has_no_days() -> None:
    closed = replace(CALENDAR, shop=())
    found = one(replace(long_ones(8), calendar=closed), edge(1, 9.0), of=known(lately_h=1.0))
    assert (days(found), found.send_by_on) == ((None,) * 3, None)
