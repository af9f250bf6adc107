"""The share of work that is done again: learned by kind, careful while little was logged."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from shoptrack.flows import spoilage as flow
from shoptrack.flows.learner import Learner
from shoptrack.flows.learning import LOOKED_AFTER
from shoptrack.flows.spoilage import (
    KIND_WEIGHT_MIN,
    SHOP_WEIGHT_MIN,
    Spoilage,
    learn_spoilage,
    shares,
    spoilage,
    spoilage_lately,
)
from shoptrack.store.db import Head, head
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
    spoil_one(joinery)
    with joinery.store.reading() as session:
        found = spoilage(session, NOW)
    assert found.overall > 0
    assert found.share_of(joinery.kinds["milling"]) > found.share_of(joinery.kinds["inlay"]) == found.overall


def spoil_one(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00"), tray["milling"])
    joinery.tap("finish", at("9:00"), tray["milling"])
    joinery.tap("start", at("9:00"), tray["glue-up"], insisted=True)
    spoiled = {"count": 1, "out_of": 1, "way_back": tray["milling"], "cause": "wood"}
    joinery.tap("spoil", at("9:10"), tray["glue-up"], **spoiled)
    joinery.tap("start", at("9:30"), tray["milling"])
    joinery.tap("finish", at("9:50"), tray["milling"])


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """How often the tally was read."""
    said: list[object] = []
    read = flow.first_and_again_min

    def told(session: Session, since: datetime) -> dict[int, tuple[float, float]]:
        said.append(since)
        return read(session, since)

    monkeypatch.setattr(flow, "first_and_again_min", told)
    return said


def ask(joinery: Joinery, how: Callable[..., Spoilage], now: datetime = NOW) -> Spoilage:
    with joinery.store.reading() as session:
        return how(joinery.store, session, now)


@pytest.mark.parametrize("how", [learn_spoilage, spoilage_lately])
def test_it_is_read_again_only_when_something_was_written(
    joinery: Joinery, reads: list[object], how: Callable[..., Spoilage]
) -> None:
    """Nobody looks after the store: what was spoiled a moment ago counts at once, and the next day anew."""
    first = ask(joinery, how)
    assert ask(joinery, how) is first
    spoil_one(joinery)
    second = ask(joinery, how)
    assert second.overall > first.overall == 0.0
    assert ask(joinery, how, NOW + timedelta(minutes=5)) is second
    assert len(reads) == 2
    assert ask(joinery, how, NOW + timedelta(days=1)) == second
    assert len(reads) == 3


@pytest.fixture
def looked_after(joinery: Joinery) -> Iterator[Learner]:
    LOOKED_AFTER.add(joinery.store)
    yield Learner(joinery.store, lambda: NOW, pause_s=0.0)
    LOOKED_AFTER.discard(joinery.store)


def test_beside_a_learner_nobody_waits_for_it(
    joinery: Joinery, looked_after: Learner, reads: list[object]
) -> None:
    """A page takes what the learner found at its last look; the learner finds what is new at its next."""
    looked_after.look()
    assert len(reads) == 1
    spoil_one(joinery)
    assert ask(joinery, spoilage_lately).overall == 0.0
    assert len(reads) == 1
    looked_after.look()
    found = ask(joinery, spoilage_lately)
    assert len(reads) == 2
    with joinery.store.reading() as session:
        assert found == spoilage(session, NOW)
    assert found.overall > 0


def test_what_was_found_in_another_database_serves_nobody(
    joinery: Joinery, looked_after: Learner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As after a backup was put in its place."""
    looked_after.look()
    spoil_one(joinery)
    other = replace(head_of(joinery), database_id="another")
    monkeypatch.setattr(flow, "head", lambda session: other)
    assert ask(joinery, spoilage_lately).overall > 0


def head_of(joinery: Joinery) -> Head:
    with joinery.store.reading() as session:
        return head(session)
