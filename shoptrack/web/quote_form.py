"""A quote is written down: a pattern or a list of stages, what is bought, terms; reckoned, saved, revised."""

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, ChangedMeanwhile
from shoptrack.flows.quoting.drafts import make, preview, revise
from shoptrack.flows.quoting.kept import Kept
from shoptrack.flows.quoting.wanted import Wanted
from shoptrack.store.patterns import list_patterns
from shoptrack.store.quotes import quote_row
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.quote_boards import with_boards
from shoptrack.web.quote_desk import begun, desk_of, proposed_again, taken_up
from shoptrack.web.quote_draft import ROWS, closed_up, lines, turned
from shoptrack.web.quote_fields import read_wanted
from shoptrack.web.quote_sheet import drawn_of

bp = Blueprint("quote_form", __name__)
bp.before_request(rights.needs_office)

Page = tuple[str, int]


@bp.get("/quotes/new")
def ask_new() -> str | Page:
    with store().reading() as session:
        if "pattern" not in request.args:
            patterns = [(p.id, p.name) for p in list_patterns(session)]
            return render_template("quotes/choose.html", patterns=patterns)
        fields = begun(session, request.args["pattern"], wall())
    return _page(fields, None)


@bp.post("/quotes/new")
def write_new() -> Answer | Page:
    return _pressed(None)


@bp.get("/quotes/<int(max=2147483647):quote>/revise")
def ask_revision(quote: int) -> Page:
    with store().reading() as session:
        fields = taken_up(session, quote, wall())
    return _page(
        {**fields, **{name: request.args[name] for name in ("price",) if name in request.args}}, quote
    )


@bp.post("/quotes/<int(max=2147483647):quote>/revise")
def write_revision(quote: int) -> Answer | Page:
    return _pressed(quote)


def _pressed(quote: int | None) -> Answer | Page:
    """What a button of the form does with what is typed; whatever is wrong, the form comes back filled."""
    fields, button = request.form.to_dict(), request.form.get("do", "")
    try:
        if button not in ("reckon", "save"):
            return _page(_turned(fields, button), quote)
        fields = closed_up(fields)
        wanted, form = read_wanted(fields, wall(), button == "save"), _form_id(fields)
        if button == "reckon":
            return _page(fields, quote, preview(store(), wanted, form, now(), quote))
        return redirect(f"/quotes/{_saved(wanted, form, fields, quote)}", 303)
    except ChangedMeanwhile as wrong:
        return _page({**fields, "base": str(_newest(quote))}, quote, None, wrong)
    except BadInput as wrong:
        return _page(fields, quote, None, wrong)


def _turned(fields: Fields, button: str) -> dict[str, str]:
    if button == "boards":
        return with_boards(fields, wall())
    if button == "propose":
        with store().reading() as session:
            return proposed_again(session, fields, wall())
    return turned(fields, button)


def _form_id(fields: Fields) -> str:
    return forms.words(fields, "id", "The form", 64)


def _saved(wanted: Wanted, form: str, fields: Fields, quote: int | None) -> int:
    if quote is None:
        return make(store(), wanted, form, rights.acting(), now())
    after = forms.whole(fields, "base", "The revision", most=100_000)
    revise(store(), quote, after, wanted, rights.acting(), now())
    return quote


def _newest(quote: int | None) -> int:
    if quote is None:
        return 0
    with store().reading() as session:
        return len(quote_row(session, quote).revisions)


def _page(fields: Fields, quote: int | None, kept: Kept | None = None, wrong: BadInput | None = None) -> Page:
    """The form with what is typed, and below its head what came out where it was reckoned."""
    with store().reading() as session:
        if quote is not None:
            quote_row(session, quote)
        desk = desk_of(session, fields, quote, wall(), wall().local(now()).date())
    shown = render_template(
        "quotes/form.html",
        desk=desk,
        fields=fields,
        wrong=_beside(wrong),
        lines={name: lines(fields, name) for name in ROWS},
        terms=desk.terms,
        kept=kept,
        drawn=drawn_of(kept) if kept else None,
    )
    return shown, 400 if wrong else 200


def _beside(wrong: BadInput | None) -> BadInput | None:
    """What is wrong, by the name that its field has in the form."""
    if wrong is None or not wrong.field.endswith("-material"):
        return wrong
    return BadInput(str(wrong), wrong.field.removesuffix("material") + "kind")
