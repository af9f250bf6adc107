"""The door of the office: a name is tapped and the device works in it."""

from flask.testing import FlaskClient

from tests.web.conftest import ORIGIN


def test_a_name_is_tapped_and_the_page_asked_for_is_shown(client: FlaskClient) -> None:
    page = client.get("/office?back=/jobs/new").text
    assert "Who is it?" in page
    answer = client.post("/office", data={"person": "1", "back": "/jobs/new"}, headers=ORIGIN)
    assert (answer.status_code, answer.location) == (303, "/jobs/new")
    answer = client.post("/office/leave", headers=ORIGIN)
    assert answer.status_code == 303
    with client.session_transaction() as kept:
        assert "person" not in kept


def test_a_name_that_is_not_there_and_a_foreign_way_back_are_refused(client: FlaskClient) -> None:
    for data in ({"person": "99"}, {"person": ""}, {"person": "1", "back": "//elsewhere.test/"}):
        assert client.post("/office", data=data, headers=ORIGIN).status_code == 400
