"""What the first query of a look at the Floor says."""

from pathlib import Path

from shoptrack.store.log import set_aside
from shoptrack.store.signs import read_signs
from tests.joinery import NOW, at, empty_store, make_joinery


def test_an_empty_shop(tmp_path: Path) -> None:
    store = empty_store(tmp_path)
    with store.reading() as session:
        signs = read_signs(session)
    assert (signs.head.database_id, signs.newest_at, signs.kept, signs.set_aside) == ("joinery", None, 0, 0)
    assert signs.shop is not None
    assert signs.shop.name == "Sedge Lane Joinery"
    store.close()


def test_the_newest_instant_is_a_taps_own(tmp_path: Path) -> None:
    """A tap at 13:00 that says "30 min ago" was still made at 13:00."""
    store = empty_store(tmp_path)
    shop = make_joinery(store)
    stage = shop.add("tray", "letter tray", None)["milling"]
    shop.tap("start", at("13:00"), stage, ago_min=30)
    with store.reading() as session:
        assert read_signs(session).newest_at == at("13:00")
    store.close()


def test_taps_set_aside_are_counted_until_they_are_seen(tmp_path: Path) -> None:
    store = empty_store(tmp_path)
    with store.writing() as session:
        for n in range(2):
            set_aside(session, id=f"t{n}", device="t", body={}, body_hash="h", reason="Why.", received_at=NOW)
    with store.reading() as session:
        assert read_signs(session).set_aside == 2
    store.close()
