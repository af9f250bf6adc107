"""Whatever is typed into any form of any page gets a page with a plain sentence, never a broken one."""

import random

import pytest
from flask.testing import FlaskClient

from tests.crawled import Form, crawl, read
from tests.flows.quoting.shop import ad_hoc, made, out, price_all, tray
from tests.flows.tooling.sharp import planer
from tests.joinery import Joinery
from tests.web.conftest import ORIGIN

BAD = (
    "",
    " \t ",
    "x" * 5000,
    "<script>alert(1)</script>",
    "\"'); DROP TABLE jobs; --",
    "=1+1",
    "🪵🪚 Ünïcödé",
    "-1",
    "0",
    "1e309",
    "nan",
    "9" * 40,
    "2026-02-30",
    "25:61",
    "4 3/0",
    "\x00\x07",
    "../../../../secret",
    "1,234,5",
    "\u202eevil",
)
AT_MOST = 900


def tried(form: Form, rng: random.Random) -> list[dict[str, str]]:
    """A form sent as it is, with each button; and with bad values in one field, and in all."""
    plain = dict(form.fields)
    sent = [{**plain, name: value} for name, value in form.buttons[:2]] or [plain]
    for name in plain:
        sent += [{**plain, **dict(form.buttons[:1]), name: bad} for bad in rng.sample(BAD, 5)]
    sent += [dict.fromkeys(plain, bad) | dict(form.buttons[:1]) for bad in rng.sample(BAD, 3)]
    return sent


@pytest.mark.timeout(280)
def test_no_form_breaks_on_what_is_typed(joinery: Joinery, office: FlaskClient) -> None:
    """All forms that links lead to, some nineteen kinds of bad values in each field by turns."""
    joinery.add("tray", "trays", None)
    planer(joinery, spare=True)
    made(joinery, tray(joinery, price_all(joinery)))
    out(joinery, ad_hoc(joinery), "o" * 32)
    rng = random.Random(7)
    forms: dict[tuple[str, ...], Form] = {}
    for page, text in crawl(office):
        for form in read(page, text).forms:
            if form.method == "post" and not form.has_files:
                forms.setdefault((form.action.rstrip("0123456789"), *form.key), form)
    cases = [(form, sent) for form in forms.values() for sent in tried(form, rng)]
    rng.shuffle(cases)
    broken = []
    for form, sent in cases[:AT_MOST]:
        answer = office.post(form.action, data=sent, headers=ORIGIN)
        if answer.status_code >= 500 or "Traceback" in answer.text:
            broken.append((form.action, sent, answer.status_code))
        if form.action.startswith("/office"):
            office.post("/office", data={"person": "1"}, headers=ORIGIN)
    assert broken == []
    assert len(cases) >= 200
