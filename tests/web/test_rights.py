"""Who may open the pages of the office, and in whose name they are changed."""

from flask import Flask
from flask.testing import FlaskClient

from shoptrack.web.rights import acting, device_kind, may_see_money, needs_office
from tests.joinery import Joinery
from tests.web.conftest import ORIGIN


def test_the_office_asks_who_it_is_where_several_work(joinery: Joinery, bare_app: Flask) -> None:
    with bare_app.test_request_context("/shop?x=1&y=2"):
        answer = needs_office()
        assert answer is not None
        assert answer.location == "/office?back=%2Fshop%3Fx%3D1%26y%3D2"
        assert acting() is None
        assert (device_kind(), may_see_money()) == ("office", True)


def test_a_shop_without_people_is_open(bare_app: Flask) -> None:
    with bare_app.test_request_context("/shop"):
        assert needs_office() is None


def test_a_tapped_name_opens_it(client: FlaskClient) -> None:
    client.post("/office", data={"person": "1"}, headers=ORIGIN)
    with client.session_transaction() as kept:
        assert kept["person"] == 1
