"""Shop → a station → how it reads machine programs."""

import pytest
from flask.testing import FlaskClient

from shoptrack.store.routers import Router as Settings
from shoptrack.store.routers import router_of
from shoptrack.store.tables import ShopRow
from tests.flows.programs.shop import Router, make_router
from tests.joinery import Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_programs import attached, plain

SAID = {"dwell": "milliseconds", "starts": "inch", "rapid": "200", "change": "12,5", "knows": "yes"}


@pytest.fixture
def router(joinery: Joinery) -> Router:
    """The small shop with a tray to be routed."""
    return make_router(joinery)


def address(router: Router) -> str:
    return f"/shop/stations/{router.station}/programs"


def settings(router: Router) -> Settings:
    with router.store.reading() as session:
        return router_of(session, router.station)


def test_a_station_leads_to_its_settings_for_programs(office: FlaskClient, router: Router) -> None:
    assert address(router) in office.get(f"/shop/stations/{router.station}").text
    text = office.get(address(router)).text
    assert "Starting values" in text
    assert "× 1.15" in text
    assert office.get("/shop/stations/99/programs").status_code == 404


def test_they_are_said_in_the_shops_own_unit(office: FlaskClient, router: Router) -> None:
    answer = office.post(address(router), data=SAID, headers=ORIGIN)
    assert answer.status_code == 303
    own = settings(router)
    assert (own.dwell_unit, own.starts_in, own.knows_70_71, own.tool_change_s) == (
        "milliseconds",
        "inch",
        True,
        12.5,
    )
    assert own.rapid_mm_min == pytest.approx(200 * 25.4)
    with router.store.writing() as session:
        session.get_one(ShopRow, 1).length_unit = "mm"
    office.post(address(router), data={**SAID, "rapid": "8000"}, headers=ORIGIN)
    assert settings(router).rapid_mm_min == 8000
    text = office.get(address(router)).text
    assert 'value="8000"' in text
    assert "Starting values" not in text


def test_a_rate_that_was_not_touched_stays_to_the_last_digit(office: FlaskClient, router: Router) -> None:
    office.post(address(router), data={**SAID, "rapid": "197"}, headers=ORIGIN)  # as 5000 mm/min is shown
    assert settings(router).rapid_mm_min == 5000.0


@pytest.mark.parametrize(
    ("field", "said"),
    [("rapid", ""), ("rapid", "0"), ("rapid", "fast"), ("rapid", "1e9"), ("change", "-1"), ("change", ""),
     ("dwell", "hours"), ("starts", "")],
)  # fmt: skip
def test_nonsense_is_told_beside_its_field(
    office: FlaskClient, router: Router, field: str, said: str
) -> None:
    answer = office.post(address(router), data={**SAID, field: said}, headers=ORIGIN)
    assert answer.status_code == 400
    assert f'id="wrong-{field}"' in answer.text
    assert settings(router).starting


def test_the_programs_of_a_router_are_timed_anew(office: FlaskClient, router: Router) -> None:
    made = attached(office, router)
    office.post(address(router), data={**SAID, "dwell": "seconds", "change": "0"}, headers=ORIGIN)
    text = plain(office, made)
    assert "4 min 36 s" in text, "1 + 3 min of cuts, half a minute's dwell, 500 mm at 5080 mm/min"
    assert "The program read for it is timed anew" in office.get(address(router)).text
    changes = office.get(f"/shop/stations/{router.station}").text
    assert "rapid" in changes
