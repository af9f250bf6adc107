"""What the tests of the Shop screens post, and what comes back."""

import re
from html import unescape

from flask.testing import FlaskClient

from tests.web.conftest import ORIGIN


def post(client: FlaskClient, path: str, **fields: str) -> tuple[int, str]:
    answer = client.post(path, data=fields, headers=ORIGIN)
    return answer.status_code, answer.text


def wrong(client: FlaskClient, path: str, **fields: str) -> str:
    """What stands beside the field, of a form that comes back."""
    status, page = post(client, path, **fields)
    assert status == 400
    found = re.search(r'class="wrong"[^>]*>([^<]+)<', page) or re.search(r'role="alert">([^<]+)<', page)
    assert found, page
    return found[1]


def form_fields(page: str) -> dict[str, str]:
    """The form of a thing as it would be sent."""
    form = page.partition('id="change"')[2].partition("</form>")[0]
    found = dict(re.findall(r'<input id="[^"]*" name="([^"]+)" type="\w+" value="([^"]*)"', form))
    found |= dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
    for name, inner in re.findall(r'<textarea [^>]*name="([^"]+)"[^>]*>([^<]*)</textarea>', form):
        found[name] = inner
    for name, inner in re.findall(r'<select id="[^"]*" name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        found[name] = next(iter(re.findall(r'value="([^"]*)" selected', inner)), "")
    found |= {name: "yes" for name in re.findall(r'type="checkbox" name="([^"]+)" value="yes" checked', form)}
    return {name: unescape(value) for name, value in found.items()}
