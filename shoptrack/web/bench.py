"""The Bench: a name is tapped, one thing to do is shown, and each button is a tap for the log."""

import secrets

from flask import Blueprint, Response, make_response, redirect, render_template, request
from werkzeug.wrappers import Response as BaseResponse

from shoptrack.engine.units import decimals_of
from shoptrack.errors import BadInput, Refused
from shoptrack.flows.before_you_go import evening
from shoptrack.flows.bench import bench, names
from shoptrack.flows.entry_fields import CAUSES, REASONS
from shoptrack.flows.hand_over import hand_over
from shoptrack.flows.in_hand import if_started, shop_hand
from shoptrack.flows.last_times import of, shown_on
from shoptrack.flows.planning.next_up import next_up
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.worthwhile import hints_shown, hints_sign, startable
from shoptrack.flows.record import tap
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.flows.tooling.due import dues_shown, dues_sign
from shoptrack.flows.tooling.soon import CAUTION, edges_soon
from shoptrack.store.tables import ShopRow
from shoptrack.web.again import ask_again
from shoptrack.web.bench_forms import read_form, read_when, whole
from shoptrack.web.bench_words import early_words, told
from shoptrack.web.clock import now
from shoptrack.web.here import store, wall

bp = Blueprint("bench", __name__, url_prefix="/bench")


@bp.get("")
def show_names() -> Response:
    sight = gather(store(), now())
    etag = _etag(sight, "names")
    if request.if_none_match.contains(etag):
        return _unchanged(etag)
    people = names(sight, now())
    return _page("names", etag, names=people, chosen=None, head=sight.head)


@bp.get("/<int:person>")
def show_person(person: int) -> Response:
    sight = gather(store(), now())
    planned = plan_now(store(), sight)
    when, wrong = request.args.get("when", ""), None
    try:
        read_when(when, now())
    except BadInput as problem:
        when, wrong = "", problem
    etag = _etag(sight, f"{person} {when} {planned.number} {hints_sign(store())} {dues_sign(store())}")
    if not wrong and request.if_none_match.contains(etag):
        return _unchanged(etag)
    view = bench(sight, person, now(), next_up(sight, planned))
    shown = {"view": view, "when": when, "wrong": wrong, **_hints(sight, planned.number)}
    page = _page("person", etag, remembered=shown_on(store(), view), **shown)
    page.status_code = 400 if wrong else 200
    return page


@bp.get("/<int:person>/spare")
def show_spare(person: int) -> Response:
    """What every stage on offer would look like in hand, for a tablet that is soon alone."""
    sight = gather(store(), now())
    planned = plan_now(store(), sight)
    etag = _etag(sight, f"spare {person} {planned.number} {dues_sign(store())}")
    if request.if_none_match.contains(etag):
        return _unchanged(etag)
    view = bench(sight, person, now(), next_up(sight, planned))
    hands = [if_started(sight, c.stage.id, person, now()) for c in (*view.choices, *view.waiting)]
    hands.append(shop_hand(sight, person, "shop time", now(), now()))
    known = of(store(), [line.stage.id for hand in hands for line in hand.stages])
    return _page("spare", etag, hands=hands, who=view, when="", remembered=known, **_edges(sight))


@bp.post("/tap")
def take_tap() -> BaseResponse:
    back = _back(request.form.get("person", ""))
    try:
        said = read_form(request.form, now(), wall().currency, "F" if wall().temperature_unit == "F" else "C")
        if said["kind"] == "closed" and "told" not in said:
            said["told"] = told(gather(store(), now()), said["stages"], said["ago_min"], now(), wall())
        answer = tap(store(), now=now(), **said)
    except BadInput as wrong:
        return ask_again(request.form, wrong, gather(store(), now()), wall(), back)
    if answer.status == "set aside":
        raise Refused(f"This tap was set aside, and is kept with the reason: {answer.reason}")
    return redirect(back, 303)


@bp.post("/was")
def give_to_another() -> BaseResponse:
    person = whole(request.form, "was")
    hand_over(store(), request.form.get("of", ""), person, request.form.get("id", ""), now())
    return redirect(f"/bench/{person}", 303)


def _hints(sight: Sight, number: int) -> dict[str, object]:
    """What is worth doing by the plan of a number; in the evening what to see to; edges to look at."""
    hints = startable(hints_shown(store(), number), sight.now)
    return {"hints": hints, "evening": evening(store(), sight, number), **_edges(sight)}


def _edges(sight: Sight) -> dict[str, object]:
    """The edges that are dull, or likely so."""
    return {"soon": edges_soon(sight, dues_shown(store(), sight)), "edge_caution": CAUTION}


def _unchanged(etag: str) -> Response:
    """Not changed since; with the validator, as RFC 9110 section 15.4.5 asks."""
    answer = Response(status=304)
    answer.set_etag(etag)
    return answer


def _back(person: str) -> str:
    """Where the form says to go on, if that is a page of ours; else the person's bench."""
    back = request.form.get("back", "")
    if back and (not back.startswith("/") or back.startswith(("//", "/\\"))):
        raise BadInput("A form can only lead back to a page of this shop.")
    return back or (f"/bench/{whole(request.form, 'person')}" if person else "/bench")


def _etag(sight: Sight, page: str) -> str:
    """Changes with every write, with what is learned, and every minute: minutes in hand are written out."""
    minute, learned = int(sight.now.timestamp() // 60), sight.learned.version if sight.learned else ""
    return f"{sight.head.database_id}-{sight.head.revision}-{minute}{learned}-{page.replace(' ', '-')}"


def _page(name: str, etag: str, **shown: object) -> Response:
    with store().reading() as session:
        shop = session.get(ShopRow, 1)
    page = make_response(
        render_template(
            f"bench/{name}.html",
            etag=etag,
            shop=shop.made_at.isoformat() if shop else "",
            fresh_id=lambda: secrets.token_hex(16),
            early_words=lambda choice: early_words(choice, now(), wall()),
            causes=CAUSES,
            reasons=REASONS,
            decimals=decimals_of(wall().currency),
            drawn_at=now(),
            **shown,
        )
    )
    page.set_etag(etag)
    # the ids in its buttons are for one use, so a kept copy is never shown as it is
    page.headers["Cache-Control"] = "no-store"
    return page
