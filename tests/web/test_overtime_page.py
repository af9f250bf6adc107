"""Overtime on its page, on the parts list, and in the hours that are counted."""

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from shoptrack.store.inspection import replay_check
from shoptrack.store.overtime import overtime_said
from shoptrack.store.tables import TallyRow
from tests.joinery import NOW, UNA, Joinery, at
from tests.web.posting import post, wrong
from tests.web.test_floor import text_of

COMING = {"on": "2026-11-28", "opens": "08:00", "closes": "12:00", "person": str(UNA), "reason": "the fair"}


def evening(joinery: Joinery) -> int:
    """A stage worked on from 16:00 to 19:00 on Tuesday of last week; the shop closes at 17:00."""
    stage = joinery.add("tray", "tray", None)["milling"]
    joinery.tap("start", at("16:00", -8), stage)
    joinery.tap("finish", at("19:00", -8), stage)
    return stage


def minutes_of(joinery: Joinery, stage: int) -> float:
    with joinery.store.reading() as session:
        assert replay_check(session, NOW) == []
        return session.scalars(select(TallyRow.attended_min).where(TallyRow.stage_id == stage)).one()


def test_it_comes_once_and_goes(office: FlaskClient, joinery: Joinery) -> None:
    assert "None to come." in office.get("/shop/overtime").text
    for _ in range(2):
        assert post(office, "/shop/overtime", **COMING)[0] == 303
    words = text_of(office.get("/shop/overtime").text)
    assert words.count("Sat 28 Nov 8:00–12:00 Una : the fair") == 1
    assert "Overtime 1 28 Nov Una 8:00–12:00" in text_of(office.get("/shop").text)
    for _ in range(2):
        assert post(office, "/shop/overtime/1/back")[0] == 303
    assert "None to come." in office.get("/shop/overtime").text
    history = text_of(office.get("/shop/history?thing=overtime").text)
    assert "taken back: 2026-11-28 08:00–12:00 the fair" in history


def test_that_of_a_past_day_counts_the_hours_again(office: FlaskClient, joinery: Joinery) -> None:
    """60 minutes until closing; with overtime for everybody until 18:30 they are 150; taken back, 60."""
    stage = evening(joinery)
    assert minutes_of(joinery, stage) == pytest.approx(60)
    past = {"on": "2026-11-17", "opens": "17:00", "closes": "18:30"}
    assert post(office, "/shop/overtime", **past)[0] == 303
    assert minutes_of(joinery, stage) == pytest.approx(150)
    assert "Past: the last 1" in office.get("/shop/overtime").text
    assert post(office, "/shop/overtime/1/back")[0] == 303
    assert minutes_of(joinery, stage) == pytest.approx(60)


def test_it_is_written_by_the_shops_own_clock(office: FlaskClient, joinery: Joinery) -> None:
    sent = {"name": "x", "zone": "America/New_York", "length_unit": "in", "temperature_unit": "F",
            "currency": "USD", "clock": "12"}  # fmt: skip
    assert post(office, "/shop/itself", **sent)[0] == 303
    post(office, "/shop/overtime", **{**COMING, "closes": "13:30"})
    assert "8:00 am–1:30 pm" in text_of(office.get("/shop/overtime").text)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"on": ""}, "The day is missing."),
        ({"on": "2026-02-30"}, "not a date"),
        ({"opens": ""}, "Say when it begins."),
        ({"closes": ""}, "Say when it ends."),
        ({"opens": "late"}, "not a time of day"),
        ({"closes": "07:00"}, "ends before it begins"),
        ({"closes": "08:00"}, "ends before it begins"),
        ({"opens": "11:00", "closes": "14:00"}, "There is overtime in those hours already"),
        ({"person": "99"}, "not there any more"),
        ({"person": "x"}, "whole number"),
        ({"reason": "x" * 201}, "longer than 200"),
    ],
)
def test_overtime_that_can_not_be(
    office: FlaskClient, joinery: Joinery, fields: dict[str, str], said: str
) -> None:
    post(office, "/shop/overtime", **COMING)
    assert said in wrong(office, "/shop/overtime", **{**COMING, **fields})
    with joinery.store.reading() as session:
        assert len(overtime_said(session)) == 1


def test_what_was_typed_is_still_there(office: FlaskClient) -> None:
    page = post(office, "/shop/overtime", **{**COMING, "closes": "07:00"})[1]
    assert 'value="the fair"' in page
    assert f'<option value="{UNA}" selected>' in page
