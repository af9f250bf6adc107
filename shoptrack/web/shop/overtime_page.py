"""Overtime of everybody or a person: listed, added, taken back; that of a past day counts the hours again."""

from flask import redirect, render_template, request
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.store.names import people_names
from shoptrack.store.overtime import overtime_said, say_overtime, take_back
from shoptrack.store.shop import list_people
from shoptrack.store.tables import OvertimeRow, PersonRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.shop.days_off import A_PAGE, recount
from shoptrack.web.shop.door import Editor, bp, editor
from shoptrack.web.shop.minutes import time_words
from shoptrack.web.shop.stations import chosen


@bp.get("/shop/overtime")
def list_overtime() -> str:
    return _page({}, None)


@bp.post("/shop/overtime")
def add_overtime() -> Answer | tuple[str, int]:
    """Add overtime; the very same twice is there once."""
    try:
        with store().writing() as session:
            _add(session, request.form, editor())
    except BadInput as wrong:
        return _page(request.form, wrong), 400
    return redirect("/shop/overtime", 303)


@bp.post("/shop/overtime/<int(max=2147483647):id_>/back")
def take_overtime_back(id_: int) -> Answer:
    """Take overtime back; twice is the same as once."""
    by = editor()
    with store().writing() as session:
        recount(session, take_back(session, id_, by.who, by.now), by.today, by.now)
    return redirect("/shop/overtime", 303)


def _add(session: Session, fields: Fields, by: Editor) -> None:
    on = forms.maybe_day(fields, "on", "The day")
    opens = forms.maybe_clock(fields, "opens", "The beginning")
    closes = forms.maybe_clock(fields, "closes", "The end")
    if on is None:
        raise BadInput("The day is missing.", "on")
    if opens is None:
        raise BadInput("Say when it begins.", "opens")
    if closes is None:
        raise BadInput("Say when it ends.", "closes")
    said = say_overtime(
        session,
        on=on,
        opens=opens,
        closes=closes,
        person=chosen(session, PersonRow, fields, "person", "The person"),
        reason=forms.maybe_words(fields, "reason", "The reason"),
        who=by.who,
        now=by.now,
    )
    recount(session, on if said else None, by.today, by.now)


def _page(fields: Fields, wrong: BadInput | None) -> str:
    by = editor()
    with store().reading() as session:
        rows = overtime_said(session)
        names = people_names(session)
        people = [(p.id, p.name) for p in list_people(session)]
    past = [row for row in rows if row.on_date < by.today]
    return render_template(
        "shop/overtime.html",
        coming=[row for row in reversed(rows) if row.on_date >= by.today],
        past=past[:A_PAGE],
        hours={row.id: hours_words(row, by) for row in rows},
        names=names,
        people=people,
        fields=fields,
        wrong=wrong,
    )


def hours_words(row: OvertimeRow, by: Editor) -> str:
    """Its hours by the shop's own clock."""
    return f"{time_words(row.opens, by.wall)}–{time_words(row.closes, by.wall)}"
