"""What a person, or a program, is told when something is refused."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.errors import BadInput, NotFound, Refused


def test_a_page_that_is_not_there_is_a_sheet(bare: FlaskClient) -> None:
    answer = bare.get("/nowhere")
    assert answer.status_code == 404
    assert "There is nothing at this address." in answer.text
    assert 'href="/"' in answer.text


@pytest.mark.parametrize(
    ("wrong", "code"), [(BadInput("Too few."), 400), (NotFound("No such."), 404), (Refused("Not now."), 409)]
)
def test_the_shops_own_refusals(bare_app: Flask, wrong: Exception, code: int) -> None:
    """The sentence as it is, as a page, and as a problem document for programs (RFC 9457)."""

    def refuse() -> str:
        raise wrong

    bare_app.add_url_rule("/refuse", "refuse", refuse)
    bare_app.add_url_rule("/api/refuse", "api_refuse", refuse)
    client = bare_app.test_client()
    page, document = client.get("/refuse"), client.get("/api/refuse")
    assert page.status_code == document.status_code == code
    assert str(wrong) in page.text
    assert document.get_json(force=True)["detail"] == str(wrong)


def test_the_wrong_way_names_the_right_one(bare: FlaskClient) -> None:
    answer = bare.post("/jobs", headers={"Origin": "http://localhost"})
    assert answer.status_code == 405
    assert "GET" in answer.headers["Allow"]


def test_what_breaks_says_so_without_its_insides(bare_app: Flask) -> None:
    def broken() -> str:
        raise RuntimeError("the inside of it")

    bare_app.add_url_rule("/broken", "broken", broken)
    bare_app.config.update(TESTING=False, PROPAGATE_EXCEPTIONS=False)
    answer = bare_app.test_client().get("/broken")
    assert answer.status_code == 500
    assert "the inside of it" not in answer.text
    assert "safe in the log" in answer.text
