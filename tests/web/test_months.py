"""The pages of months: figures of the open one, a month closed once and in order, the same for ever."""

import pytest
from flask.testing import FlaskClient

from tests.flows.autumn import FRIDAY, on, over_the_end
from tests.joinery import Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def test_a_month_is_closed_and_its_corrections_show_in_the_next(
    office: FlaskClient, joinery: Joinery
) -> None:
    over_the_end(joinery)
    words = text_of(office.get("/months").text)
    assert "November 2026 running" in words
    assert "October 2026 over, not closed" in words
    assert "Hours on jobs, by person Una 1 h" in text_of(office.get("/months/2026-10").text)
    for _ in range(2):
        answer = office.post("/months/2026-10/closed", headers=ORIGIN)
        assert (answer.status_code, answer.location) == (303, "/months/2026-10")
    before = office.get("/months/2026-10").text
    assert "Closed 13:24 by Una" in text_of(before)
    joinery.tap("retime", at("9:00"), of="tap-0003", to_at=on(FRIDAY, "16:30").isoformat())
    assert office.get("/months/2026-10").text == before
    assert "October 2026: hours on jobs, Una −30 min" in text_of(office.get("/months/2026-11").text)


@pytest.mark.parametrize("month", ["2026-11", "2026-12"])
def test_what_is_not_over_is_not_closed(office: FlaskClient, joinery: Joinery, month: str) -> None:
    over_the_end(joinery)
    assert office.post(f"/months/{month}/closed", headers=ORIGIN).status_code in (404, 409)
    assert "November 2026 running" in text_of(office.get("/months").text)


@pytest.mark.parametrize("month", ["2026-13", "1999-01", "x", "2026-1-1", "99999-01", "2026-11-01"])
def test_what_is_no_month(office: FlaskClient, joinery: Joinery, month: str) -> None:
    over_the_end(joinery)
    assert office.get(f"/months/{month}").status_code == 404


def test_a_shop_without_a_job_has_a_running_month(office: FlaskClient, joinery: Joinery) -> None:
    assert "November 2026 running" in text_of(office.get("/months").text)
    assert office.get("/months/2026-11").status_code == 200


def test_months_are_for_the_office(client: FlaskClient, joinery: Joinery) -> None:
    assert client.get("/months").status_code == 303
    assert client.post("/months/2026-10/closed", headers=ORIGIN).status_code == 403
