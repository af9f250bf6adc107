"""Rows of the curing drawing: clamps until when, marks to come, rounds joined where they are alike."""

from datetime import timedelta

from shoptrack.flows.curing import CuringRow, curing_rows
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, BusyDay, Joinery, at


def rows(joinery: Joinery, stage: int, later_min: float = 0) -> list[CuringRow]:
    found = curing_rows(gather(joinery.store, NOW + timedelta(minutes=later_min)))
    return [r for r in found if r.place.stage == stage]


def test_clamps_until_their_mark_then_may_come_off(joinery: Joinery, day: BusyDay) -> None:
    """Closed 12:48 at 20 °C: 60 min by the recipe."""
    (held,) = rows(joinery, day.elm["glue-up"])
    assert (held.clamps, held.off_at, held.may_off) == (4, at("13:48"), False)
    (later,) = rows(joinery, day.elm["glue-up"], 24)
    assert later.may_off
    joinery.tap("unclamp", at("13:50"), day.elm["glue-up"])
    (off,) = rows(joinery, day.elm["glue-up"], 30)
    assert off.clamps == 0
    assert [m.role for m in off.marks] == ["work"]


def test_rounds_out_of_clamps_are_one_row_where_they_are_alike(joinery: Joinery, day: BusyDay) -> None:
    """4 and 3 inlays, 40 minutes apart, are 7; while each holds its own clamps they are two rows."""
    assert [(r.place.count, r.clamps) for r in rows(joinery, day.letter["inlay"])] == [(7, 0)]
    other = joinery.add("tray", "second tray", None)
    joinery.tap("start", at("13:21"), other["inlay"], person=PIET, insisted=True)
    joinery.tap("closed", at("13:22"), other["inlay"], person=PIET, count=2)
    joinery.tap("closed", at("13:23"), other["inlay"], person=PIET, count=2)
    assert [(r.place.count, r.clamps) for r in rows(joinery, other["inlay"])] == [(2, 2), (2, 2)]


def test_a_doubtful_joint_leads(joinery: Joinery, day: BusyDay) -> None:
    found = curing_rows(gather(joinery.store, NOW))
    assert found[0].doubtful
    assert found[0].place.stage == day.larder["panel glue-up"]
    assert not any(r.doubtful for r in found[1:])


def test_marks_nobody_waits_for_at_the_bench_are_left_out(joinery: Joinery, day: BusyDay) -> None:
    """Wiping and scraping are not to be missed, and stand above; here is only what is waited for."""
    roles = {m.role for r in curing_rows(gather(joinery.store, NOW)) for m in r.marks}
    assert roles == {"work", "recoat"}


def test_a_row_ends_with_its_last_instant(joinery: Joinery, day: BusyDay) -> None:
    (held,) = rows(joinery, day.elm["glue-up"])
    assert held.last_at == max(m.from_at for m in held.marks)


def test_nothing_cures(joinery: Joinery) -> None:
    assert curing_rows(gather(joinery.store, NOW)) == ()
