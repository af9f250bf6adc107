"""The end of a job: what it took, closed or called off once, opened again."""

import re

from flask.testing import FlaskClient

from tests.joinery import BusyDay, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def test_a_job_is_closed_with_what_it_took(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.elm["job"]
    words = text_of(office.get(f"/jobs/{job}/end").text)
    assert "Not all its stages are done." in words
    assert "Hours by stage milling" in words
    assert "Hours by person Una" in words
    form = {"closed": "yes", "delivered_on": "2026-11-24"}
    for _ in range(2):
        answer = office.post(f"/jobs/{job}/closed", data=form, headers=ORIGIN)
        assert (answer.status_code, answer.location) == (303, f"/jobs/{job}/end")
    words = text_of(office.get(f"/jobs/{job}/end").text)
    assert "Closed 13:24, delivered yesterday." in words
    assert "six trays" not in office.get("/jobs").text
    office.post(f"/jobs/{job}/closed", data={"closed": "no"}, headers=ORIGIN)
    assert "six trays" in office.get("/jobs").text


def test_what_nobody_has_said_yet_is_asked_before_it_is_closed(office: FlaskClient, joinery: Joinery) -> None:
    """Three hours of milling that usually takes 35 minutes; and nothing was written down as bought."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:05"), tray["milling"])
    joinery.tap("finish", at("11:05"), tray["milling"])
    page = f"/jobs/{tray['job']}/end"
    words = text_of(office.get(page).text)
    assert "milling: 3 h, usually 35 min. Was it worked all that time? Say it on the Floor" in words
    assert "Nothing is written down as bought for it. Write it under money" in words
    ((asked, link),) = re.findall(r'href="/#(q-[^"]+)">([^<]+)<', office.get(page).text)
    assert link == "Say it on the Floor"
    assert f'id="{asked}"' in office.get("/").text


def test_it_may_be_closed_before_it_is_delivered(office: FlaskClient, day: BusyDay) -> None:
    job = day.elm["job"]
    office.post(f"/jobs/{job}/closed", data={"closed": "yes", "delivered_on": ""}, headers=ORIGIN)
    assert "not delivered yet" in office.get(f"/jobs/{job}/end").text


def test_a_delivery_to_come(office: FlaskClient, day: BusyDay) -> None:
    form = {"closed": "yes", "delivered_on": "2026-11-26"}
    answer = office.post(f"/jobs/{day.elm['job']}/closed", data=form, headers=ORIGIN)
    assert answer.status_code == 400
    assert "That day is still to come." in answer.text
    assert "six trays" in office.get("/jobs").text


def test_a_job_is_called_off_with_its_reason(office: FlaskClient, day: BusyDay) -> None:
    job = day.elm["job"]
    answer = office.post(f"/jobs/{job}/called-off", data={"called_off_why": " "}, headers=ORIGIN)
    assert answer.status_code == 400
    assert "Say why it is called off." in answer.text
    assert '<details id="call-off" open>' in answer.text
    for why in ("moved <away>", "another reason"):
        assert (
            office.post(f"/jobs/{job}/called-off", data={"called_off_why": why}, headers=ORIGIN).status_code
            == 303
        )
    for page in (f"/jobs/{job}", f"/jobs/{job}/end"):
        assert "alled off 13:24: moved &lt;away&gt;" in office.get(page).text


def test_a_deposit_that_is_owed_is_said(office: FlaskClient, day: BusyDay) -> None:
    job = day.elm["job"]
    words = {
        "title": "t",
        "customer": "Odile Marr",
        "pieces": "1",
        "deposit": "60",
        "deposit_on": "2026-11-01",
    }
    office.post(f"/jobs/{job}/change", data=words, headers=ORIGIN)
    office.post(f"/jobs/{job}/called-off", data={"called_off_why": "moved"}, headers=ORIGIN)
    said = text_of(office.get(f"/jobs/{job}/end").text)
    assert "The deposit of 60.00 USD is owed until it is delivered, or given back" in said
