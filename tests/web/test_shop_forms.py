"""Whatever is posted to a Shop screen, the answer is a page: taken, or said what is wrong."""

import re

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.store.inspection import replay_check
from tests.joinery import NOW, BusyDay, Joinery
from tests.web.conftest import ORIGIN

PATHS = (
    "/shop/itself",
    "/shop/people",
    "/shop/people/1",
    "/shop/people/1/place",
    "/shop/people/2/retired",
    "/shop/rooms",
    "/shop/rooms/1",
    "/shop/stations/1",
    "/shop/clamps/1",
    "/shop/tools",
    "/shop/materials",
    "/shop/recipes",
    "/shop/recipes/1",
    "/shop/kinds/1",
    "/shop/hours/shop",
    "/shop/hours/1",
    "/shop/days-off",
    "/shop/days-off/1/back",
    "/shop/holidays",
    "/shop/rates",
    "/shop/terms",
    "/shop/hour-cost",
    "/shop/hour-cost/rate",
)
ODD = (
    "",
    "0",
    "-1",
    "1",
    "1e999",
    "nan",
    "inf",
    "1 h",
    "9" * 40,
    "1/0",
    "2026-11-25",
    "0001-01-01",
    "9999-12-31",
    "08:00",
    "24:00",
    "<script>alert(1)</script>",
    "=1+1",
    '’"; drop table people; --',
    "\x00",
    "\U0001fab5",
    "²",
    "٣",
    "person-²",
    "station-99",
    "hands",
    "10 = 2 h; 20 = 1 h",
    "yes",
)
VALUES = st.one_of(st.sampled_from(ODD), st.text(max_size=30))


def fields_of(page: str) -> list[str]:
    return sorted(set(re.findall(r'name="([\w-]+)"', page)))


@pytest.fixture
def known(office: FlaskClient, day: BusyDay) -> dict[str, list[str]]:
    """The names of each form's fields, from the page that shows it."""
    shown = {path: re.sub(r"/(place|retired|1/back)$", "", path) for path in PATHS}
    return {path: [*fields_of(office.get(page).text), "from_on", "rows"] for path, page in shown.items()}


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_post_breaks_a_page(
    office: FlaskClient, joinery: Joinery, known: dict[str, list[str]], data: st.DataObject
) -> None:
    path = data.draw(st.sampled_from(PATHS))
    sent = data.draw(st.dictionaries(st.sampled_from(known[path]), VALUES, max_size=len(known[path])))
    answer = office.post(path, data=sent, headers=ORIGIN)
    assert answer.status_code in (200, 303, 400, 403, 404)
    assert "<script>alert" not in answer.text
    for page in ("/shop", "/", path if path[-1].isdigit() else "/shop/history"):
        assert office.get(page).status_code in (200, 303)


def test_after_changes_of_the_past_the_tally_agrees(
    office: FlaskClient, joinery: Joinery, day: BusyDay
) -> None:
    """A changed rule, week and zone, each counted again in its own write."""
    post = {"setup": "1", "rate": "9", "name": "milling", "unit": "boards", "from_on": "2026-11-01"}
    post |= {"attendance": "hands-on", "interruption": "any"}
    assert office.post("/shop/kinds/1", data=post, headers=ORIGIN).status_code == 303
    week = {"from_on": "2026-11-01", "day-0-0-from": "06:00", "day-0-0-until": "20:00", "same": "yes"}
    assert office.post("/shop/hours/shop", data=week, headers=ORIGIN).status_code == 303
    sent = {
        "name": "Elsewhere",
        "zone": "Europe/Vienna",
        "length_unit": "mm",
        "temperature_unit": "C",
        "currency": "EUR",
        "clock": "24",
    }
    assert office.post("/shop/itself", data=sent, headers=ORIGIN).status_code == 303
    with joinery.store.writing() as session:
        assert replay_check(session, NOW) == []
        assert rebuild_tally(session, NOW) > 0
