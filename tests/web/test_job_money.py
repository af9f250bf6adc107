"""The money of a job on its page: extras and their answers, costs, and what is left; for the office alone."""

import re
from datetime import date

from flask.testing import FlaskClient

from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from shoptrack.store.rates import set_rate
from shoptrack.store.tables import MaterialPriceRow, MaterialRow
from tests.joinery import NOW, BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of

EXTRA = {"number": "1", "extra_words": "brass <handles>", "extra": "45", "asked_on": "2026-11-20"}
COST = {
    "after": "0", "kind": "material", "cost_words": "", "material": "1", "quantity": "2.5", "cost": "",
    "spent_on": "",
}  # fmt: skip


def priced(joinery: Joinery, job: int) -> None:
    with joinery.store.writing() as session:
        edit(session, job_row(session, job), None, NOW, price_cents=50000)
        set_rate(session, cents_per_h=6000, from_on=date(2025, 1, 1), who=None, now=NOW)
        session.add(MaterialRow(id=1, name="elm", unit="board foot"))
        session.flush()
        session.add(MaterialPriceRow(material_id=1, from_on=date(2025, 1, 1), cents=1250))


def test_extras_from_asked_to_approved(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """Sent twice it is one; approved it adds to the price; the answer can be taken back."""
    job = day.elm["job"]
    priced(joinery, job)
    for _ in range(2):
        answer = office.post(f"/jobs/{job}/extras", data=EXTRA, headers=ORIGIN)
        assert (answer.status_code, answer.location) == (303, f"/jobs/{job}/money#extras")
    page = office.get(f"/jobs/{job}/money").text
    assert page.count("brass &lt;handles&gt;") == 1
    assert 'name="number" value="2"' in page
    assert "approved extras" not in page
    said = {"answer": "yes", "how": "by phone", "answered_on-1": "2026-11-21"}
    office.post(f"/jobs/{job}/extras/1", data=said, headers=ORIGIN)
    words = text_of(office.get(f"/jobs/{job}/money").text)
    assert "approved extras 45.00 USD" in words
    assert "approved Sat 21 Nov, by phone" in words
    office.post(f"/jobs/{job}/extras/1", data={"answer": "none yet"}, headers=ORIGIN)
    office.post(f"/jobs/{job}/extras/1", data={"answer": "no"}, headers=ORIGIN)
    words = text_of(office.get(f"/jobs/{job}/money").text)
    assert "turned down today" in words
    assert "approved extras" not in words


def test_costs_at_the_price_of_the_day(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """2.5 board feet at 12.50 are 31.25; sent twice they count once; taken back they count no more."""
    job = day.elm["job"]
    priced(joinery, job)
    for _ in range(2):
        assert office.post(f"/jobs/{job}/costs", data=COST, headers=ORIGIN).status_code == 303
    page = office.get(f"/jobs/{job}/money").text
    assert "material, hardware and other costs − 31.25 USD" in text_of(page)
    assert "elm, by board foot" in page
    (back,) = re.findall(rf'action="(/jobs/{job}/costs/\d+/back)"', page)
    office.post(back, headers=ORIGIN)
    text = text_of(office.get(f"/jobs/{job}/money").text)
    assert "price 500.00 USD" in text
    assert "31.25" not in text.partition("Hours by")[0]


def test_what_is_left_adds_up_on_the_page(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.elm["job"]
    priced(joinery, job)
    office.post(f"/jobs/{job}/costs", data=COST, headers=ORIGIN)
    page = text_of(office.get(f"/jobs/{job}/money").text)
    sum_ = re.search(
        r"What is left price ([\d.]+) USD hands .*?− ([\d.]+) USD .*? − ([\d.]+) USD left ([\d.]+)", page
    )
    assert sum_ is not None, page
    price, hands, spent, left = (round(float(n) * 100) for n in sum_.groups())
    assert price - hands - spent == left


def test_a_mistake_is_said_beside_its_field_and_nothing_is_lost(
    office: FlaskClient, joinery: Joinery, day: BusyDay
) -> None:
    job = day.elm["job"]
    for at, form, field, value, sentence in (
        ("extras", EXTRA, "extra", "much", "“much” is not an amount"),
        ("extras", EXTRA, "asked_on", "2027-01-01", "still to come"),
        ("costs", COST, "cost", "", "no such material"),
        ("costs", {**COST, "material": ""}, "cost", "", "Write the amount"),
        ("costs", COST, "quantity", "x", "above nought"),
    ):
        answer = office.post(f"/jobs/{job}/{at}", data={**form, field: value}, headers=ORIGIN)
        assert answer.status_code == 400, (at, field)
        assert sentence in answer.text
        kept = "brass &lt;handles&gt;" if at == "extras" else 'name="quantity"'
        assert kept in answer.text
    assert office.post(f"/jobs/{job}/extras/7", data={"answer": "yes"}, headers=ORIGIN).status_code == 404
    assert office.post(f"/jobs/{job}/extras/1", data={"answer": "maybe"}, headers=ORIGIN).status_code == 400
    assert office.post(f"/jobs/{job}/costs/9/back", headers=ORIGIN).status_code == 404
    assert office.post("/jobs/999/extras", data=EXTRA, headers=ORIGIN).status_code == 404
