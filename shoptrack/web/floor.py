"""The Floor: the one sheet that everybody looks at, sent only when something on it changed."""

import hashlib
from datetime import datetime

from flask import Blueprint, Response, make_response, redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack import __version__
from shoptrack.errors import BadInput
from shoptrack.flows.before_you_go import evening
from shoptrack.flows.floor import floor
from shoptrack.flows.learning import Learned, remembered
from shoptrack.flows.planning.next_up import next_up
from shoptrack.flows.planning.plan import plan_now, shown_number
from shoptrack.flows.planning.worthwhile import hints_shown, hints_sign
from shoptrack.flows.record import BEHIND
from shoptrack.flows.shopfloor import knowing, shown_at, sight_of
from shoptrack.flows.tooling.due import dues_shown, dues_sign
from shoptrack.flows.tooling.soon import CAUTION, edges_soon
from shoptrack.store.backup import last_failure
from shoptrack.store.signs import Signs, read_signs
from shoptrack.web.clock import now, settle
from shoptrack.web.floor_sheet import draw
from shoptrack.web.forms import local_path
from shoptrack.web.here import config, hold_wall, store
from shoptrack.web.looks import COOKIE, LOOKS, look
from shoptrack.web.next_words import add_words

bp = Blueprint("floor", __name__)
add_words(bp)
A_YEAR_S = 365 * 24 * 3600


@bp.get("/")
@bp.get("/floor")
def floor_page() -> Answer:
    moment = now()
    with store().reading() as session:
        signs = read_signs(session)
        hold_wall(signs.shop)
        behind = signs.newest_at is not None and moment < signs.newest_at - BEHIND
        at = settle(shown_at(moment, signs.newest_at))
        known, failed = remembered(store(), signs.head.database_id), last_failure(config().instance)
        said = (behind, failed, known.version if known else "", hints_sign(store()), dues_sign(store()))
        tag = validator(signs, at, *said, shown_number(store(), signs.head, said[2]))
        if request.if_none_match.contains_weak(tag):
            return with_validator(Response(status=304), tag, moment)
        sheet, number = draw_sheet(session, at, signs, known)
    tag, shown = validator(signs, at, *said, number), {"signs": signs, "behind": behind, "failed": failed}
    page = render_template("floor/floor.html", tag=tag, **shown, **sheet)
    return with_validator(make_response(page), tag, moment)


def draw_sheet(
    session: Session, at: datetime, signs: Signs, known: Learned | None
) -> tuple[dict[str, object], int]:
    """The Floor by the plan of this instant, for its template, with the number of that plan."""
    sight = knowing(sight_of(store(), session, at, at=signs.head), known)
    planned = plan_now(store(), sight)
    sheet = draw(floor(sight, next_up(sight, planned)))
    return {
        "sheet": sheet,
        "view": sheet.view,
        "hints": hints_shown(store(), planned.number),
        "evening": evening(store(), sight, planned.number),
        "soon": edges_soon(sight, dues_shown(store(), sight)),
        "edge_caution": CAUTION,
    }, planned.number


def validator(signs: Signs, at: datetime, *notices: object) -> str:
    """What the sheet depends on, in one short word: two sheets with the same one are the same."""
    parts = (signs.head.database_id, signs.head.revision, __version__, look(), at.isoformat(), *notices)
    return hashlib.sha256("|".join(map(str, parts)).encode()).hexdigest()[:20]


def with_validator(answer: Response, tag: str, moment: datetime) -> Response:
    """An answer with its validator, and the server's clock for a tablet whose own is wrong."""
    answer.set_etag(tag)
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Vary"] = "Cookie"
    answer.headers["Shop-Clock"] = moment.isoformat(timespec="milliseconds")
    return answer


@bp.post("/look")
def choose_look() -> Answer:
    """Keep the viewer's choice of paper in a cookie of this device."""
    chosen = request.form.get("look", "")
    if chosen and chosen not in LOOKS:
        raise BadInput("There is no such paper.", "look")
    answer = redirect(local_path(request.form, "back"), 303)
    answer.set_cookie(COOKIE, chosen, max_age=A_YEAR_S, httponly=True, samesite="Lax")
    return answer
