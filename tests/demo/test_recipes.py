from datetime import time, timedelta

import pytest

from shoptrack.engine import cure
from shoptrack.engine.marks import opens_at
from shoptrack.engine.shapes import Calendar, Recipe, Room, RoomProfile
from shoptrack.flows.shopfloor import gather
from tests.demo.conftest import TUESDAY, Make, wall

CALENDAR = Calendar("America/New_York", ())


def room(c: float) -> Room:
    return Room(1, "even", ((wall(TUESDAY), RoomProfile((c,) * 12, (c,) * 12, time(0), time(1))),))


@pytest.fixture
def recipes(short: Make) -> dict[str, Recipe]:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    return {s.recipes[-1][1].name: s.recipes[-1][1] for s in world.stages.values() if s.recipes}


def test_yellow_glue_holds_an_hour_in_clamps_at_70_f_and_two_15_f_colder(
    recipes: dict[str, Recipe],
) -> None:
    """Source: Wood magazine, "Give the glue time": 1 h at 70 °F, doubling for each 15 °F colder."""
    yellow = recipes["yellow PVA"]
    for fahrenheit, hours in ((70, 1), (55, 2)):
        cured = cure.reckon(yellow, room((fahrenheit - 32) / 1.8), (), CALENDAR, wall(TUESDAY))
        off_at = opens_at(cured, "clamps off")
        assert off_at is not None
        assert (off_at - wall(TUESDAY)) / timedelta(hours=1) == pytest.approx(hours, rel=0.01)


def test_oil_varnish_waits_a_day_between_coats(recipes: dict[str, Recipe]) -> None:
    """Source: Fine Woodworking, June 2021, p. 50: 24 h between coats."""
    cured = cure.reckon(recipes["oil varnish"], room(20), (), CALENDAR, wall(TUESDAY))
    assert opens_at(cured, "recoat") == wall(TUESDAY) + timedelta(hours=24)


def test_only_epoxy_spoils_in_the_cold(recipes: dict[str, Recipe]) -> None:
    """Common practice, no source: PVA and finishes are slowed, epoxy below its limit stays soft."""
    assert {name for name, r in recipes.items() if r.below == "spoils"} == {"slow epoxy"}


def test_what_can_hurt_somebody_has_its_caution(recipes: dict[str, Recipe]) -> None:
    assert "rags" in recipes["wiping oil"].caution
    assert "booth" in recipes["sprayed lacquer"].caution
    assert "Gloves" in recipes["slow epoxy"].caution
