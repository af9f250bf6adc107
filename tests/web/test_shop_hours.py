"""Working hours, days off and holidays on their pages, and hours that are counted again."""

import re

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from shoptrack.store.hours import days_off, weeks_of
from shoptrack.store.inspection import replay_check
from shoptrack.store.shop import shop_row
from shoptrack.store.tables import TallyRow
from tests.joinery import NOW, PIET, UNA, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.posting import post, wrong
from tests.web.test_floor import text_of

THROUGH = {"day-0-0-from": "08:00", "day-0-0-until": "17:00", "same": "yes"}


def milled(joinery: Joinery) -> int:
    """A stage worked on from 11:00 to 13:30 on Tuesday of last week, over half an hour of lunch."""
    stage = joinery.add("tray", "tray", None)["milling"]
    joinery.tap("start", at("11:00", -8), stage)
    joinery.tap("finish", at("13:30", -8), stage)
    return stage


def minutes_of(joinery: Joinery, stage: int) -> float:
    with joinery.store.reading() as session:
        assert replay_check(session, NOW) == []
        return session.scalars(select(TallyRow.attended_min).where(TallyRow.stage_id == stage)).one()


def test_a_week_from_today_leaves_last_week_alone(office: FlaskClient, joinery: Joinery) -> None:
    stage = milled(joinery)
    assert minutes_of(joinery, stage) == pytest.approx(120)
    for _ in range(2):
        assert post(office, "/shop/hours/shop", **THROUGH)[0] == 303
    assert minutes_of(joinery, stage) == pytest.approx(120)
    with joinery.store.reading() as session:
        assert len(weeks_of(session, None)) == 2
    words = text_of(office.get("/shop/hours/shop").text)
    assert "from today Mon–Fri 8:00–17:00; Sat–Sun no work · holds now" in words


def test_an_earlier_day_counts_the_hours_again(office: FlaskClient, joinery: Joinery) -> None:
    stage = milled(joinery)
    assert post(office, f"/shop/hours/{UNA}", **THROUGH, from_on="2026-11-01")[0] == 303
    assert minutes_of(joinery, stage) == pytest.approx(150)
    assert "Una Mon–Fri 8:00–17:00" in text_of(office.get("/shop/hours").text)
    assert "Piet the shop’s" in text_of(office.get("/shop/hours").text)


def test_a_persons_form_starts_from_the_shops_week(office: FlaskClient) -> None:
    page = office.get(f"/shop/hours/{PIET}").text
    assert re.findall(r'name="day-0-[0-2]-\w+" value="([\d:]*)"', page) == [
        "08:00",
        "12:00",
        "12:30",
        "17:00",
        "",
        "",
    ]
    post(office, f"/shop/hours/{PIET}", **THROUGH)
    assert 'value="12:30"' not in office.get(f"/shop/hours/{PIET}").text
    assert 'value="12:30"' in office.get(f"/shop/hours/{PIET}?as=shop").text


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"day-1-0-from": "08:00"}, "On Tuesday a stretch has one end only."),
        (
            {"day-2-0-from": "12:00", "day-2-0-until": "08:00"},
            "On Wednesday a stretch ends before",
        ),
        ({"day-3-0-from": "noon", "day-3-0-until": "13:00"}, "Thursday is not a time of day"),
        ({**THROUGH, "from_on": "yesterday"}, "not a date"),
        (
            {
                "day-4-0-from": "08:00",
                "day-4-0-until": "12:00",
                "day-4-1-from": "11:00",
                "day-4-1-until": "14:00",
            },
            "On Friday two stretches of work overlap.",
        ),
    ],
)
def test_a_week_that_can_not_be(office: FlaskClient, fields: dict[str, str], said: str) -> None:
    assert said in wrong(office, "/shop/hours/shop", **fields)


def test_hours_of_nobody(office: FlaskClient) -> None:
    assert office.get("/shop/hours/99").status_code == 404
    assert post(office, "/shop/hours/99", **THROUGH)[0] == 404


def test_days_off_come_once_and_go(office: FlaskClient, joinery: Joinery) -> None:
    """Una was away on the Tuesday that the log says she worked over; then it was a mistake."""
    stage = milled(joinery)
    sent = {"person": str(UNA), "first_on": "2026-11-18", "reason": "dentist"}
    for _ in range(2):
        assert post(office, "/shop/days-off", **sent)[0] == 303
    assert minutes_of(joinery, stage) == pytest.approx(120)
    with joinery.store.reading() as session:
        (row,) = days_off(session)
    words = text_of(office.get("/shop/days-off").text)
    assert "Una : dentist" in words
    for _ in range(2):
        assert post(office, f"/shop/days-off/{row.id}/back")[0] == 303
    with joinery.store.reading() as session:
        assert days_off(session) == []
    assert "taken back: 2026-11-18 dentist" in text_of(office.get("/shop/history").text)


def test_a_past_day_off_counts_the_night_shift_again(office: FlaskClient, joinery: Joinery) -> None:
    """From Monday 16:30 to Wednesday 10:00, with the Tuesday off."""
    stage = joinery.add("tray", "tray", None)["milling"]
    joinery.tap("start", at("16:30", -9), stage)
    joinery.tap("finish", at("10:00", -7), stage)
    assert minutes_of(joinery, stage) == pytest.approx(660)
    post(office, "/shop/days-off", first_on="2026-11-17", last_on="2026-11-17")
    assert minutes_of(joinery, stage) == pytest.approx(150)
    post(office, "/shop/days-off/1/back")
    assert minutes_of(joinery, stage) == pytest.approx(660)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "The first day is missing."),
        ({"first_on": "2026-12-24", "last_on": "2026-12-20"}, "before the first"),
        ({"first_on": "2026-12-24", "last_on": "2099-12-20"}, "more than a year"),
        ({"first_on": "2026-12-24", "person": "99"}, "not there any more"),
        ({"first_on": "9999-12-31"}, "must lie between"),
    ],
)
def test_days_off_that_can_not_be(office: FlaskClient, fields: dict[str, str], said: str) -> None:
    assert said in wrong(office, "/shop/days-off", **fields)


def test_holidays_are_ticked_and_added_once(office: FlaskClient, joinery: Joinery) -> None:
    page = office.get("/shop/holidays").text
    assert '<option value="US" selected>United States</option>' in page, "guessed by the zone, not yet shown"
    page = office.get("/shop/holidays?country=US&part=VT").text
    days = re.findall(r'name="day" value="([\d-]+)" checked', page)
    assert days[:2] == ["2026-11-26", "2026-12-25"]
    chosen = {"country": "US", "part": "VT", "day": [*days[:3], "2026-12-24", "x"]}
    for _ in range(2):
        answer = office.post("/shop/holidays", data=chosen, headers=ORIGIN)
        assert answer.headers["Location"] == "/shop/holidays?country=US&part=VT"
    with joinery.store.reading() as session:
        assert [row.first_on.isoformat() for row in reversed(days_off(session))] == days[:3]
        assert shop_row(session).holidays_of == "US-VT"
    page = office.get("/shop/holidays").text
    assert page.count("closed already") == 3
    assert "Holidays United States, Vermont" in text_of(office.get("/shop").text)


def test_a_place_that_is_not_there(office: FlaskClient) -> None:
    assert office.get("/shop/holidays?country=XX&part=%3Cscript%3E").status_code == 200
    assert office.get("/shop/holidays?country=AT&part=VT").status_code == 200
    assert post(office, "/shop/holidays", country="XX")[0] == 400
