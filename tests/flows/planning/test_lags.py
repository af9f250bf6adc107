"""How long what follows a glue or a coat waits: by its marks, by the warmth of the room, within reason."""

from dataclasses import replace

from shoptrack.engine.shapes import Mark, Recipe, Room
from shoptrack.flows.planning.lags import MOST, Lags, LagsOf
from tests.engine.shop import CALENDAR, OIL, PVA, at, shop, stage


def lags(recipe: Recipe, c: float = 20.0, night_c: float | None = None, when: str = "12:30") -> Lags:
    room: Room = shop(stage(1), c=c, night_c=night_c).rooms[1]
    return LagsOf(CALENDAR, at(when)).of(recipe, room)


def test_glue_in_a_warm_room_waits_as_its_sheet_says() -> None:
    """An hour in clamps, a day before it is worked; dust does it no harm."""
    assert lags(PVA) == Lags(gate=24 * 60, off=60)


def test_a_coat_that_takes_another_is_dry() -> None:
    """Oil without a dust-free mark: from six hours on another coat, by twenty at the latest."""
    assert lags(OIL) == Lags(gate=600, recoat=360, recoat_until=1200, off=600, wet=360)


def test_a_dust_free_mark_says_when_dust_does_no_harm() -> None:
    lacquer = replace(OIL, marks=(*OIL.marks, Mark("dust free", "dust-free", from_min=30)))
    assert lags(lacquer).wet == 30


def test_a_cold_night_makes_it_longer() -> None:
    """Closed at noon with a night of 12 °C to come: the marks of the day stay, those of tomorrow move."""
    cold = lags(PVA, night_c=12.0)
    assert cold.off == 60
    assert cold.gate > 30 * 60


def test_what_is_never_reached_is_taken_to_be_in_sixty_days() -> None:
    """Under its lowest temperature a glue stands still."""
    assert lags(replace(PVA, below="slows"), c=5.0).gate == MOST.total_seconds() / 60


def test_the_same_glue_is_reckoned_once() -> None:
    room = shop(stage(1)).rooms[1]
    found = LagsOf(CALENDAR, at("12:30"))
    assert found.of(PVA, room) is found.of(PVA, room)
