"""The pages on which a job's words and its promised date are changed."""

import re

import pytest
from flask.testing import FlaskClient

from tests.joinery import BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of

WORDS = {
    "title": "hall door, ash", "customer": "Odile Marr", "pieces": "1", "notes": "", "price": "",
    "deposit": "", "deposit_on": "", "delivered_on": "",
}  # fmt: skip


def test_a_job_is_changed(office: FlaskClient, day: BusyDay) -> None:
    job = day.hall["job"]
    typed = {
        **WORDS,
        "title": "hall <door>",
        "price": "1250.50",
        "deposit": "300",
        "deposit_on": "2026-11-20",
    }
    answer = office.post(f"/jobs/{job}/change", data=typed, headers=ORIGIN)
    assert (answer.status_code, answer.location) == (303, f"/jobs/{job}")
    page = office.get(f"/jobs/{job}").text
    assert "hall &lt;door&gt;" in page
    words = text_of(page)
    assert "1,250.50 USD" in words
    assert "deposit, owed until delivered 300.00 USD" in words
    again = office.get(f"/jobs/{job}/change").text
    assert 'value="1250.50"' in again
    assert 'value="2026-11-20"' in again


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("title", "", "What it is is missing."),
        ("deposit", "300", "Say on which day the deposit came."),
        ("delivered_on", "2026-11-26", "That day is still to come."),
        ("pieces", "one", "The number of pieces must be"),
    ],
)
def test_nothing_typed_is_lost(
    office: FlaskClient, day: BusyDay, field: str, value: str, sentence: str
) -> None:
    typed = {**WORDS, "notes": "by the <b>gate", field: value}
    answer = office.post(f"/jobs/{day.hall['job']}/change", data=typed, headers=ORIGIN)
    assert answer.status_code == 400
    beside = "deposit_on" if field == "deposit" else field
    said = re.search(rf'id="wrong-{beside}">(.*?)</p>', answer.text)
    assert said is not None
    assert sentence in said[1]
    assert "by the &lt;b&gt;gate" in answer.text


def test_a_promised_date_moves_with_a_reason(office: FlaskClient, day: BusyDay) -> None:
    job = day.hall["job"]
    answer = office.post(
        f"/jobs/{job}/promised", data={"promised_on": "2026-12-11", "why": ""}, headers=ORIGIN
    )
    assert answer.status_code == 400
    assert "Say why the date moves." in answer.text
    assert 'value="2026-12-11"' in answer.text
    said = {"promised_on": "2026-12-11", "why": "ash came wet"}
    for _ in range(2):
        assert office.post(f"/jobs/{job}/promised", data=said, headers=ORIGIN).status_code == 303
    words = text_of(office.get(f"/jobs/{job}/promised").text)
    assert words.count("Una : from Fri 4 Dec to Fri 11 Dec – ash came wet") == 1
    assert "promised date, moved 1 time" in text_of(office.get(f"/jobs/{job}").text)


@pytest.mark.parametrize("page", ["change", "promised", "money", "end"])
def test_these_pages_are_the_offices(client: FlaskClient, joinery: Joinery, day: BusyDay, page: str) -> None:
    assert client.get(f"/jobs/1/{page}").location == f"/office?back=%2Fjobs%2F1%2F{page}"
    for at in ("change", "promised", "extras", "costs", "closed", "called-off"):
        assert client.post(f"/jobs/1/{at}", data={}, headers=ORIGIN).status_code == 403, at


@pytest.mark.parametrize("page", ["change", "promised", "money", "end", "change?x=1"])
def test_a_job_that_is_not_there(office: FlaskClient, joinery: Joinery, page: str) -> None:
    assert office.get(f"/jobs/999/{page}").status_code == 404
    assert office.get(f"/jobs/99999999999999999999/{page}").status_code == 404
