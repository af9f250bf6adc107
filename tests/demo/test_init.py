from datetime import timedelta
from pathlib import Path

import pytest

from shoptrack import demo
from shoptrack.demo import scene
from shoptrack.errors import Refused
from shoptrack.store import log
from shoptrack.store.db import Store, head
from shoptrack.store.shop import find_shop, shop_row
from tests.demo.conftest import TUESDAY, Make, empty, wall
from tests.store.making import make_plain_shop

MONDAY = "2026-11-23T23:30"


def entries(store: Store) -> list[object]:
    with store.reading() as session:
        return list(log.whole_log(session))


def test_the_same_instant_gives_the_same_shop(short: Make) -> None:
    assert entries(short(TUESDAY)) == entries(short(TUESDAY, "again"))


def test_another_instant_gives_another_story(short: Make) -> None:
    assert entries(short(TUESDAY)) != entries(short(MONDAY))


def test_on_the_same_day_the_demo_stays_as_it_is(short: Make) -> None:
    store = short(TUESDAY)
    with store.reading() as session:
        before = head(session)
    assert demo.ensure(store, wall(TUESDAY) + timedelta(hours=3)) is None
    with store.reading() as session:
        assert head(session) == before


def test_a_real_shop_is_refused_and_not_touched(tmp_path: Path) -> None:
    store = empty(tmp_path, wall(TUESDAY))
    with store.writing() as session:
        make_plain_shop(session, "America/Chicago", wall(TUESDAY))
    with store.reading() as session:
        before = head(session)
    with pytest.raises(Refused, match="real shop"):
        demo.ensure(store, wall(TUESDAY))
    with store.reading() as session:
        assert head(session) == before
    store.close()


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A shop without any history: only how files are set aside is looked at."""
    monkeypatch.setattr(scene, "MONTHS", 2)
    monkeypatch.setattr(demo, "write_years", lambda *_: None)
    monkeypatch.setattr(demo, "write_now", lambda *_: None)


def test_a_demo_of_another_day_is_set_aside_and_the_last_two_are_kept(tmp_path: Path, quick: None) -> None:
    """Four days running: today's is there, those of the two days before lie beside it."""
    now = wall(TUESDAY)
    store = empty(tmp_path, now)
    demo.ensure(store, now)
    for days in (1, 2, 3):
        made = demo.ensure(store, now + timedelta(days=days))
        assert made is not None
        store = made
    with store.reading() as session:
        assert shop_row(session).made_at == now + timedelta(days=3)
    store.close()
    names = sorted(p.name for p in tmp_path.glob("shop*.db"))
    assert names == ["shop-2026-11-25.db", "shop-2026-11-26.db", "shop.db"]


def test_a_demo_that_was_broken_off_is_made_anew(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The power goes in the middle of the story; the next start does not show half a shop."""
    now = wall(TUESDAY)
    store = empty(tmp_path, now)

    def power_cut(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(demo, "write_now", power_cut)
        with pytest.raises(KeyboardInterrupt):
            demo.ensure(store, now)
    made = demo.ensure(store, now)
    assert made is not None
    with made.reading() as session:
        row = find_shop(session)
        assert row is not None
        assert row.made_at == now
    made.close()


def test_a_real_shop_in_the_demos_place_is_refused_before_its_tables_are_touched(tmp_path: Path) -> None:
    """Somebody put a real shop's file where the demo's is: not a byte of it changes. No file, or no tables:
    nothing."""
    store = empty(tmp_path, wall(TUESDAY))
    with store.writing() as session:
        make_plain_shop(session, "America/Chicago", wall(TUESDAY))
    path = store.path
    store.close()
    before = path.read_bytes()
    with pytest.raises(Refused, match="real shop"):
        demo.refuse_real(path)
    assert path.read_bytes() == before
    demo.refuse_real(tmp_path / "nowhere.db")
    (tmp_path / "bare.db").touch()
    demo.refuse_real(tmp_path / "bare.db")
