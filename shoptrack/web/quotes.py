"""The quotes: all of them by where they stand, one as the shop sees it, its answers, and its sheets."""

from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows import quoted_against
from shoptrack.flows.planning.promised import promise_of_quote
from shoptrack.flows.quoting import answers
from shoptrack.flows.quoting.drafts import copy_as_new
from shoptrack.flows.quoting.work_out import judged_at
from shoptrack.store.names import kind_names
from shoptrack.store.quotes import STANDINGS, QuoteLine, Standing, count_quotes, hands_of, list_quotes
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.quote_dated import date_shown
from shoptrack.web.quote_page import QuotePage, quote_page
from shoptrack.web.quote_sheet import drawn_of
from shoptrack.web.quote_words import amount, chance, hours, per_cent, under_or_over
from shoptrack.web.render import unbroken

bp = Blueprint("quotes", __name__, url_prefix="/quotes")
bp.before_request(rights.needs_office)
for word in (amount, chance):
    bp.add_app_template_filter(word)
bp.add_app_template_filter(lambda minutes: unbroken(hours(minutes)), "hours")
bp.add_app_template_filter(lambda share, places=0: unbroken(per_cent(share, places)), "per_cent")

ONE = "/<int(max=2147483647):quote>"
NO_WISH: Fields = {}
A_PAGE, FEW = 40, 8
"""How many quotes a page of one standing shows, and how many answered ones the first page does."""


@dataclass(frozen=True, slots=True)
class Group:
    """The quotes of one standing; ``more``: there are others."""

    standing: Standing
    lines: tuple[QuoteLine, ...]
    more: bool


@bp.get("")
def list_all() -> str:
    words = forms.maybe_words(request.args, "q", "The words")
    shown = request.args.get("show", "")
    if shown:
        forms.choice(request.args, "show", "The list", STANDINGS)
    page = forms.whole(request.args, "page", "The page") if "page" in request.args else 1
    with store().reading() as session:
        of = [s for s in STANDINGS if s == shown] if shown else STANDINGS
        groups = [_group(session, standing, words, page if shown else 0) for standing in of]
        counts = count_quotes(session, wall().local(now()).date())
        hands = hands_of(session, [line for group in groups for line in group.lines])
        record = None if shown or words else quoted_against.record(session, kind_names(session))
    return render_template(
        "quotes/list.html", groups=groups, hands=hands, counts=counts, words=words, shown=shown, page=page,
        record=record, over=under_or_over,
    )  # fmt: skip


def _group(session: Session, standing: Standing, words: str, page: int) -> Group:
    """A page of one standing; page 0 is the first sheet, with all standings one under another."""
    most = FEW if not page and standing in ("taken", "turned down") else A_PAGE
    found = list_quotes(
        session, wall().local(now()).date(), standing, words, most + 1, max(page - 1, 0) * A_PAGE
    )
    return Group(standing, tuple(found[:most]), len(found) > most)


@bp.get(ONE)
def show_quote(quote: int) -> str | tuple[str, int]:
    try:
        cents = forms.maybe_cents(request.args, "price", wall().currency)
        return _sheet(quote, request.args, None, cents, wish=request.args)
    except BadInput as wrong:
        return _sheet(quote, request.args, wrong), 400


def _sheet(
    quote: int,
    fields: Fields,
    wrong: BadInput | None = None,
    cents: int | None = None,
    wish: Fields = NO_WISH,
) -> str:
    page = _page_of(quote)
    judged = page.kept.judged if cents is None else judged_at(page.kept, cents)
    return render_template(
        "quotes/quote.html", quote=page, kept=page.kept, judged=judged, drawn=drawn_of(page.kept, judged),
        another=cents is not None, fields=fields, wrong=wrong, today=wall().local(now()).date(),
        shown=date_shown(page, wish),
    )  # fmt: skip


def _page_of(quote: int) -> QuotePage:
    number = forms.whole(request.args, "revision", "The revision") if "revision" in request.args else None
    with store().reading() as session:
        return quote_page(session, quote, number, now(), wall())


@bp.get(f"{ONE}/sheet")
def show_customers_sheet(quote: int) -> str:
    page = _page_of(quote)
    with store().reading() as session:
        promise = promise_of_quote(session, page.revision_id)
    return render_template("quotes/sheet.html", quote=page, kept=page.kept, promise=promise)


@bp.get(f"{ONE}/own-sheet")
def show_own_sheet(quote: int) -> str:
    page = _page_of(quote)
    return render_template("quotes/own_sheet.html", quote=page, kept=page.kept, drawn=drawn_of(page.kept))


@bp.post(f"{ONE}/out")
def put_out(quote: int) -> Answer | tuple[str, int]:
    try:
        number = forms.whole(request.form, "number", "The revision", most=100_000)
        until = forms.maybe_day(request.form, "valid_until", "The last day")
        answers.put_out(store(), quote, number, rights.acting(), now(), until)
    except BadInput as wrong:
        return _sheet(quote, request.form, wrong), 400
    return redirect(f"/quotes/{quote}", 303)


@bp.post(f"{ONE}/taken")
def take(quote: int) -> Answer | tuple[str, int]:
    try:
        number = forms.whole(request.form, "number", "The revision", most=100_000)
        promised_on = forms.maybe_day(request.form, "promised_on", "The promised date")
        must_keep = bool(request.form.get("must_keep"))
        job = answers.take(store(), quote, number, rights.acting(), now(), promised_on, must_keep)
    except BadInput as wrong:
        return _sheet(quote, request.form, wrong), 400
    return redirect(f"/jobs/{job}", 303)


@bp.post(f"{ONE}/turned-down")
def turn_down(quote: int) -> Answer | tuple[str, int]:
    try:
        why = forms.words(request.form, "why", "The reason", 200)
        number = forms.whole(request.form, "number", "The revision", most=100_000)
        answers.turn_down(store(), quote, number, why, rights.acting(), now())
    except BadInput as wrong:
        return _sheet(quote, request.form, wrong), 400
    return redirect(f"/quotes/{quote}", 303)


@bp.post(f"{ONE}/copy")
def copy(quote: int) -> Answer | tuple[str, int]:
    try:
        form = forms.words(request.form, "id", "The form", 64)
        made = copy_as_new(store(), quote, form, rights.acting(), now())
    except BadInput as wrong:
        return _sheet(quote, request.form, wrong), 400
    return redirect(f"/quotes/{made}", 303)
