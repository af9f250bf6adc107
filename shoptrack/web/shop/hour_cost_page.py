"""What an hour costs → a year's wages, taxes, benefits, overhead and hours, by date, with its working."""

import math
import re
from collections.abc import Sequence

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.engine.units import show_cents, show_share
from shoptrack.errors import BadInput
from shoptrack.flows.hour_cost import hour_view, use_as_rate
from shoptrack.flows.hours_on_jobs import hours_in_a_year
from shoptrack.store.hour_costs import YearSaid, lines_about_hour_costs, list_years, say_year, year_of
from shoptrack.store.names import people_names
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.rates import hands_rate, list_rates
from shoptrack.store.tables import HourCostRow, RateRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.render import Wall
from shoptrack.web.seen import seen
from shoptrack.web.shop.dated import Line, lines_from_their_day
from shoptrack.web.shop.door import Editor, bp, editor

HERE = "/shop/hour-cost"
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?")


@bp.get(HERE)
def show_hour_cost() -> str:
    return _page({}, None)


@bp.post(HERE)
def change_hour_cost() -> Answer | tuple[str, int]:
    """Say what a year costs from a day on."""
    try:
        with store().writing() as session:
            _say(session, request.form, editor())
    except BadInput as wrong:
        return _page(request.form, wrong), 400
    return redirect(f"{HERE}?said=saved", 303)


@bp.post(f"{HERE}/rate")
def use_hour_cost() -> Answer | tuple[str, int]:
    """Make what an hour costs the rate of anybody's hands from a day on."""
    try:
        _use(request.form, editor())
    except BadInput as wrong:
        return _page(request.form, wrong), 400
    return redirect(f"{HERE}?said=saved", 303)


def _say(session: Session, fields: Fields, by: Editor) -> None:
    year, from_on = read_year(fields, by.wall.currency), by.begins_on(fields)
    with not_overtaken(session, lines_about_hour_costs(), seen(fields)):
        say_year(session, year, from_on=from_on, who=by.who, now=by.now)


def _use(fields: Fields, by: Editor) -> None:
    cents = forms.whole(fields, "cents", "The cost of an hour", least=0, most=10**12)
    from_on = forms.maybe_day(fields, "rate_from_on", "The day it counts from") or by.today
    use_as_rate(store(), cents, from_on=from_on, today=by.today, who=by.who, now=by.now, seen=seen(fields))


def read_year(fields: Fields, currency: str) -> YearSaid:
    """The year as it was written. Raises BadInput with the field that is wrong."""
    wages = forms.maybe_cents(fields, "wages", currency)
    if wages is None:
        raise BadInput("Say what the wages of a year are.", "wages")
    return YearSaid(
        wages_cents=wages,
        taxes_cents=forms.maybe_cents(fields, "taxes", currency) or 0,
        benefits_cents=forms.maybe_cents(fields, "benefits", currency) or 0,
        overhead_cents=forms.maybe_cents(fields, "overhead", currency) or 0,
        paid_h=_hours(fields),
        on_jobs_bp=forms.maybe_share(fields, "on_jobs"),
    )


def _hours(fields: Fields) -> float:
    """The hours of a year: 1920, 1,920, 1 920.5 h; a comma with three digits after it parts thousands."""
    text = "".join(fields.get("paid_h", "").split()).lower().removesuffix("h")
    if not text:
        raise BadInput("Say how many hours a year has.", "paid_h")
    plain = text.replace(",", "") if _THOUSANDS.fullmatch(text) else text.replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        return math.nan  # refused with all that can't be the hours of a year


def _page(fields: Fields, wrong: BadInput | None) -> str:
    by = editor()
    with store().reading() as session:
        view = hour_view(session, by.today, by.now)
        rates = list_rates(session)
        history = _history(list_years(session), by)
        own, year_h = _with_own_rate(session, rates, by), hours_in_a_year(session, by.now)
    return render_template(
        "shop/hour_cost.html",
        view=view,
        rate=hands_rate(rates, None, by.today),
        coming=_coming(rates, by),
        own=own,
        year_h=year_h,
        history=history,
        hours=hours_words,
        fields=fields,
        wrong=wrong,
    )


def _coming(rates: Sequence[RateRow], by: Editor) -> RateRow | None:
    """The next rate of anybody's hands that does not count yet; they are listed oldest first."""
    anybodys = (r for r in rates if r.what == "hands" and r.person_id is None)
    return next((r for r in anybodys if r.from_on > by.today), None)


def _with_own_rate(session: Session, rates: Sequence[RateRow], by: Editor) -> list[str]:
    """Whoever has a rate of their own, which anybody's does not change."""
    names = people_names(session)
    own = {r.person_id for r in rates if r.person_id is not None and r.from_on <= by.today}
    return [name for person, name in names.items() if person in own]


def _history(rows: Sequence[HourCostRow], by: Editor) -> tuple[Line, ...]:
    return lines_from_their_day(rows, by, lambda row: year_words(year_of(row), by.wall))


def year_words(year: YearSaid, wall: Wall) -> str:
    """A year in one line."""
    share = "as the log says" if year.on_jobs_bp is None else show_share(year.on_jobs_bp)
    return f"{show_cents(year.cents, wall.currency)} over {hours_words(year.paid_h)}, on jobs {share}"


def hours_words(hours: float) -> str:
    """Hours as they stand in a sum, to two decimals: "1,344 h", "1,230.14 h"."""
    return f"{hours:,.2f}".rstrip("0").rstrip(".") + " h"
