"""The pages of customers: added once, kept apart, changed, retired; what deposits are owed."""

from flask.testing import FlaskClient

from tests.joinery import BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of

FERN = {
    "after": "0",
    "name": "Ida <Fern>",
    "contact": "Ida",
    "email": "",
    "phone": "555",
    "address": "a\nb",
    "notes": "",
}


def test_the_list_counts_their_jobs(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    assert "Odile Marr no. 1 · 5 jobs, 5 open" in text_of(office.get("/customers").text)
    assert "hall door, ash" in office.get("/customers/1").text


def test_a_customer_is_added_once_and_changed(office: FlaskClient, joinery: Joinery) -> None:
    first, again = (office.post("/customers", data=FERN, headers=ORIGIN).location for _ in range(2))
    assert first == again == "/customers/1"
    other = office.post("/customers", data={**FERN, "after": "1"}, headers=ORIGIN).location
    assert other == "/customers/2"
    page = office.get("/customers").text
    assert page.count("Ida &lt;Fern&gt;") == 2
    assert "no. 2" in page
    office.post("/customers/2", data={**FERN, "phone": "556"}, headers=ORIGIN)
    assert 'value="556"' in office.get("/customers/2").text
    assert 'value="555"' in office.get("/customers/1").text


def test_without_a_name_nothing_typed_is_lost(office: FlaskClient, joinery: Joinery) -> None:
    office.post("/customers", data=FERN, headers=ORIGIN)
    for path in ("/customers", "/customers/1"):
        answer = office.post(path, data={**FERN, "name": " ", "contact": "Old Ida"}, headers=ORIGIN)
        assert answer.status_code == 400
        assert 'id="wrong-name">The name is missing.' in answer.text
        assert 'value="Old Ida"' in answer.text


def test_a_retired_customer_is_not_offered(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    for _ in range(2):
        assert office.post("/customers/1/retired", data={"retired": "yes"}, headers=ORIGIN).status_code == 303
    assert '<option value="Odile Marr' not in office.get("/jobs/new?pattern=1").text
    assert "hall door, ash" in office.get("/customers/1").text
    office.post("/customers/1/retired", data={"retired": "no"}, headers=ORIGIN)
    assert '<option value="Odile Marr' in office.get("/jobs/new?pattern=1").text


def test_deposits_owed_are_listed_with_their_sum(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    for job, deposit in ((1, "60"), (2, "40.50")):
        words = {
            "title": "t",
            "customer": "Odile Marr",
            "pieces": "1",
            "deposit": deposit,
            "deposit_on": "2026-11-01",
        }
        office.post(f"/jobs/{job}/change", data=words, headers=ORIGIN)
    for page in ("/customers", "/months"):
        assert "together 100.50 USD" in text_of(office.get(page).text), page


def test_a_customer_that_is_not_there(office: FlaskClient, joinery: Joinery) -> None:
    for path in ("/customers/9", "/customers/99999999999999999999"):
        assert office.get(path).status_code == 404
    assert office.post("/customers/9", data=FERN, headers=ORIGIN).status_code == 404
    assert office.post("/customers/9/retired", data={"retired": "yes"}, headers=ORIGIN).status_code == 404


def test_customers_are_for_the_office(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    assert client.get("/customers").status_code == 303
    assert client.post("/customers", data=FERN, headers=ORIGIN).status_code == 403
