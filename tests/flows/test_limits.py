"""The minutes beyond which a start is asked about: of the whole stage, or of pieces made again."""

from datetime import timedelta

import pytest
from sqlalchemy import update

from shoptrack.engine.durations import quantile_min
from shoptrack.engine.shapes import Entry, Rule
from shoptrack.flows.learning import learned
from shoptrack.flows.limits import limit_min, with_limits
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Store
from shoptrack.store.tables import HeadRow
from tests.flows.taps import NOW, book, made, send
from tests.flows.worked import mill
from tests.joinery import PIET, Joinery, at

HOUR = timedelta(hours=1)


def limits(store: Store) -> dict[str, float | None]:
    return {e.id: e.limit_min for e in book(store).values() if e.kind == "start"}


def spoiled(store: Store) -> None:
    """Milling of 20 pieces is done from 9 to 10; at the glue-up two of the 20 turn out spoiled."""
    send(store, made("start", 1, person=1, stages=[11]))
    send(store, made("finish", 2, NOW + HOUR, person=1, stages=[11]), now=NOW + HOUR)
    send(store, made("start", 3, NOW + HOUR, person=1, stages=[12]), now=NOW + HOUR)
    said = {"stages": [12], "count": 2, "out_of": 20, "way_back": 11, "cause": "wood"}
    send(store, made("spoil", 4, NOW + HOUR, person=1, **said), now=NOW + HOUR)


def test_pieces_made_again_have_a_limit_of_their_own(store: Store) -> None:
    """Milling is 20 min + 3 a piece: twice 80 for all twenty, twice 26 for the two that are redone."""
    spoiled(store)
    later = NOW + 2 * HOUR
    send(store, made("start", 5, later, person=1, stages=[11]), now=later)
    assert limits(store) == {"tap-00001": 160, "tap-00003": 140, "tap-00005": 52}
    assert gather(store, later).replayed.current(11).quantity == 2
    send(store, made("start", 6, later, person=2, stages=[11, 13]), now=later)
    assert limits(store)["tap-00006"] == 2 * (20 + 3 * 2 + 4 * 20)


def test_a_start_from_before_they_were_spoiled_is_of_the_whole(store: Store) -> None:
    """Another tablet was alone since a quarter past nine, and sends at eleven."""
    spoiled(store)
    late = made("start", 1, NOW + HOUR / 4, person=2, stages=[11], id="late-start")
    send(store, late, now=NOW + 2 * HOUR, device="other")
    assert limits(store)["late-start"] == 160


def test_spoiled_no_more_it_is_the_whole_again(store: Store) -> None:
    """The spoil is struck."""
    spoiled(store)
    later = NOW + 2 * HOUR
    send(store, made("strike", 5, later, of="tap-00004"), now=later)
    send(store, made("start", 6, later, person=1, stages=[11]), now=later)
    assert limits(store)["tap-00006"] == 160


def test_shop_time_and_stages_without_a_rule_have_none(store: Store) -> None:
    start = Entry(id="a-start-of-11", device="tablet", seq=1, kind="start", at=NOW, stages=(11,))
    assert limit_min(start, {11: (20, ())}) is None
    assert limit_min(start, {11: (20, ((NOW, Rule(5, 1)),))}) == 50
    with store.reading() as session:
        assert with_limits(session, []) == []


# --- what was learned -------------------------------------------------------------------------------------


def limit_of(shop: Joinery, *stages: int, when: str = "9:00", person: int = PIET) -> float:
    """The limit of a start of these stages by somebody who has nothing else in hand."""
    start = shop.tap("start", at(when), *stages, person=person, insisted=True)
    (limit,) = [e.limit_min for e in book(shop.store).values() if e.id == start]
    assert limit is not None
    return limit


def test_95_in_100_stay_under_the_limit_once_three_times_are_known(joinery: Joinery) -> None:
    """Two boards took about an hour, by rule of thumb they are 35 minutes: no more twice 35, and the fourth
    start is not asked about after 70 minutes."""
    mill(joinery, [62, 58, 60, 61, 59, 63])
    known = learned(joinery.store, NOW)
    tray = joinery.add("tray", "tray", None)
    told = known.foretell(joinery.kinds["milling"], 2.0, 1)
    limit = limit_of(joinery, tray["milling"])
    assert limit == pytest.approx(quantile_min(told, 0.95))
    assert 75 < limit < 130


def test_two_times_are_too_few(joinery: Joinery) -> None:
    mill(joinery, [62, 58])
    learned(joinery.store, NOW)
    assert limit_of(joinery, joinery.add("tray", "tray", None)["milling"]) == 70


def test_stages_of_one_kind_are_one_and_other_kinds_are_added(joinery: Joinery) -> None:
    """Four boards together are as one; an inlay, of which nothing is known, adds twice its 80."""
    mill(joinery, [62, 58, 60, 61, 59, 63])
    known = learned(joinery.store, NOW)
    one, two = joinery.add("tray", "one", None), joinery.add("tray", "two", None)
    both = limit_of(joinery, one["milling"], two["milling"])
    told = known.foretell(joinery.kinds["milling"], 4.0, 1)
    assert both == pytest.approx(quantile_min(told, 0.95))
    assert limit_of(joinery, one["milling"], two["milling"], one["inlay"], when="9:10") == pytest.approx(
        both + 160
    )


def test_it_is_never_less_than_half_an_hour(joinery: Joinery) -> None:
    """Two boards in five minutes, always: 30 minutes."""
    mill(joinery, [5] * 12)
    learned(joinery.store, NOW)
    assert limit_of(joinery, joinery.add("tray", "tray", None)["milling"]) == 30


def test_of_a_steady_stage_the_limit_stays_a_quarter_above_the_middle(joinery: Joinery) -> None:
    mill(joinery, [60] * 40)
    known = learned(joinery.store, NOW)
    told = known.foretell(joinery.kinds["milling"], 2.0, 1)
    assert quantile_min(told, 0.95) < 1.25 * quantile_min(told, 0.5)
    limit = limit_of(joinery, joinery.add("tray", "tray", None)["milling"])
    assert limit == pytest.approx(1.25 * quantile_min(told, 0.5))


def test_pieces_done_again_have_a_learned_limit_of_their_own(joinery: Joinery) -> None:
    """One of the two boards turns out spoiled at the glue-up: the limit is of one board."""
    (*_, tray) = mill(joinery, [62, 58, 60, 61, 59, 63])
    joinery.tap("start", at("8:00"), tray["glue-up"])
    said = {"count": 1, "out_of": 2, "way_back": tray["milling"], "cause": "wood"}
    joinery.tap("spoil", at("8:10"), tray["glue-up"], **said)
    told = learned(joinery.store, NOW).foretell(joinery.kinds["milling"], 1.0, 1, f"j{tray['job']}")
    assert limit_of(joinery, tray["milling"]) == pytest.approx(quantile_min(told, 0.95))


def test_what_another_database_taught_is_not_taken(joinery: Joinery) -> None:
    """A shop was put back from a file in the meantime: its kinds may have other numbers."""
    mill(joinery, [62, 58, 60, 61])
    learned(joinery.store, NOW)
    with joinery.store.writing() as session:
        session.execute(update(HeadRow).values(database_id="another"))
    assert limit_of(joinery, joinery.add("tray", "tray", None)["milling"]) == 70
