"""Having the day reckoned that can be promised for a quote, where no page did it by itself."""

from flask import Blueprint, redirect
from werkzeug.wrappers import Response as Answer

from shoptrack.flows.planning.reckoned import reckon_anyway
from shoptrack.store.quotes import quote_row
from shoptrack.web import rights
from shoptrack.web.clock import now
from shoptrack.web.here import store

bp = Blueprint("quote_date", __name__, url_prefix="/quotes")
bp.before_request(rights.needs_office)


@bp.post("/<int(max=2147483647):quote>/date")
def reckon_date(quote: int) -> Answer:
    with store().reading() as session:
        revision = quote_row(session, quote).revisions[-1].id
    reckon_anyway(store(), quote, revision, now())
    return redirect(f"/quotes/{quote}#date", 303)
