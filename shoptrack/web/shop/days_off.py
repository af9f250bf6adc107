"""Days off of the shop or a person: listed, added, taken back; past ones count the hours again."""

from datetime import date, datetime, timedelta

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.store.hours import days_off, say_day_off, take_back
from shoptrack.store.names import people_names
from shoptrack.store.shop import list_people
from shoptrack.store.tables import PersonRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.shop.door import bp, editor
from shoptrack.web.shop.stations import chosen

LONGEST = timedelta(days=366)
A_PAGE = 40


@bp.get("/shop/days-off")
def list_days() -> str:
    return _page({}, None)


@bp.post("/shop/days-off")
def add_days() -> Answer | tuple[str, int]:
    """Add days off; the very same twice are there once."""
    try:
        with store().writing() as session:
            _add(session, request.form)
    except BadInput as wrong:
        return _page(request.form, wrong), 400
    return redirect("/shop/days-off", 303)


@bp.post("/shop/days-off/<int:id_>/back")
def take_days_back(id_: int) -> Answer:
    """Take days off back; twice is the same as once."""
    by = editor()
    with store().writing() as session:
        first_on = take_back(session, id_, by.who, by.now)
        recount(session, first_on, by.today, by.now)
    return redirect("/shop/days-off", 303)


def recount(session: Session, first_on: date | None, today: date, now: datetime) -> None:
    """Count the hours again where days off that are past, or today, came or went."""
    if first_on is not None and first_on <= today:
        rebuild_tally(session, now)


def _add(session: Session, fields: Fields) -> None:
    by = editor()
    first_on = forms.maybe_day(fields, "first_on", "The first day")
    if first_on is None:
        raise BadInput("The first day is missing.", "first_on")
    last_on = forms.maybe_day(fields, "last_on", "The last day") or first_on
    if last_on < first_on:
        raise BadInput("The last day off is before the first.", "last_on")
    if last_on - first_on > LONGEST:
        raise BadInput("That is more than a year.", "last_on")
    person = chosen(session, PersonRow, fields, "person", "The person")
    reason = forms.maybe_words(fields, "reason", "The reason")
    said = say_day_off(
        session,
        first_on=first_on,
        last_on=last_on,
        person=person,
        reason=reason,
        who=by.who,
        now=by.now,
    )
    recount(session, first_on if said else None, by.today, by.now)


def _page(fields: Fields, wrong: BadInput | None) -> str:
    today = editor().today
    with store().reading() as session:
        rows = days_off(session)
        names = people_names(session)
        people = [(p.id, p.name) for p in list_people(session)]
    coming = [row for row in reversed(rows) if row.last_on >= today]
    past = [row for row in rows if row.last_on < today]
    return render_template(
        "shop/days_off.html",
        coming=coming,
        past=past[:A_PAGE],
        names=names,
        people=people,
        fields=fields,
        wrong=wrong,
    )
