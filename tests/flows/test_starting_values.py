"""What a new shop begins with, held against published numbers; what has no source says so."""

import re
from datetime import UTC, datetime, time, timedelta

import pytest

from shoptrack.engine.cure import reckon
from shoptrack.engine.shapes import Calendar, Recipe, Role, Room, RoomProfile
from shoptrack.engine.units import decimals_of
from shoptrack.flows.first_day.currencies import CURRENCIES, listed_currencies
from shoptrack.flows.first_day.starting import MEMORY, PRACTICE, StartingRecipe, c_of
from shoptrack.flows.first_day.starting_edges import EDGE_OF, EDGES
from shoptrack.flows.first_day.starting_finishes import FINISHES
from shoptrack.flows.first_day.starting_glues import GLUES
from shoptrack.flows.first_day.starting_things import FIRST_PATTERN, KINDS, ROOMS, STATIONS
from shoptrack.flows.first_day.ways import Ways, ways_of
from shoptrack.store.zones import all_zones

CLOSED_AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
ALL = (*GLUES, *FINISHES)
BY_NAME = {one.name: one for one in ALL}


def hours_to(name: str, role: Role, f: float) -> float:
    """Hours from closing to a mark of a plain edge joint, reckoned by the engine at a steady warmth."""
    one = BY_NAME[name]
    marks = tuple(m.mark for m in one.marks if m.joint is None)
    recipe = Recipe(1, name, one.kind, marks, one.reference_c, one.q10, one.lowest_c, one.below)
    steady = steady_room(c_of(f))
    cured = reckon(recipe, steady, (), Calendar("UTC", ()), CLOSED_AT)
    found = next(m.from_at for m in cured.marks if m.mark.role == role)
    assert found is not None
    return (found - CLOSED_AT) / timedelta(hours=1)


def steady_room(c: float) -> Room:
    """A room that is as warm by day as by night, all year."""
    profile = RoomProfile((c,) * 12, (c,) * 12, time(8), time(17))
    return Room(1, "steady", ((CLOSED_AT - timedelta(days=30), profile),))


def test_yellow_glue_as_the_magazine_says() -> None:
    """At 70 °F an hour in the clamps and a day to full strength; 15 °F warmer half of it, colder twice.

    Source: Wood magazine, "Give the glue time" (doubles per 15 °F colder).
    """
    name = "yellow PVA glue"
    assert hours_to(name, "clamps off", 70) == pytest.approx(1, rel=0.01)
    assert hours_to(name, "full strength", 70) == pytest.approx(24, rel=0.01)
    assert hours_to(name, "clamps off", 85) == pytest.approx(0.5, rel=0.02)
    assert hours_to(name, "full strength", 56) == pytest.approx(24 * 2 ** (14 / 15), rel=0.02)


def test_no_glue_is_pressed_shorter_or_longer_than_the_handbook_has_it() -> None:
    """Cold pressing takes from 15 min to 24 h. Source: Wood Handbook, FPL-GTR-190, ch. 10."""
    pressed = [m.mark.from_min for g in GLUES for m in g.marks if m.mark.role == "clamps off"]
    assert len(pressed) >= len(GLUES)
    assert all(minutes is not None and 15 <= minutes <= 24 * 60 for minutes in pressed)


def test_the_lowest_temperatures_are_the_careful_end() -> None:
    """White and yellow glue 40–55 °F: several trade sources. Room-temperature curing is 20–30 °C (68–86 °F):
    Wood Handbook, glossary; urea-formaldehyde glue of that kind is not promised anything below it."""
    for name in ("yellow PVA glue", "white PVA glue", "water-resistant PVA glue"):
        assert BY_NAME[name].lowest_c == pytest.approx(c_of(55))
        assert BY_NAME[name].below == "spoils"
    assert BY_NAME["urea-formaldehyde glue"].lowest_c == 20


def test_a_usual_room_spoils_no_usual_glue() -> None:
    """Who takes everything as it is offered is not warned of the cold on the first evening."""
    coldest = min(r.unheated_c for r in ROOMS if r.usual)
    assert all(g.lowest_c is None or g.lowest_c < coldest for g in GLUES if g.usual)


def test_varnish_and_lacquer_as_printed() -> None:
    """Oil varnish: a day between coats, 2–3 weeks before rubbing out: Fine Woodworking, June 2021, p. 50.
    Solvent lacquer: two coats a day at least, 1–2 weeks before rubbing out: Popular Woodworking.
    A varnish with an upper recoat limit, 6–20 h: a finisher's notes, taken as practice."""
    varnish, lacquer = BY_NAME["oil varnish, brushed"], BY_NAME["lacquer, sprayed"]
    assert from_days(varnish, "recoat") == 1
    assert 14 <= from_days(varnish, "full strength") <= 21
    assert from_days(lacquer, "recoat") <= 0.5
    assert 7 <= from_days(lacquer, "full strength") <= 14
    quick = next(m.mark for m in BY_NAME["quick varnish"].marks if m.mark.role == "recoat")
    assert (quick.from_min, quick.until_min) == (6 * 60, 20 * 60)


def from_days(one: StartingRecipe, role: Role) -> float:
    return next(m.mark.from_min or 0 for m in one.marks if m.mark.role == role) / (24 * 60)


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_every_value_says_where_it_comes_from(one: StartingRecipe) -> None:
    """Each mark has a source or says it has none; so have open time, lowest temperature and factor."""
    said = dict(one.sources)
    assert ("open time" in said) == (one.open_min is not None)
    assert ("lowest temperature" in said) == (one.lowest_c is not None)
    assert "factor per 10 °C" in said
    named = ("magazine", "Handbook", "Fine Woodworking", "Popular Woodworking", "trade sources", "practice")
    for source in [*said.values(), *(m.source for m in one.marks)]:
        assert source in (PRACTICE, MEMORY) or any(n in source for n in named), source
    spec = one.spec()
    assert "your data sheet wins" in spec.caution
    assert all(source in spec.source for source in said.values())


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_marks_come_in_an_order_that_can_be(one: StartingRecipe) -> None:
    """Clamps off before work before full strength; dust-free before recoat; a window opens before it ends."""
    at = {m.mark.role: m.mark.from_min for m in one.marks if m.joint is None and m.mark.from_min is not None}
    for first, second in (
        ("scrape", "work"),
        ("clamps off", "work"),
        ("work", "full strength"),
        ("dust free", "recoat"),
        ("handle", "food contact"),
    ):
        if first in at and second in at:
            assert at[first] <= at[second], (first, second)  # type: ignore[index]
    for m in one.marks:
        if m.mark.from_min is not None and m.mark.until_min is not None:
            assert m.mark.from_min < m.mark.until_min
    gates = [m for m in one.marks if m.mark.gates]
    assert len(gates) == 1, "what follows waits for exactly one mark"


def test_what_can_hurt_says_so() -> None:
    """Oily rags (fire services), flammable spray (NFPA 33), epoxy in bulk (makers' safety pages)."""
    for name in (
        "wiping oil",
        "drying oil",
        "hard wax oil",
        "oil varnish, brushed",
        "oil and varnish, wiped",
    ):
        assert "rags" in BY_NAME[name].caution
    assert "Flammable" in BY_NAME["lacquer, sprayed"].caution
    assert "no flame" in BY_NAME["shellac"].caution
    for name in ("slow epoxy", "epoxy seal coat"):
        assert "hot enough to burn" in BY_NAME[name].caution
    cautious = {k.name for k in KINDS if k.caution}
    assert cautious >= {"rough milling", "milling", "flattening", "carving", "sanding"}


def test_names_are_kinds_and_each_is_there_once() -> None:
    """Generic words in small letters: no name of a product, and no two alike."""
    names = [one.name for one in (*ALL, *STATIONS, *KINDS, *ROOMS)]
    assert len(set(names)) == len(names)
    assert [n for n in names if not re.fullmatch(r"(?:[a-z, -]|PVA|CNC)+", n)] == []
    assert set(FIRST_PATTERN) <= {k.name for k in KINDS}


def test_plain_sizes_are_whole_in_either_unit() -> None:
    for station in STATIONS:
        inches, mm = station.limits_mm("in"), station.limits_mm("mm")
        for name in inches:
            assert inches[name] / 25.4 == pytest.approx(round(inches[name] / 25.4))
            assert mm[name] % 10 == 0
            assert mm[name] == pytest.approx(inches[name], rel=0.05)


# ISO 4217, from memory: minor units of some currencies, none, two and three of them.
DECIMALS = {"USD": 2, "EUR": 2, "GBP": 2, "CHF": 2, "JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "VND": 0,
            "XOF": 0, "KWD": 3, "BHD": 3, "TND": 3, "JOD": 3, "OMR": 3, "HUF": 2, "CZK": 2}  # fmt: skip


@pytest.mark.parametrize(("code", "places"), DECIMALS.items())
def test_currencies_have_their_own_decimals(code: str, places: int) -> None:
    assert decimals_of(code) == places
    words = dict(listed_currencies())[code]
    assert words.startswith(f"{code} – {CURRENCIES[code]}")
    assert ("no decimals" in words, "three decimals" in words) == (places == 0, places == 3)


def test_every_currency_of_other_decimals_is_in_the_list() -> None:
    """What the units know of is what can be chosen, and each is three capital letters with a name."""
    assert all(re.fullmatch(r"[A-Z]{3}", code) and len(name) > 3 for code, name in CURRENCIES.items())
    assert list(CURRENCIES) == sorted(CURRENCIES)
    assert len(CURRENCIES) > 140


@pytest.mark.parametrize(
    ("zone", "ways"),
    [
        ("America/Chicago", Ways("in", "F", "USD", False)),
        ("America/Toronto", Ways("in", "C", "CAD", False)),
        ("Europe/Vienna", Ways("mm", "C", "EUR", True)),
        ("Europe/London", Ways("mm", "C", "GBP", True)),
        ("Asia/Tokyo", Ways("mm", "C", "JPY", True)),
        ("Africa/Dakar", Ways("mm", "C", "XOF", True)),
        ("UTC", Ways("mm", "C", "EUR", True)),
    ],
)
def test_a_zone_brings_the_ways_of_its_country(zone: str, ways: Ways) -> None:
    """From memory."""
    assert ways_of(zone) == ways


def test_every_zone_brings_money_that_can_be_chosen() -> None:
    assert {ways_of(zone).currency for zone in all_zones()} <= set(CURRENCIES)


def test_usual_edges_are_such_as_the_shop_can_take() -> None:
    """Common practice, no source: what is held here is that the values go together."""
    assert len(EDGE_OF) == len(EDGES)
    for edge in EDGES:
        assert 0 < edge.usual_life_h <= 100, edge.name
        assert (edge.away_days > 0) == (edge.renewed == "sent"), "only what is sent is away"
        assert edge.renewed != "replaced" or edge.most_renewals is None, "a new one is never worn out before"
    assert EDGE_OF["chisel"].usual_life_h < EDGE_OF["planer knives"].usual_life_h
