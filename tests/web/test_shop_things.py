"""Things of the Shop on their pages: stations, clamps, tools, rooms, materials, kinds of stage, rates."""

from html import unescape

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from shoptrack.store.costs import price_on
from shoptrack.store.db import Store
from shoptrack.store.rates import hands_rate, list_rates
from shoptrack.store.tables import (
    MaterialPriceRow,
    MaterialRow,
    MaterialWearRow,
    PoolCountRow,
    PoolRow,
    RoomTempRow,
    RuleRow,
    StageKindRow,
    StageRow,
    StationRow,
)
from shoptrack.store.tools import make_material
from tests.joinery import NOW, PIET, Joinery, at
from tests.web.posting import form_fields, post, wrong
from tests.web.test_floor import text_of

KIND = {
    "name": "steaming",
    "unit": "strips",
    "attendance": "hands-on",
    "interruption": "none",
    "setup": "30",
    "rate": "12 min",
}
ROOM = {
    "name": "attic",
    "heated": "68",
    "unheated": "50",
    "heated_from": "07:00",
    "heated_until": "17:00",
}


def test_a_station_with_its_limits_in_the_shops_units(office: FlaskClient, store_of: Store) -> None:
    limits = {"greatest_width": "15 1/2", "least_length": "10 in", "bed_length": "", "bed_width": "500 mm"}
    assert post(office, "/shop/stations", name="planer", room="1", makes_dust="yes", **limits)[0] == 303
    with store_of.reading() as session:
        row = session.get_one(StationRow, 2)
        assert (row.greatest_width_mm, row.least_length_mm) == pytest.approx((393.7, 254))
        assert (row.bed_length_mm, row.bed_width_mm, row.room_id, row.makes_dust) == (None, 500, 1, True)
    page = unescape(text_of(office.get("/shop/stations").text))
    assert 'planer bench room, up to 15 1/2" wide, not under 10" long' in page
    assert "not a length" in wrong(office, "/shop/stations/2", name="planer", greatest_width="wide")
    assert "not there any more" in wrong(office, "/shop/stations", name="saw", room="99")


def test_a_station_with_room_for_several(office: FlaskClient, store_of: Store) -> None:
    """A rack on which work dries; a machine has room for one, also where nothing is typed."""
    post(office, "/shop/stations", name="rack", places="6", through_cure="yes")
    post(office, "/shop/stations", name="lathe", places="")
    with store_of.reading() as session:
        rows = [session.get_one(StationRow, id_) for id_ in (2, 3)]
        assert [(row.places, row.through_cure) for row in rows] == [(6, True), (1, False)]
    words = text_of(office.get("/shop/stations").text)
    assert "rack room for 6, work stays there until it may be worked on" in words
    post(office, "/shop/stations/2", name="rack", places="8")
    changes = text_of(office.get("/shop/stations/2").text)
    assert "room for 6 → 8" in changes
    assert "work stays until it may be worked on yes → no" in changes
    for places in ("0", "-2", "1.5", "many", "1001"):
        assert "must be a whole number from 1" in wrong(
            office, "/shop/stations/2", name="rack", places=places
        )


def test_saving_a_form_as_it_stands_changes_nothing(office: FlaskClient, store_of: Store) -> None:
    """Fields show sixteenths and tenths of degrees; what they don't show is not lost by saving them."""
    post(office, "/shop/stations", name="planer", room="1", bed_width="500 mm")
    for path in ("/shop/stations/2", "/shop/rooms/1", "/shop/recipes/1", "/shop/clamps/1", "/shop/kinds/1"):
        page = office.get(path).text
        fields = form_fields(page)
        assert post(office, path, **fields)[0] == 303
        changed = office.get(path).text.partition("<h2>Changes</h2>")[2]
        assert "→" not in changed, path


def test_more_clamps_from_a_day_on(office: FlaskClient, store_of: Store) -> None:
    reach = form_fields(office.get("/shop/clamps/1").text)["reach"]
    sent = {"name": "600 mm", "reach": reach, "owned": "18", "from_on": "2026-12-01"}
    for _ in range(2):
        assert post(office, "/shop/clamps/1", **sent)[0] == 303
    with store_of.reading() as session:
        rows = session.scalars(select(PoolCountRow).order_by(PoolCountRow.from_at)).all()
    assert [(row.owned, row.from_at) for row in rows][1:] == [(18, at("0:00", 6))]
    words = text_of(office.get("/shop/clamps/1").text)
    assert "12 clamps · holds now" in words
    assert "owned 12 → 18 , from Tue 1 Dec" in words


def test_a_reach_that_work_was_planned_with_is_fixed(office: FlaskClient, store_of: Store) -> None:
    said = wrong(office, "/shop/clamps/1", name="600 mm", reach="40", owned="12")
    assert "add clamps of another reach" in said
    assert post(office, "/shop/clamps", name="long bars", reach="50", owned="0")[0] == 303
    assert post(office, "/shop/clamps/2", name="long bars", reach="52", owned="4")[0] == 303
    with store_of.reading() as session:
        assert session.get_one(PoolRow, 2).reach_mm == 1321


def test_a_room_with_one_number_for_all_months(office: FlaskClient, store_of: Store) -> None:
    assert post(office, "/shop/rooms", **ROOM, **{"heated-1": "65"})[0] == 303
    with store_of.reading() as session:
        own = select(RoomTempRow).where(RoomTempRow.room_id == 2).order_by(RoomTempRow.month)
        rows = session.scalars(own).all()
    assert [row.heated_c for row in rows[:2]] == pytest.approx([18.333, 20], abs=0.001)
    assert {row.unheated_c for row in rows} == {10}
    assert "one number for all months" in wrong(office, "/shop/rooms", **{**ROOM, "heated": "", "name": "b"})
    assert "before it ends" in wrong(office, "/shop/rooms", **{**ROOM, "heated_until": "06:00", "name": "b"})


def test_a_material_with_its_wear_and_price_by_date(office: FlaskClient, store_of: Store) -> None:
    with store_of.writing() as session:
        make_material(session, "bog oak", wear=1.5, from_at=at("8:00", -30), starting=True)
    page = office.get("/shop/materials/1").text
    assert "Starting value – your own log will win." in page
    sent = {"name": "bog oak", "unit": "board foot", "wear": "1.5", "price": "14.50"}
    assert post(office, "/shop/materials/1", **sent)[0] == 303
    assert "Starting value" in office.get("/shop/materials/1").text, "only its price was said"
    assert post(office, "/shop/materials/1", **{**sent, "wear": "1,8", "price": "15"})[0] == 303
    page = office.get("/shop/materials/1").text
    assert "Starting value" not in page
    assert "15.00 USD for board foot" in text_of(page)
    with store_of.reading() as session:
        wears = session.scalars(select(MaterialWearRow).order_by(MaterialWearRow.from_at)).all()
        prices = session.scalars(select(MaterialPriceRow)).all()
        assert session.get_one(MaterialRow, 1).unit == "board foot"
    assert [(w.factor, w.starting) for w in wears] == [(1.5, True), (1.8, False)]
    assert [(p.from_on, p.cents) for p in prices] == [(NOW.date(), 1500)], "the same day's price is replaced"
    assert "from 0.05 to 50" in wrong(office, "/shop/materials", name="air", wear="0")


def test_a_kind_of_stage_of_the_shops_own(office: FlaskClient, store_of: Store) -> None:
    for _ in range(2):
        assert post(office, "/shop/kinds", **KIND)[0] == 303
    sent = {**KIND, "rate": "10", "caution": "Hot: gloves on.", "from_on": "2026-11-02"}
    assert post(office, "/shop/kinds/6", **sent)[0] == 303
    with store_of.reading() as session:
        kind = session.get_one(StageKindRow, 6)
        own = select(RuleRow).where(RuleRow.kind_id == 6).order_by(RuleRow.from_at)
        rules = [(r.setup_min, r.rate_min) for r in session.scalars(own)]
    assert (kind.unit, kind.interruption, kind.caution, kind.position) == (
        "strips",
        "none",
        "Hot: gloves on.",
        1,
    )
    assert rules == [(30, 10), (30, 12)], "said for an earlier day it holds until the later one"
    assert "needs minutes" in wrong(office, "/shop/kinds", **{**KIND, "name": "b", "setup": "", "rate": "0"})


def test_a_unit_that_work_was_planned_in_is_fixed(office: FlaskClient) -> None:
    fields = form_fields(office.get("/shop/kinds/1").text)
    assert fields["unit"] == "boards"
    assert "planned in boards" in wrong(office, "/shop/kinds/1", **{**fields, "unit": "feet"})


def test_a_station_that_moves_leaves_what_was_begun(office: FlaskClient, joinery: Joinery) -> None:
    door = joinery.add("tray", "tray", None)
    joinery.tap("start", at("13:00"), door["carving the well"], insisted=True)
    post(office, "/shop/rooms", **ROOM)
    assert post(office, "/shop/stations/1", name="router", room="2", makes_dust="yes")[0] == 303
    with joinery.store.reading() as session:
        assert session.get_one(StageRow, door["carving the well"]).room_id == 1


def test_rates(office: FlaskClient, store_of: Store) -> None:
    assert post(office, "/shop/rates", whose="hands", rate="52", from_on="2026-01-01")[0] == 303
    assert post(office, "/shop/rates", whose="person-2", rate="61.50")[0] == 303
    assert post(office, "/shop/rates", whose="station-1", rate="18")[0] == 303
    with store_of.reading() as session:
        assert hands_rate(list_rates(session), PIET, NOW.date()) == 6150
    words = text_of(office.get("/shop/rates").text)
    assert "anybody’s hands 52.00 USD" in words
    assert "router 18.00 USD" in words
    for whose in ("", "person-", "person-99", "station-x", "anybody"):
        assert wrong(office, "/shop/rates", whose=whose, rate="10")
    assert wrong(office, "/shop/rates", whose="hands", rate="") == "Say what an hour costs."


def test_a_first_rate_from_a_later_day_does_not_hold_yet(office: FlaskClient, store_of: Store) -> None:
    """Nobody's hour costs anything till its day: the page says so too, and says from when it will."""
    christmas = "2026-12-24"
    assert post(office, "/shop/rates", whose="hands", rate="52", from_on=christmas)[0] == 303
    with store_of.reading() as session:
        assert hands_rate(list_rates(session), None, NOW.date()) is None
    words = text_of(office.get("/shop/rates").text)
    assert "anybody’s hands none yet by date from Thu 24 Dec 52.00 USD" in words
    assert post(office, "/shop/rates", whose="hands", rate="50", from_on="2026-01-01")[0] == 303
    words = text_of(office.get("/shop/rates").text)
    assert "from Thu 24 Dec 52.00 USD from Thu 1 Jan 50.00 USD · holds now" in words
    assert "from the beginning" not in words
    assert "none yet" not in words


def test_a_first_price_from_a_later_day_does_not_hold_yet(office: FlaskClient, store_of: Store) -> None:
    """Saved again for its wear alone, the material does not cost that price from today."""
    with store_of.writing() as session:
        make_material(session, "bog oak", wear=1.5, from_at=at("8:00", -30))
    sent = {"name": "bog oak", "unit": "board foot", "wear": "1.5"}
    later = {"price": "14.50", "from_on": "2026-12-24"}
    assert post(office, "/shop/materials/1", **sent, **later)[0] == 303
    page = office.get("/shop/materials/1").text
    assert 'name="price" type="text" value=""' in page
    assert "from Thu 24 Dec 14.50 USD for board foot" in text_of(page)
    assert "14.50" not in text_of(office.get("/shop/materials").text)
    assert post(office, "/shop/materials/1", **{**sent, "wear": "2", "price": ""})[0] == 303
    with store_of.reading() as session:
        assert price_on(session, 1, NOW.date()) is None
