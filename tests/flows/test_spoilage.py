"""The share of work that is done again: learned by kind, careful while little was logged."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.flows.spoilage import KIND_WEIGHT_MIN, SHOP_WEIGHT_MIN, shares, spoilage
from tests.joinery import NOW, Joinery, at


def test_nothing_logged_is_nothing_spoiled(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        found = spoilage(session, NOW)
    assert (found.overall, found.share_of(1)) == (0.0, 0.0)


def test_much_logged_says_what_it_was() -> None:
    """A thousand hours of each: a tenth of the carving was done again and nothing of the milling."""
    found = shares({1: (60_000, 0), 2: (60_000, 6_000)})
    assert found.overall == pytest.approx(0.05, rel=0.03)
    assert found.share_of(1) == pytest.approx(0, abs=0.002)
    assert found.share_of(2) == pytest.approx(0.1, rel=0.03)
    assert found.share_of(3) == found.overall


def test_little_logged_says_little() -> None:
    """One glue-up of half an hour that was all done again is no reason to quote every glue-up twice."""
    found = shares({1: (30, 30)})
    assert found.overall == pytest.approx(30 / (30 + SHOP_WEIGHT_MIN))
    assert found.share_of(1) == pytest.approx((30 + KIND_WEIGHT_MIN * found.overall) / (30 + KIND_WEIGHT_MIN))
    assert found.share_of(1) < 0.04


minutes = st.floats(0, 1e6)


@given(st.dictionaries(st.integers(1, 5), st.tuples(minutes, minutes)))
def test_a_share_lies_between_its_own_ratio_and_the_shops(logged: dict[int, tuple[float, float]]) -> None:
    """It is never below nought, and goes up with what is done again."""
    found = shares(logged)
    for kind, (first, again) in logged.items():
        share = found.share_of(kind)
        own = again / first if first else float("inf") if again else found.overall
        assert min(own, found.overall) - 1e-9 <= share <= max(own, found.overall) + 1e-9
        more = shares({**logged, kind: (first, again + 60)})
        assert more.share_of(kind) > share


def test_it_is_told_from_the_tally(joinery: Joinery) -> None:
    """A tray milled in an hour, spoiled in the glue-up, milled again in twenty minutes."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00"), tray["milling"])
    joinery.tap("finish", at("9:00"), tray["milling"])
    joinery.tap("start", at("9:00"), tray["glue-up"], insisted=True)
    spoiled = {"count": 1, "out_of": 1, "way_back": tray["milling"], "cause": "wood"}
    joinery.tap("spoil", at("9:10"), tray["glue-up"], **spoiled)
    joinery.tap("start", at("9:30"), tray["milling"])
    joinery.tap("finish", at("9:50"), tray["milling"])
    with joinery.store.reading() as session:
        found = spoilage(session, NOW)
    assert found.overall > 0
    assert found.share_of(joinery.kinds["milling"]) > found.share_of(joinery.kinds["inlay"]) == found.overall
