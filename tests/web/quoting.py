"""What the tests of the quote screens do: open the form, type, press a button."""

import re

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.web.conftest import ORIGIN
from tests.web.filled import filled


def form(client: FlaskClient, path: str) -> dict[str, str]:
    """The form of a quote as it is shown at first."""
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    return filled(answer.text, "quote")


def press(client: FlaskClient, path: str, fields: dict[str, str], button: str) -> TestResponse:
    """One button of it."""
    return client.post(path, data={**fields, "do": button}, headers=ORIGIN)


def saved(client: FlaskClient, pattern: str = "1", **typed: str) -> int:
    """A new quote, saved; gives its number."""
    said = form(client, f"/quotes/new?pattern={pattern}") | {"customer": "Odile Marr"} | typed
    answer = press(client, "/quotes/new", said, "save")
    assert answer.status_code == 303, answer.text
    return int(answer.location.rpartition("/")[2])


def post(client: FlaskClient, path: str, **fields: str) -> TestResponse:
    return client.post(path, data=fields, headers=ORIGIN)


def wrong_of(answer: TestResponse) -> tuple[str, str]:
    """The field of a refused form that has something wrong, and what."""
    assert answer.status_code == 400, answer.status_code
    found = re.search(r'class="wrong" id="wrong-([^"]+)">([^<]+)<', answer.text)
    assert found, answer.text
    return found[1], found[2]
