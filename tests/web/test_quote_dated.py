"""What the quote's page knows of its day before and after it was reckoned."""

import pytest
from flask import Flask

from shoptrack.errors import BadInput
from shoptrack.flows.planning.promised import reckon
from shoptrack.web.here import wall
from shoptrack.web.quote_dated import DateShown, date_shown
from shoptrack.web.quote_page import quote_page
from tests.flows.quoting.shop import made, price_all, tray
from tests.joinery import NOW, Joinery


def test_a_wish_is_answered_only_once_there_is_a_day(bare_app: Flask, joinery: Joinery) -> None:
    quote = made(joinery, tray(joinery, price_all(joinery)))
    with bare_app.test_request_context("/"):
        with joinery.store.reading() as session:
            page = quote_page(session, quote, None, NOW, wall())
        before = date_shown(page, {"by": "2027-03-01"})
        assert (before.found.promise, before.wish, before.chance) == (None, None, None)
        reckon(joinery.store, quote, NOW)
        after = date_shown(page, {"by": "2027-03-01"})
        assert after.chance == 1.0
        assert isinstance(date_shown(page, {}), DateShown)
        with pytest.raises(BadInput):
            date_shown(page, {"by": "soon"})
