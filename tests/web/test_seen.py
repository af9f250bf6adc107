"""What a form has seen: all there was when it was shown; when it comes back no more, until it is told."""

import re

import pytest
from flask.testing import FlaskClient

from shoptrack.web.seen import seen
from tests.web.conftest import ORIGIN

PAGE = "/customers/1"


def hidden(page: str) -> int:
    found = re.search(r'name="seen" value="(\d+)"', page)
    assert found
    return int(found[1])


@pytest.fixture
def asked(office: FlaskClient) -> FlaskClient:
    assert office.post("/customers", data={"name": "Ola", "after": "0"}, headers=ORIGIN).status_code == 303
    return office


def test_a_form_says_what_it_has_seen_until_it_is_told(asked: FlaskClient) -> None:
    """A slip of the pen brings the old mark back; the sentence about another's change brings the new one."""
    old = hidden(asked.get(PAGE).text)
    asked.post(PAGE, data={"name": "Ola", "phone": "17"}, headers=ORIGIN)
    slip = asked.post(PAGE, data={"name": "", "seen": str(old)}, headers=ORIGIN)
    assert hidden(slip.text) == old
    told = asked.post(PAGE, data={"name": "Ola Fen", "seen": str(old)}, headers=ORIGIN)
    assert "Una changed this after you opened it (phone)" in told.text
    assert hidden(told.text) == hidden(asked.get(PAGE).text) > old


@pytest.mark.parametrize("text", ["", "x", "-1", "1e3", "9" * 40, "१२"])
def test_what_is_no_mark_has_seen_nobody_knows_what(text: str) -> None:
    assert seen({"seen": text}) is None
    assert seen({}) is None
    assert seen({"seen": "17"}) == 17
