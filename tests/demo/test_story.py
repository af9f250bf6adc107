from datetime import date

import pytest

from shoptrack.demo.scene import Scene
from shoptrack.demo.story import setting
from shoptrack.flows.shopfloor import gather
from tests.demo.conftest import TUESDAY, Make, wall


@pytest.mark.parametrize(
    ("now", "on", "at", "working"),
    [
        (TUESDAY, date(2026, 11, 24), TUESDAY, True),
        ("2026-11-24T12:10", date(2026, 11, 24), "2026-11-24T12:10", False),  # lunch
        ("2026-11-24T21:00", date(2026, 11, 24), "2026-11-24T16:30", False),
        ("2026-11-22T13:00", date(2026, 11, 20), "2026-11-20T14:30", False),  # Friday closes early
        ("2026-11-24T07:30", date(2026, 11, 23), "2026-11-23T16:30", False),
        ("2026-11-24T07:50", date(2026, 11, 23), "2026-11-23T16:30", False),  # told from last night
    ],
)
def test_the_story_plays_where_now_falls(short: Make, now: str, on: date, at: str, working: bool) -> None:
    scene = Scene.__new__(Scene)
    scene.world, scene.now = gather(short(TUESDAY), wall(TUESDAY)).world, wall(now)
    played = setting(scene)
    assert (played.on, played.at, played.working) == (on, wall(at), working)
    assert (played.opened_at is not None) == (now == "2026-11-24T07:50")
