"""Terms of a quote → margin, waste, tax, least charge, deposit and days a quote holds, by date."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.engine.units import show_cents, show_share
from shoptrack.errors import BadInput
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.tables import TermsRow
from shoptrack.store.terms import (
    MOST_DAYS,
    Terms,
    lines_about_terms,
    list_terms,
    say_terms,
    terms_of,
    terms_on,
)
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.render import Wall, measure
from shoptrack.web.seen import seen
from shoptrack.web.shop.dated import Line, lines_from_their_day
from shoptrack.web.shop.door import Editor, bp, editor


@dataclass(frozen=True, slots=True)
class Shown:
    """The terms that count today, and all that were said; ``cost_bp`` is the part of a price that is cost."""

    now: Terms
    history: tuple[Line, ...]

    @property
    def cost_bp(self) -> int:
        """The share of the price that the cost is."""
        return 10_000 - self.now.margin_bp


@bp.get("/shop/terms")
def show_terms() -> str:
    return _page({}, None)


@bp.post("/shop/terms")
def change_terms() -> Answer | tuple[str, int]:
    """Say terms from a day on."""
    try:
        with store().writing() as session:
            _say(session, request.form, editor())
    except BadInput as wrong:
        return _page(request.form, wrong), 400
    return redirect("/shop/terms?said=saved", 303)


def _say(session: Session, fields: Fields, by: Editor) -> None:
    terms, from_on = read_terms(fields, by.wall.currency), by.begins_on(fields)
    with not_overtaken(session, lines_about_terms(), seen(fields)):
        say_terms(session, terms, from_on=from_on, who=by.who, now=by.now)


def read_terms(fields: Fields, currency: str) -> Terms:
    """The terms as they were written. Raises BadInput with the field that is wrong."""
    return Terms(
        margin_bp=_share(fields, "margin", "Say the margin; 0 where there is none."),
        waste_bp=_share(fields, "waste", "Say what is bought on top; 0 where nothing is."),
        tax_bp=forms.maybe_tax(fields, "tax") or 0,
        tax_name=forms.maybe_words(fields, "tax_name", "The name of the tax", 40),
        least_cents=forms.maybe_cents(fields, "least", currency) or 0,
        deposit_bp=forms.maybe_share(fields, "deposit") or 0,
        valid_days=forms.whole(fields, "valid_days", "The days a quote holds", most=MOST_DAYS),
    )


def _share(fields: Fields, name: str, missing: str) -> int:
    found = forms.maybe_share(fields, name)
    if found is None:
        raise BadInput(missing, name)
    return found


def _page(fields: Fields, wrong: BadInput | None) -> str:
    by = editor()
    with store().reading() as session:
        shown = Shown(terms_on(session, by.today), _history(list_terms(session), by))
    return render_template("shop/terms.html", shown=shown, terms=shown.now, fields=fields, wrong=wrong)


def _history(rows: Sequence[TermsRow], by: Editor) -> tuple[Line, ...]:
    return lines_from_their_day(rows, by, lambda row: terms_words(terms_of(row), by.wall))


def terms_words(terms: Terms, wall: Wall) -> str:
    """Terms in one line; what is nought is left out."""
    said = [f"margin {show_share(terms.margin_bp)}", f"waste {show_share(terms.waste_bp)}"]
    if terms.tax_bp:
        said.append(f"{terms.tax_name} {show_share(terms.tax_bp)}")
    if terms.least_cents:
        said.append(f"at least {show_cents(terms.least_cents, wall.currency)}")
    if terms.deposit_bp:
        said.append(f"deposit {show_share(terms.deposit_bp)}")
    return ", ".join([*said, f"holds {measure(terms.valid_days, 'days')}"])
