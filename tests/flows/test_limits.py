"""The minutes beyond which a start is asked about: of the whole stage, or of pieces made again."""

from datetime import timedelta

from shoptrack.engine.shapes import Entry, Rule
from shoptrack.flows.limits import limit_min, with_limits
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Store
from tests.flows.taps import NOW, book, made, send

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
