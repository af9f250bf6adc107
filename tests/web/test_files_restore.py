"""A whole shop put back on the first day, through the page."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from sqlalchemy import delete
from werkzeug.test import TestResponse

from shoptrack.config import Config
from shoptrack.store.tables import ShopRow
from shoptrack.web import create_app
from tests.joinery import NOW, Joinery, kept
from tests.web.test_files import form_of


@pytest.fixture
def first_day(tmp_path: Path) -> Iterator[FlaskClient]:
    """The pages over a database with its tables and nothing else, on its first day."""
    folder = tmp_path / "new"
    folder.mkdir()
    store = kept("bare").put(folder)
    with store.writing() as session:
        session.execute(delete(ShopRow))
    app = create_app(store, Config(folder, f"sqlite:///{folder / 'shop.db'}"))
    app.config.update(TESTING=True, NOW=lambda: NOW)
    yield app.test_client()
    store.close()


def restore(client: FlaskClient, data: bytes) -> TestResponse:
    return client.post("/files/restore", **form_of(data, "shop.zip"))


def test_on_the_first_day_a_shop_is_put_back(
    office: FlaskClient, joinery: Joinery, first_day: FlaskClient
) -> None:
    page = first_day.get("/files/restore")
    assert page.status_code == 200
    assert "Put the shop back" in page.text
    answer = restore(first_day, office.get("/files/everything.zip").data)
    assert (answer.status_code, answer.location) == (303, "/")
    assert "Sedge Lane Joinery" in first_day.get("/").text
    again = restore(first_day, office.get("/files/everything.zip").data)
    assert again.status_code in (403, 409)


def test_a_broken_shop_leaves_the_first_day_as_it_was(first_day: FlaskClient) -> None:
    for data in (b"", b"noise", b"PK\x03\x04 broken"):
        answer = restore(first_day, data)
        assert answer.status_code == 400
        assert 'id="wrong-file"' in answer.text
    assert "Put the shop back" in first_day.get("/files/restore").text


def test_a_shop_that_is_there_is_not_put_over(office: FlaskClient) -> None:
    assert "There is a shop in this database already" in office.get("/files/restore").text
    answer = restore(office, office.get("/files/everything.zip").data)
    assert answer.status_code == 409
    assert "There is a shop in this database already" in answer.text
