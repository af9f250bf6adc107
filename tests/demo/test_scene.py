from datetime import date

import pytest

from shoptrack.demo.scene import BATCH, Scene
from shoptrack.flows.shopfloor import gather
from shoptrack.store import log
from shoptrack.store.db import Store
from tests.demo.conftest import TUESDAY, Make, wall


@pytest.fixture
def scene(short: Make) -> Scene:
    made = Scene.__new__(Scene)
    made.world, made.now = gather(short(TUESDAY), wall(TUESDAY)).world, wall(TUESDAY)
    return made


def test_going_back_skips_lunch_and_nights(scene: Scene) -> None:
    """Forty minutes before 12:50 are 20 after lunch and 20 before it; two hours before 8:00 is last nigh."""
    assert scene.back(wall("2026-11-24T12:50"), 40) == wall("2026-11-24T11:40")
    assert scene.back(wall("2026-11-24T08:00"), 120) == wall("2026-11-23T15:00")


def test_days_are_counted_open(scene: Scene) -> None:
    """The Friday before and the Monday after a weekend are next to each other."""
    assert scene.work_day(date(2026, 11, 23), -1) == date(2026, 11, 20)
    assert scene.work_day(date(2026, 11, 20), 2) == date(2026, 11, 24)
    assert list(scene.work_days(date(2026, 11, 20), date(2026, 11, 24))) == [
        date(2026, 11, 20),
        date(2026, 11, 23),
    ]


def test_taps_are_in_the_order_of_their_instants(whole: Store) -> None:
    """One tablet counts its own taps; its times never run back."""
    with whole.reading() as session:
        entries = log.whole_log(session)
    assert [e.seq for e in entries] == list(range(1, len(entries) + 1))
    assert [e.tapped_at for e in entries] == sorted(e.tapped_at or e.at for e in entries)


def test_taps_go_out_by_fifties(whole: Store) -> None:
    with whole.reading() as session:
        entries = log.whole_log(session)
    assert BATCH == 50
    assert len(entries) > 3000
