"""Ranges and prices as lines: every tick on the sheet, in order, and the price where it belongs."""

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.shapes.quoted import Range
from shoptrack.web.quote_drawing import close_line, money_line, range_line, stick_parts

amounts = st.floats(0, 1e9, allow_nan=False)
ranges = st.lists(amounts, min_size=4, max_size=4).map(lambda four: Range(*sorted(four)))


@given(ranges, st.integers(0, 10**9))
def test_every_tick_is_on_the_sheet_and_in_order(found: Range, price: int) -> None:
    money = money_line(found, price)
    for line in (range_line(found), close_line(found).range, money.cost):
        ticks = [line.p10.x, line.p50.x, line.p80.x, line.p90.x]
        assert ticks == sorted(ticks)
        assert ticks[0] >= 0
        assert ticks[-1] <= 97
    assert 0 <= money.price.x <= 97
    assert (money.loss_x is not None) == (price < found.p90)


def test_the_scale_begins_at_nought_unless_that_is_far() -> None:
    """From 90 to 110 drawn from nought is a speck: the scale is cut short, and says so."""
    near, far = close_line(Range(2, 5, 8, 10)), close_line(Range(90, 100, 106, 110))
    assert (near.broken, far.broken) == (False, True)
    assert far.range.p90.x - far.range.p10.x > 60
    assert near.range.p50.x == 97 * 5 / 10
    assert range_line(Range(90, 100, 106, 110), most=220).p90.x == 97 / 2


def test_ends_are_written_only_where_they_cover_no_other_label() -> None:
    """A price far above the cost pushes the range together: half and 9 in 10 would be written over each
    other. Near the price the range has the sheet for itself."""
    cost = Range(14_597, 16_596, 18_202, 19_181)
    assert not money_line(cost, 26_003).cost.ends_fit
    assert money_line(cost, 20_000).cost.ends_fit
    assert close_line(Range(201, 242, 274, 293)).range.ends_fit


def test_a_loss_begins_where_cost_passes_the_price() -> None:
    inside = money_line(Range(800, 1000, 1150, 1200), 1100)
    assert inside.loss_x == inside.price.x
    under = money_line(Range(800, 1000, 1150, 1200), 500)
    assert under.loss_x == under.cost.p10.x
    assert under.price.x < under.cost.p10.x
    assert money_line(Range(800, 1000, 1150, 1200), 1200).loss_x is None


def test_a_stick_has_each_stage_once_after_the_other() -> None:
    parts = stick_parts([("mill", 60, False, False), ("rest", 0, False, True), ("carve", 240, True, False)])
    assert [(p.number, p.name, p.untested, p.rest) for p in parts] == [
        (1, "mill", False, False),
        (2, "rest", False, True),
        (3, "carve", True, False),
    ]
    assert [p.segment.x for p in parts[1:]] == [p.segment.to_x for p in parts[:-1]]
    assert parts[2].segment.width > parts[0].segment.width
    assert stick_parts([]) == ()
