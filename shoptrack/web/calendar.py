"""The shop's calendar: a feed at an address that nobody can guess, and the page that gives the address."""

from flask import Blueprint, Response, abort, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.flows.calendar import Feed, calendar_feed, person_feed
from shoptrack.store.feed import feed_token, is_the_token, renew_token
from shoptrack.store.shop import list_people
from shoptrack.web import rights
from shoptrack.web.clock import now
from shoptrack.web.codes import code_answer
from shoptrack.web.forms import form_id
from shoptrack.web.here import store
from shoptrack.web.ics import calendar_text
from shoptrack.web.own_address import is_only_here, own_address

bp = Blueprint("calendar", __name__)


@bp.get("/calendar/<token>.ics")
def feed(token: str) -> Answer:
    """The feed: without a cookie, for whoever has the address."""
    return calendar_answer(calendar_feed(store(), now()) if is_known(token) else None)


@bp.get("/calendar/<token>/<int(max=2147483647):person>.ics")
def own_feed(token: str, person: int) -> Answer:
    """A person's own: what is planned for them."""
    return calendar_answer(person_feed(store(), person, now()) if is_known(token) else None)


def is_known(token: str) -> bool:
    """Whether this is the token in force."""
    with store().reading() as session:
        return is_the_token(session, token)


def calendar_answer(found: Feed | None) -> Answer:
    """A calendar as it is sent; where there is none, nothing is there."""
    if found is None:
        abort(404)
    answer = Response(calendar_text(found), content_type="text/calendar; charset=utf-8")
    answer.add_etag()
    answer.headers["Cache-Control"] = "private, no-cache"
    return answer.make_conditional(request)


@bp.get("/calendar")
def show() -> str | Answer:
    if refused := rights.needs_office():
        return refused
    token = current_token()
    address = feed_address(token) if token else ""
    with store().reading() as session:
        people = [(p.name, own_address(f"/calendar/{token}/{p.id}.ics")) for p in list_people(session)]
    return render_template(
        "sheets/calendar.html",
        address=address,
        people=people if token else [],
        only_here=is_only_here(address or request.host_url),
    )


@bp.get("/calendar/code.svg")
def draw_code() -> Answer:
    if refused := rights.needs_office():
        return refused
    token = current_token()
    if token is None:
        abort(404)
    return code_answer(subscribing(feed_address(token)))


@bp.get("/calendar/renew")
def ask_renew() -> str | Answer:
    return rights.needs_office() or render_template("sheets/renew.html", of=named(current_token()))


@bp.post("/calendar/renew")
def renew() -> Answer:
    """Make the address, or a new one; sent twice, the second finds another token and does nothing."""
    if refused := rights.needs_office():
        return refused
    with store().writing() as session:
        if request.form.get("of", "") == named(feed_token(session)):
            renew_token(session, rights.acting(), now())
    return redirect("/calendar", 303)


def current_token() -> str | None:
    """The token in force."""
    with store().reading() as session:
        return feed_token(session)


def named(token: str | None) -> str:
    """A name for the token that a form may carry without saying it."""
    return form_id("calendar", token or "none yet")


def feed_address(token: str) -> str:
    """The whole address of the feed."""
    return own_address(f"/calendar/{token}.ics")


def subscribing(address: str) -> str:
    """The address in the form that phones take for "subscribe": opened as a page it would be copied once."""
    return "webcal" + address.removeprefix("http")
